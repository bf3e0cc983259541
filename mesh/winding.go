package mesh

import (
	"cmp"
	"context"
	"slices"

	"falsework/mesh/exact"
)

// A query asks for the winding number of a surface about a vertex.
type query struct {
	p       [3]float32
	guest   int32
	winding int32
	on      bool // the point lies on the surface
}

// queries are asked of one surface together, in one pass over its triangles.
type queries []query

func (q *queries) add(m *Mesh, guest int32, vs [6]int32) {
	for i, v := range vs {
		if !slices.Contains(vs[:i], v) {
			*q = append(*q, query{p: m.Vertices[v], guest: guest})
		}
	}
}

// run counts, for each point, the triangles above it.
func (q queries) run(ctx context.Context, m *Mesh, ts []int32) error {
	f := plant(q)
	for i, t := range ts {
		if i&0xfff == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		a, b, c := m.Corner(int(t), 0), m.Corner(int(t), 1), m.Corner(int(t), 2)
		zhi := max(a[2], b[2], c[2])
		f.under(shadowOf(a, b, c), 0, func(e *query) {
			if e.p[2] <= zhi {
				w, on := above(e.p, a, b, c)
				e.winding += w
				e.on = e.on || on
			}
		})
	}
	return nil
}

// inside returns the guests none of whose points is outside, and at least one
// inside.
func (q queries) inside() []int32 {
	var ids []int32
	out := map[int32]bool{}
	for _, e := range q {
		if !e.on && e.winding == 0 {
			out[e.guest] = true
		}
	}
	seen := map[int32]bool{}
	for _, e := range q {
		if !e.on && !out[e.guest] && !seen[e.guest] {
			seen[e.guest] = true
			ids = append(ids, e.guest)
		}
	}
	return ids
}

// above returns 1 when the ray upwards from p leaves the material through
// triangle abc, -1 when it enters, 0 when it misses; and whether p lies on
// the triangle's plane where the ray would meet it. The ray stands a hair
// beside p, in x and still less in y, so that it never meets an edge.
func above(p, a, b, c [3]float32) (winding int32, on bool) {
	s := beside(a, b, p)
	if s == 0 || s != beside(b, c, p) || s != beside(c, a, p) {
		return 0, false
	}
	// The triangle faces up when s is 1; p below it is then behind it.
	switch o := exact.Orient3D(a, b, c, p) * s; {
	case o < 0:
		return int32(s), false
	case o == 0:
		return 0, true
	}
	return 0, false
}

// beside is the side of the line from u to v, seen from above, on which a
// point a hair from p lies: 1 left, -1 right, 0 only when u and v coincide
// seen from above.
func beside(u, v, p [3]float32) int {
	if o := exact.Orient2D(exact.Drop(u, 2), exact.Drop(v, 2), exact.Drop(p, 2)); o != 0 {
		return o
	}
	// Left grows with -(v.y-u.y) as p moves along x, with v.x-u.x along y.
	return cmp.Or(cmp.Compare(u[1], v[1]), cmp.Compare(v[0], u[0]))
}
