package union

import (
	"math"

	"falsework/mesh"
)

// checkTool makes sure that an added solid is closed, oriented and finite.
func checkTool(m *mesh.Mesh, n int) error {
	if err := checkFinite(m, n); err != nil {
		return err
	}
	sum := newTable(3 * len(m.Triangles))
	for _, k := range m.Triangles {
		for e := range 3 {
			*sum.at(key(k[e], k[(e+1)%3]))++
		}
	}
	for _, k := range m.Triangles {
		for e := range 3 {
			u, v := k[e], k[(e+1)%3]
			f, _ := sum.get(key(u, v))
			b, _ := sum.get(key(v, u))
			if f == 1 && b == 1 {
				continue
			}
			kind := NonManifoldEdge
			if f+b == 1 {
				kind = OpenEdge
			}
			p := m.Vertices[u]
			return &DefectError{kind, n, [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}}
		}
	}
	if p, ok := insideOut(m, m.Bounds()); ok {
		return &DefectError{InsideOut, n, p}
	}
	return nil
}

// checkFinite makes sure that every vertex has a place. n is the index of the
// solid, -1 for the part.
func checkFinite(m *mesh.Mesh, n int) error {
	bad := make([]int, limit(len(m.Vertices)))
	workers(len(m.Vertices), func(block, from, to int) {
		bad[block] = -1
		for v := from; v < to; v++ {
			// Zero times a number is zero, and nothing else is.
			if p := &m.Vertices[v]; float32(p[0]*0)+float32(p[1]*0)+float32(p[2]*0) != 0 {
				bad[block] = v
				return
			}
		}
	})
	for _, v := range bad {
		if v >= 0 {
			p := m.Vertices[v]
			return &DefectError{NotFinite, n, [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}}
		}
	}
	return nil
}

// insideOut looks for a shell that encloses no volume, or less than none, and
// is no cavity of another one, among those whose boxes meet a given one. It
// returns a corner of it.
func insideOut(m *mesh.Mesh, near mesh.Box) (at [3]float64, found bool) {
	_, shells := shellsOf(m)
	for _, b := range bodies(m) {
		if s := shells[b.shells[0]]; s.volume <= 0 && overlap(s.box, near) {
			for k, x := range m.Corner(int(s.tris[0]), 0) {
				at[k] = float64(x)
			}
			return at, true
		}
	}
	return at, false
}

// nearest returns the index of the tool whose box is nearest to a place.
func nearest(tools []*mesh.Mesh, at [3]float64) int {
	best, least := 0, math.Inf(1)
	for i, t := range tools {
		b := t.Bounds()
		d := 0.0
		for k := range 3 {
			out := max(b.Min[k]-at[k], at[k]-b.Max[k], 0)
			d += float64(out * out)
		}
		if len(t.Triangles) > 0 && d < least {
			best, least = i, d
		}
	}
	return best
}
