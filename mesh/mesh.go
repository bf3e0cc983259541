// Package mesh holds triangle surfaces: reading and welding them, asking what
// is wrong with them, cutting them by planes and uniting them. It knows
// nothing of printing.
//
// Start reading at [Mesh]; the sub-packages each own one trade: stl (files),
// section (plane cuts and polygons), exact (predicates), union (solids made
// one), picture (stills), meshtest (made solids and the validator for tests).
package mesh

// A Mesh is an indexed triangle surface. Lengths are millimetres, z is up.
//
// Triangles name their corners counter-clockwise seen from outside the
// solid. Vertices are float32 because the files are: what is decided on these
// numbers holds for the file. Two vertices of a welded mesh never have equal
// coordinates, and -0 does not occur.
type Mesh struct {
	Vertices  [][3]float32
	Triangles [][3]int32
}

// Corner returns the coordinates of corner c (0, 1 or 2) of triangle t.
func (m *Mesh) Corner(t, c int) [3]float32 { return m.Vertices[m.Triangles[t][c]] }

// A Box is an axis-aligned box, millimetres.
type Box struct{ Min, Max [3]float64 }

// Bounds returns the smallest box that holds every vertex that a triangle
// uses. A mesh without triangles has the zero Box.
func (m *Mesh) Bounds() Box {
	var b Box
	first := true
	for _, t := range m.Triangles {
		for _, v := range t {
			p := m.Vertices[v]
			for i, x := range p {
				x := float64(x)
				if first || x < b.Min[i] {
					b.Min[i] = x
				}
				if first || x > b.Max[i] {
					b.Max[i] = x
				}
			}
			first = false
		}
	}
	return b
}
