package span

import (
	"context"

	"falsework/mesh"
)

// undersides finds the facets that hang above the layers of a survey, to
// report heights as the part has them.
type undersides struct {
	m       *mesh.Mesh
	st      stack
	byLayer [][]int32 // empty for layers nobody asked for
}

// findUndersides sorts the downward facets into the layers that want them. down
// lists those facets; findActivity has met them all, and going through a large mesh
// once more took longer than all the rest here.
func findUndersides(ctx context.Context, m *mesh.Mesh, st stack, down [halves][]int32, want []bool) (*undersides, error) {
	u := &undersides{m: m, st: st, byLayer: make([][]int32, st.n)}
	var parts [halves][][]int32
	err := forEach(ctx, halves, nil, func(i int) error {
		parts[i] = make([][]int32, st.n)
		for _, t := range down[i] {
			u.file(parts[i], t, want)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for k := range u.byLayer {
		u.byLayer[k] = parts[0][k]
		for _, p := range parts[1:] {
			u.byLayer[k] = append(u.byLayer[k], p[k]...)
		}
	}
	return u, nil
}

// file adds facet t to the layers it hangs above.
func (u *undersides) file(layers [][]int32, t int32, want []bool) {
	p := corners(u.m, t)
	lo, hi := min(p[0][2], p[1][2], p[2][2]), max(p[0][2], p[1][2], p[2][2])
	for k := max(u.st.above(lo), 1); k < u.st.n && u.st.mid(k-1) <= hi; k++ {
		if want[k] {
			layers[k] = append(layers[k], t)
		}
	}
}

// halves is into how many runs the facets are divided, one for each core that
// the survey uses.
const halves = 2

// half returns the i-th of the runs that n things are divided into.
func half(n, i int) (from, to int) { return n * i / halves, n * (i + 1) / halves }

func corners(m *mesh.Mesh, t int32) (p [3][3]float64) {
	for c, v := range m.Triangles[t] {
		q := m.Vertices[v]
		p[c] = [3]float64{float64(q[0]), float64(q[1]), float64(q[2])}
	}
	return p
}

// heights returns the lowest and highest underside of a piece from the part's
// facets, or the layer boundaries where no facet is found.
func (p *piece) heights(under *undersides) [2]float64 {
	var out [2]float64
	for i, k := range p.layers {
		lo, hi, found := p.between(under, k)
		switch {
		case !found:
			out[i] = p.c.st.lower(k)
		case i == 0:
			out[i] = lo
		default:
			out[i] = hi
		}
	}
	out[1] = max(out[0], out[1])
	return out
}

// between returns the lowest and highest underside about layer k.
func (p *piece) between(under *undersides, k int) (lo, hi float64, found bool) {
	const few, samples = 200, 60
	floor, top := p.c.st.mid(k-1), p.c.st.mid(k)
	min2, max2 := bounds(p.foot)
	var near []int32
	for _, t := range under.byLayer[k] {
		q := corners(under.m, t)
		if max(q[0][0], q[1][0], q[2][0]) >= min2[0] && min(q[0][0], q[1][0], q[2][0]) <= max2[0] &&
			max(q[0][1], q[1][1], q[2][1]) >= min2[1] && min(q[0][1], q[1][1], q[2][1]) <= max2[1] {
			near = append(near, t)
		}
	}
	add := func(z float64) {
		z = min(max(z, floor), top)
		if !found || z < lo {
			lo = z
		}
		if !found || z > hi {
			hi = z
		}
		found = true
	}
	// What lies between heights that are known adds nothing: on a level ceiling that is
	// every facet but the first. Asking where each lies took two thirds of the time that
	// a finely divided roof did.
	known := func(q *[3][3]float64) bool {
		return found && min(q[0][2], q[1][2], q[2][2]) >= lo && max(q[0][2], q[1][2], q[2][2]) <= hi
	}
	if len(near) > few {
		// Small facets: each speaks for itself, by its middle.
		for _, t := range near {
			q := corners(under.m, t)
			if known(&q) {
				continue
			}
			if p.sheet.within(Point{(q[0][0] + q[1][0] + q[2][0]) / 3, (q[0][1] + q[1][1] + q[2][1]) / 3}) {
				add(min(q[0][2], q[1][2], q[2][2]))
				add(max(q[0][2], q[1][2], q[2][2]))
			}
		}
		return lo, hi, found
	}
	s := p.sheet
	level, flat := p.c.st.lower(k), p.layers[0] == p.layers[1]
	on := len(s.z) // nodes of the layer
	if !flat {
		on = 0
		for _, z := range s.z {
			if z == level {
				on++
			}
		}
	}
	skip, i := 1+on/samples, 0
	for n, z := range s.z {
		if !flat && z != level {
			continue
		}
		if i++; (i-1)%skip != 0 {
			continue
		}
		q := s.pos(int32(n))
		for _, t := range near {
			c := corners(under.m, t)
			if c[0][2] == c[1][2] && c[0][2] == c[2][2] && known(&c) {
				continue
			}
			if z, in := planeAt(c, q); in && z >= floor-1e-6 && z <= top+1e-6 {
				add(z)
			}
		}
	}
	return lo, hi, found
}

// planeAt returns the height of triangle p over q and whether q is in its
// plan.
func planeAt(p [3][3]float64, q Point) (float64, bool) {
	d := float64((p[1][0]-p[0][0])*(p[2][1]-p[0][1])) - float64((p[2][0]-p[0][0])*(p[1][1]-p[0][1]))
	if d == 0 {
		return 0, false
	}
	b := (float64((q[0]-p[0][0])*(p[2][1]-p[0][1])) - float64((p[2][0]-p[0][0])*(q[1]-p[0][1]))) / d
	c := (float64((p[1][0]-p[0][0])*(q[1]-p[0][1])) - float64((q[0]-p[0][0])*(p[1][1]-p[0][1]))) / d
	const edge = -1e-6
	if b < edge || c < edge || b+c > 1-edge {
		return 0, false
	}
	return p[0][2] + float64(b*(p[1][2]-p[0][2])) + float64(c*(p[2][2]-p[0][2])), true
}
