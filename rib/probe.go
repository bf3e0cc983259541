package rib

import (
	"cmp"
	"math"
	"slices"

	"falsework/mesh"
	"falsework/mesh/section"
)

// probes are vertical lines through the part on a square grid; along each, the
// stretches of material. They answer cheaply and roughly (to a cell in plan)
// what a candidate layout costs, where there is a wall, and what a cavity
// opens to. What is built is drawn from exact sections instead.
type probes struct {
	min    section.Point // of the first cell's centre
	cell   float64
	nx, ny int
	solid  [][]stretch // by cell, ascending in z
	bed    float64
	top    float64
}

// newProbes drops the lines. The grid is shifted by an odd fraction of a cell,
// so that lines rarely meet an edge of the part; one that does and comes out
// unbalanced is read from its neighbour.
func newProbes(m *mesh.Mesh, cell float64) *probes {
	b := m.Bounds()
	p := &probes{cell: cell, bed: b.Min[2], top: b.Max[2]}
	p.min = section.Point{b.Min[0] - float64(0.3819*cell) - cell, b.Min[1] - float64(0.3547*cell) - cell}
	p.nx = int((b.Max[0]-p.min[0])/cell) + 3
	p.ny = int((b.Max[1]-p.min[1])/cell) + 3
	// All hits lie in one array, put in order of their lines by counting: no
	// line has a list of its own to grow.
	met := p.cross(m)
	count := make([]int32, p.nx*p.ny+1)
	for _, h := range met {
		count[h.line+1]++
	}
	for i := range count[1:] {
		count[i+1] += count[i]
	}
	hits := make([]hit, len(met))
	next := slices.Clone(count)
	for _, h := range met {
		hits[next[h.line]] = h
		next[h.line]++
	}
	p.solid = make([][]stretch, p.nx*p.ny)
	all := make([]stretch, 0, len(hits)/2+1)
	for i := range p.solid {
		first := len(all)
		if all = balance(all, hits[count[i]:count[i+1]]); len(all) > first {
			p.solid[i] = all[first:len(all):len(all)]
		}
		if unbalanced(hits[count[i]:count[i+1]]) {
			all, p.solid[i] = all[:first], nil
			if i > 0 {
				p.solid[i] = p.solid[i-1]
			}
		}
	}
	return p
}

// A hit is where a line passes a facet: going up it enters with 1 and leaves
// with -1.
type hit struct {
	z    float64
	line int32
	up   int32
}

func unbalanced(hits []hit) bool {
	w := int32(0)
	for _, h := range hits {
		w += h.up
	}
	return w != 0
}

// balance appends the stretches of material between hits, which it sorts.
func balance(out []stretch, hits []hit) []stretch {
	if len(hits) == 0 {
		return out
	}
	slices.SortFunc(hits, func(a, b hit) int {
		if a.z != b.z {
			return cmp.Compare(a.z, b.z)
		}
		return int(b.up - a.up)
	})
	w := int32(0)
	for _, h := range hits {
		was := w
		w += h.up
		switch {
		case was == 0:
			out = append(out, stretch{h.z, h.z})
		case w == 0:
			out[len(out)-1].to = h.z
		}
	}
	return out
}

// cross returns every hit, facet by facet.
func (p *probes) cross(m *mesh.Mesh) []hit {
	var out []hit
	for t := range m.Triangles {
		var c [3][3]float64
		for k := range c {
			for j, x := range m.Corner(t, k) {
				c[k][j] = float64(x)
			}
		}
		x0, x1 := min(c[0][0], c[1][0], c[2][0]), max(c[0][0], c[1][0], c[2][0])
		y0, y1 := min(c[0][1], c[1][1], c[2][1]), max(c[0][1], c[1][1], c[2][1])
		i0, j0 := p.first(0, x0), p.first(1, y0)
		if p.line(0, i0) > x1 || p.line(1, j0) > y1 {
			continue // small facets mostly lie between the lines
		}
		det := float64((c[1][0]-c[0][0])*(c[2][1]-c[0][1])) - float64((c[1][1]-c[0][1])*(c[2][0]-c[0][0]))
		if det == 0 {
			continue
		}
		up := int32(1) // a facet facing down is where a line going up enters
		if det > 0 {
			up = -1
		}
		f := newFacet(c, det)
		for j := j0; j < p.ny; j++ {
			y := p.line(1, j)
			if y > y1 {
				break
			}
			for i := i0; i < p.nx; i++ {
				x := p.line(0, i)
				if x > x1 {
					break
				}
				if z, ok := f.under(x, y); ok {
					out = append(out, hit{z, int32(j*p.nx + i), up})
				}
			}
		}
	}
	return out
}

// line is the coordinate of a row of lines, first the first row not before x.
func (p *probes) line(k, i int) float64 { return p.min[k] + float64(float64(i)*p.cell) }

func (p *probes) first(k int, x float64) int {
	return max(0, int(math.Ceil((x-p.min[k])/p.cell)))
}

// A facet is a triangle as probes ask for it: its sides, each opposite to a
// corner, and its heights.
type facet struct {
	side [3]struct {
		from, along section.Point
		sign        float64 // that turns the inside positive
	}
	z [3]float64
}

// newFacet takes the sides by the order of their ends, so that two triangles
// which share one read it alike.
func newFacet(c [3][3]float64, det float64) facet {
	var f facet
	for k := range f.side {
		a, b, sign := c[(k+1)%3], c[(k+2)%3], 1.0
		if a[0] > b[0] || (a[0] == b[0] && a[1] > b[1]) {
			a, b, sign = b, a, -1
		}
		if det < 0 {
			sign = -sign
		}
		s := &f.side[k]
		s.from, s.along, s.sign = section.Point{a[0], a[1]}, section.Point{b[0] - a[0], b[1] - a[1]}, sign
		f.z[k] = c[k][2]
	}
	return f
}

// under returns the height of a facet over a point of the plan. Sides are
// half open, so that a point on a shared one belongs to one of two triangles.
func (f *facet) under(x, y float64) (float64, bool) {
	var w [3]float64
	for k := range f.side {
		s := &f.side[k]
		v := s.sign * (float64(s.along[0]*(y-s.from[1])) - float64(s.along[1]*(x-s.from[0])))
		if v < 0 || (v == 0 && s.sign < 0) {
			return 0, false
		}
		w[k] = v
	}
	sum := w[0] + w[1] + w[2]
	if sum == 0 {
		return 0, false
	}
	return (float64(w[0]*f.z[0]) + float64(w[1]*f.z[1]) + float64(w[2]*f.z[2])) / sum, true
}

// at returns the material along the line nearest to a point of the plan.
func (p *probes) at(q section.Point) []stretch {
	i := int(math.Round((q[0] - p.min[0]) / p.cell))
	j := int(math.Round((q[1] - p.min[1]) / p.cell))
	if i < 0 || j < 0 || i >= p.nx || j >= p.ny {
		return nil
	}
	return p.solid[j*p.nx+i]
}

// material tells whether there is part at a point.
func (p *probes) material(q section.Point, z float64) bool {
	for _, s := range p.at(q) {
		if z >= s.from && z < s.to {
			return true
		}
	}
	return false
}

// clear returns the height of the ceiling over a point, the underside nearest
// to the range z, and the height of what is below it.
func (p *probes) clear(q section.Point, z [2]float64) (ceiling, floor float64) {
	best := math.Inf(1)
	ceiling, floor = z[0], p.bed
	below := p.bed
	for _, s := range p.at(q) {
		d := max(z[0]-s.from, s.from-z[1], 0)
		if d < best {
			best, ceiling, floor = d, s.from, below
		}
		below = s.to
	}
	if math.IsInf(best, 1) || best > 1 {
		return z[0], p.floor(q, z[0])
	}
	return ceiling, floor
}

// floor returns the top of the first material below a height, or the bed.
func (p *probes) floor(q section.Point, z float64) float64 {
	f := p.bed
	for _, s := range p.at(q) {
		if s.to <= z {
			f = s.to
		}
	}
	return f
}
