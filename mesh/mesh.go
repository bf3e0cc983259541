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
	if b, ok := m.boundsByVertices(); ok {
		return b
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

// boundsByVertices goes through the vertices in order, which is many times as fast
// as fetching the corners of every triangle, and then makes sure that those at the
// ends are used. It reports false where one is not, or is no number.
func (m *Mesh) boundsByVertices() (Box, bool) {
	const grain = 1 << 16
	parts := make([]reach, (len(m.Vertices)+grain-1)/grain)
	_ = par.Range(context.Background(), len(m.Vertices), grain, func(lo, hi int) {
		b := &parts[lo/grain]
		b.begin(&m.Vertices[lo])
		b.at = [2][3]int32{{int32(lo), int32(lo), int32(lo)}, {int32(lo), int32(lo), int32(lo)}}
		for v := lo; v < hi; v++ {
			p := &m.Vertices[v]
			if d := p[0] - p[0] + p[1] - p[1] + p[2] - p[2]; d != 0 {
				b.odd = true
				return
			}
			b.hold(p, int32(v))
		}
	})
	b := joined(parts)
	if b.odd {
		return Box{}, false
	}
	ends := [6]int32{b.at[0][0], b.at[0][1], b.at[0][2], b.at[1][0], b.at[1][1], b.at[1][2]}
	used := make([][6]bool, (len(m.Triangles)+grain-1)/grain)
	_ = par.Range(context.Background(), len(m.Triangles), grain, func(lo, hi int) {
		u := &used[lo/grain]
		for _, t := range m.Triangles[lo:hi] {
			for _, v := range t {
				if v == ends[0] || v == ends[1] || v == ends[2] || v == ends[3] || v == ends[4] || v == ends[5] {
					for i, e := range ends {
						u[i] = u[i] || v == e
					}
				}
			}
		}
	})
	all := [6]bool{}
	for _, u := range used {
		for i := range u {
			all[i] = all[i] || u[i]
		}
	}
	return b.box(), all == [6]bool{true, true, true, true, true, true}
}

// A reach is a box that grows, and the vertices at its ends.
type reach struct {
	ends [2][3]float32
	at   [2][3]int32
	odd  bool // some coordinate is no number
}

func (b *reach) begin(p *[3]float32) { b.ends = [2][3]float32{*p, *p} }

func (b *reach) hold(p *[3]float32, v int32) {
	for i, x := range p {
		// Not min and max, which take thrice as long to heed what is no number.
		if x < b.ends[0][i] {
			b.ends[0][i], b.at[0][i] = x, v
		} else if x > b.ends[1][i] {
			b.ends[1][i], b.at[1][i] = x, v
		}
	}
}

func joined(parts []reach) reach {
	b := parts[0]
	for _, p := range parts[1:] {
		for i := range 3 {
			b.odd = b.odd || p.odd
			if p.ends[0][i] < b.ends[0][i] {
				b.ends[0][i], b.at[0][i] = p.ends[0][i], p.at[0][i]
			}
			if p.ends[1][i] > b.ends[1][i] {
				b.ends[1][i], b.at[1][i] = p.ends[1][i], p.at[1][i]
			}
		}
	}
	return b
}

func (b *reach) box() Box { return Box{wide(b.ends[0]), wide(b.ends[1])} }
