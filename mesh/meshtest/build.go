package meshtest

import (
	"fmt"

	"falsework/mesh"
)

// A builder collects triangles by coordinates and welds them as they come.
type builder struct {
	m  mesh.Mesh
	at map[[3]float32]int32
}

func newBuilder() *builder { return &builder{at: map[[3]float32]int32{}} }

func round(p [3]float64) [3]float32 {
	var q [3]float32
	for i, x := range p {
		q[i] = float32(x) + 0 // -0 becomes 0
	}
	return q
}

// vertex returns the index of p, adding it when it is new.
func (b *builder) vertex(p [3]float64) int32 {
	q := round(p)
	v, ok := b.at[q]
	if !ok {
		v = int32(len(b.m.Vertices))
		b.at[q] = v
		b.m.Vertices = append(b.m.Vertices, q)
	}
	return v
}

// triangle adds a triangle unless two of its corners are one vertex.
func (b *builder) triangle(p, q, r [3]float64) {
	t := [3]int32{b.vertex(p), b.vertex(q), b.vertex(r)}
	if t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
		b.m.Triangles = append(b.m.Triangles, t)
	}
}

// quad adds p q r s, in turn counter-clockwise from outside, cut along p r.
func (b *builder) quad(p, q, r, s [3]float64) {
	b.triangle(p, q, r)
	b.triangle(p, r, s)
}

// done returns the mesh, or panics when it is not a sound solid.
func (b *builder) done(what string) *mesh.Mesh {
	if f := Faults(&b.m); len(f) > 0 {
		panic(fmt.Sprintf("meshtest: %s is no sound solid: %v (and %d more)", what, f[0], len(f)-1))
	}
	return &b.m
}

// Join returns all surfaces as one mesh, in order. Vertices of equal
// coordinates become one; what overlaps stays overlapping.
func Join(ms ...*mesh.Mesh) *mesh.Mesh {
	b := newBuilder()
	for _, m := range ms {
		for t := range m.Triangles {
			b.triangle(corner(m, t, 0), corner(m, t, 1), corner(m, t, 2))
		}
	}
	return &b.m
}

func corner(m *mesh.Mesh, t, c int) [3]float64 {
	p := m.Corner(t, c)
	return [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}
}

// Soup returns the triangles of m without any welding: three vertices of its
// own for each triangle, as an STL file holds them.
func Soup(m *mesh.Mesh) *mesh.Mesh {
	s := &mesh.Mesh{}
	for t := range m.Triangles {
		n := int32(3 * t)
		s.Vertices = append(s.Vertices, m.Corner(t, 0), m.Corner(t, 1), m.Corner(t, 2))
		s.Triangles = append(s.Triangles, [3]int32{n, n + 1, n + 2})
	}
	return s
}

// Clone returns a copy of m that shares nothing with it.
func Clone(m *mesh.Mesh) *mesh.Mesh {
	return &mesh.Mesh{
		Vertices:  append([][3]float32(nil), m.Vertices...),
		Triangles: append([][3]int32(nil), m.Triangles...),
	}
}
