package meshtest

import (
	"falsework/mesh"
)

// Subdivide splits each triangle into four at the middles of its sides,
// times over. The shape stays, but for rounding of the middles to float32.
func Subdivide(m *mesh.Mesh, times int) *mesh.Mesh {
	for range times {
		m = split(m, func(p, q [3]float32) bool { return true })
	}
	return m
}

// SubdivideTo halves sides until none is longer than length.
func SubdivideTo(m *mesh.Mesh, length float64) *mesh.Mesh {
	long := func(p, q [3]float32) bool {
		d := 0.0
		for i := range p {
			d += (float64(p[i]) - float64(q[i])) * (float64(p[i]) - float64(q[i]))
		}
		return d > length*length
	}
	for {
		s := split(m, long)
		if len(s.Triangles) == len(m.Triangles) {
			return s
		}
		m = s
	}
}

// split halves the chosen sides of every triangle; both triangles at a side
// see the same choice, so the surface stays closed.
func split(m *mesh.Mesh, chosen func(p, q [3]float32) bool) *mesh.Mesh {
	w := &mesh.Mesh{Vertices: append([][3]float32(nil), m.Vertices...)}
	mids := make(map[[2]int32]int32, len(m.Triangles)*3/2)
	mid := func(a, b int32) int32 {
		k := [2]int32{min(a, b), max(a, b)}
		v, ok := mids[k]
		if !ok {
			v = -1
			p, q := m.Vertices[k[0]], m.Vertices[k[1]]
			if chosen(p, q) {
				v = int32(len(w.Vertices))
				w.Vertices = append(w.Vertices, round([3]float64{
					(float64(p[0]) + float64(q[0])) / 2, (float64(p[1]) + float64(q[1])) / 2, (float64(p[2]) + float64(q[2])) / 2}))
			}
			mids[k] = v
		}
		return v
	}
	for _, t := range m.Triangles {
		w.Triangles = append(w.Triangles, pieces(t, [3]int32{mid(t[0], t[1]), mid(t[1], t[2]), mid(t[2], t[0])})...)
	}
	return w
}

// pieces cuts a triangle at the given middles of its sides (-1: not cut).
func pieces(t, mid [3]int32) [][3]int32 {
	cut := 0
	for _, v := range mid {
		if v >= 0 {
			cut++
		}
	}
	for r := range 3 { // turn until the case is one of the four below
		a, b, c := t[r], t[(r+1)%3], t[(r+2)%3]
		ab, bc, ca := mid[r], mid[(r+1)%3], mid[(r+2)%3]
		switch {
		case cut == 0:
			return [][3]int32{t}
		case cut == 1 && ab >= 0:
			return [][3]int32{{a, ab, c}, {ab, b, c}}
		case cut == 2 && ab < 0:
			return [][3]int32{{a, b, bc}, {a, bc, ca}, {ca, bc, c}}
		case cut == 3:
			return [][3]int32{{a, ab, ca}, {ab, b, bc}, {ca, bc, c}, {ab, bc, ca}}
		}
	}
	panic("unreachable")
}
