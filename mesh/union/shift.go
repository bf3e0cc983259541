package union

import (
	"math"

	"falsework/mesh"
)

// draw returns the n-th rigid shift of a tool: 5 to 7.5 microns an axis,
// upwards so that nothing sinks below the bed, with signs and sizes from a
// seeded generator. A tool smaller than about 160 mm gets proportionally less,
// so that shapes given in metres keep their shape, but never less than 8 units
// in the last place of its coordinates.
func draw(tool *mesh.Mesh, n int) (s [3]float64) {
	b := tool.Bounds()
	size, far := 0.0, 0.0
	for k := range 3 {
		size = max(size, b.Max[k]-b.Min[k])
		far = max(far, abs(b.Max[k]), abs(b.Min[k]))
	}
	u := float64(math.Nextafter32(float32(far), float32(math.Inf(1)))) - float64(float32(far))
	step := max(min(0.005, size*0x1p-15), 8*u)
	seed := uint64(n) + 1
	for k := range 3 {
		r := mix(&seed)
		s[k] = step * (1 + float64(float64(r>>11)*0x1p-54)) // 1 to 1.5
		if k < 2 && r&1 == 1 {
			s[k] = -s[k]
		}
	}
	return s
}

// mix is the splitmix64 generator (Steele, Lea and Flood, 2014).
func mix(seed *uint64) uint64 {
	*seed += 0x9e3779b97f4a7c15
	z := *seed
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

func shifted(m *mesh.Mesh, s [3]float64) *mesh.Mesh {
	out := &mesh.Mesh{Vertices: make([][3]float32, len(m.Vertices)), Triangles: m.Triangles}
	for i, p := range m.Vertices {
		out.Vertices[i] = rounded([3]float64{float64(p[0]) + s[0], float64(p[1]) + s[1], float64(p[2]) + s[2]})
	}
	return out
}
