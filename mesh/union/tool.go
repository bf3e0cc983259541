package union

import (
	"math"

	"falsework/mesh"
)

// checkTool makes sure that an added solid is closed, oriented and finite.
func checkTool(m *mesh.Mesh, n int) error {
	for _, p := range m.Vertices {
		for _, x := range p {
			if f := float64(x); math.IsNaN(f) || math.IsInf(f, 0) {
				return &DefectError{NotFinite, n, [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}}
			}
		}
	}
	sum := make(map[uint64]int32, 3*len(m.Triangles))
	for _, k := range m.Triangles {
		for e := range 3 {
			sum[key(k[e], k[(e+1)%3])]++
		}
	}
	for _, k := range m.Triangles {
		for e := range 3 {
			u, v := k[e], k[(e+1)%3]
			f, b := sum[key(u, v)], sum[key(v, u)]
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
	if len(m.Triangles) > 0 && volume(m) <= 0 {
		p := m.Corner(0, 0)
		return &DefectError{InsideOut, n, [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}}
	}
	return nil
}
