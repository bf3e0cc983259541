// Package mesh holds triangle surfaces: reading and welding them, asking what
// is wrong with them, cutting them by planes and uniting them. It knows
// nothing of printing.
//
// Start reading at [Mesh], then [Weld] (triangles of a file made a mesh),
// [Mesh.Audit] (what is wrong with it) and [Mesh.Orient]. The sub-packages
// each own one trade: stl (files), atomicfile (files replaced whole), mend
// (repairs that are certain), field (surfaces drawn anew), section (plane
// cuts and polygons), exact (predicates), union (solids made one), picture
// (stills), meshtest (made solids and the validator for tests).
package mesh

import (
	"context"

	"falsework/mesh/par"
)

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
	if len(m.Triangles) == 0 {
		return Box{}
	}
	const grain = 1 << 16
	parts := make([][2][3]float32, (len(m.Triangles)+grain-1)/grain)
	_ = par.Range(context.Background(), len(m.Triangles), grain, func(lo, hi int) {
		first := m.Vertices[m.Triangles[lo][0]]
		b := [2][3]float32{first, first}
		for _, t := range m.Triangles[lo:hi] {
			for _, v := range t {
				p := &m.Vertices[v]
				for i, x := range p {
					// Not min and max, which take thrice as long to heed what is no number.
					if x < b[0][i] {
						b[0][i] = x
					} else if x > b[1][i] {
						b[1][i] = x
					}
				}
			}
		}
		parts[lo/grain] = b
	})
	b := Box{wide(parts[0][0]), wide(parts[0][1])}
	for _, p := range parts[1:] {
		b.grow(wide(p[0]))
		b.grow(wide(p[1]))
	}
	return b
}
