package mesh

import (
	"cmp"
	"context"
	"slices"

	"falsework/mesh/exact"
	"github.com/tidwall/rtree"
)

// nest finds the depth of every closed shell: how many others hold all of it.
//
// A shell lies in another when its box lies within the other's and its six
// outermost vertices, but for those that lie on the other's surface, are all
// inside by the winding number along a ray. Shells that cross each other so
// count as side by side.
//
// Where no closed shell faces inwards there is nothing to tell apart, and
// depths stay 0.
func nest(ctx context.Context, m *Mesh, a *Audit) error {
	of, shells := a.ShellOf, a.Shells
	if !slices.ContainsFunc(shells, func(s Shell) bool { return s.Closed && s.Volume < 0 }) {
		return ctx.Err()
	}
	var tree rtree.RTreeG[int32]
	closed := 0
	for id, s := range shells {
		if s.Closed {
			closed++
			b := s.Bounds
			tree.Insert([2]float64{b.Min[0], b.Min[1]}, [2]float64{b.Max[0], b.Max[1]}, int32(id))
		}
	}
	if closed < 2 {
		return ctx.Err()
	}
	// For each holder, the shells that may lie in it.
	guests := make(map[int32][]int32)
	for id, s := range shells {
		if !s.Closed {
			continue
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		lo := [2]float64{s.Bounds.Min[0], s.Bounds.Min[1]}
		tree.Search(lo, lo, func(_, _ [2]float64, holder int32) bool {
			if holder != int32(id) && within(s.Bounds, shells[holder].Bounds) {
				guests[holder] = append(guests[holder], int32(id))
			}
			return true
		})
	}
	if len(guests) == 0 {
		return nil
	}
	byShell := group(of, len(shells))
	tips := make(map[int32][6]int32) // per guest, its outermost vertices
	for holder := range shells {
		if g := guests[int32(holder)]; len(g) > 0 {
			slices.Sort(g)
			var q queries
			for _, id := range g {
				if _, ok := tips[id]; !ok {
					tips[id] = outermost(m, byShell[id])
				}
				q.add(m, id, tips[id])
			}
			if err := q.run(ctx, m, byShell[holder]); err != nil {
				return err
			}
			for _, id := range q.inside() {
				shells[id].Depth++
			}
		}
	}
	return nil
}

func within(a, b Box) bool {
	for i := range 3 {
		if a.Min[i] < b.Min[i] || a.Max[i] > b.Max[i] {
			return false
		}
	}
	return true
}

// group lists the triangles of each shell, in order.
func group(of []int32, shells int) [][]int32 {
	ends := make([]int32, shells+1)
	for _, id := range of {
		if id >= 0 {
			ends[id+1]++
		}
	}
	for i := range shells {
		ends[i+1] += ends[i]
	}
	all := make([]int32, ends[shells])
	at := slices.Clone(ends)
	for t, id := range of {
		if id >= 0 {
			all[at[id]] = int32(t)
			at[id]++
		}
	}
	lists := make([][]int32, shells)
	for id := range lists {
		lists[id] = all[ends[id]:ends[id+1]]
	}
	return lists
}

// outermost returns the vertices with the least and greatest x, y and z.
func outermost(m *Mesh, ts []int32) (tips [6]int32) {
	for i := range tips {
		tips[i] = m.Triangles[ts[0]][0]
	}
	for _, t := range ts {
		for _, v := range m.Triangles[t] {
			for i := range 3 {
				if m.Vertices[v][i] < m.Vertices[tips[2*i]][i] {
					tips[2*i] = v
				}
				if m.Vertices[v][i] > m.Vertices[tips[2*i+1]][i] {
					tips[2*i+1] = v
				}
			}
		}
	}
	return tips
}

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
	slices.SortFunc(q, func(a, b query) int {
		return cmp.Or(cmp.Compare(a.p[0], b.p[0]), cmp.Compare(a.guest, b.guest), slices.Compare(a.p[:], b.p[:]))
	})
	for i, t := range ts {
		if i&0xfff == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		a, b, c := m.Corner(int(t), 0), m.Corner(int(t), 1), m.Corner(int(t), 2)
		lo := min(a[0], b[0], c[0])
		from, _ := slices.BinarySearchFunc(q, lo, func(e query, x float32) int { return cmp.Compare(e.p[0], x) })
		hi, ylo, yhi, zhi := max(a[0], b[0], c[0]), min(a[1], b[1], c[1]), max(a[1], b[1], c[1]), max(a[2], b[2], c[2])
		for j := from; j < len(q) && q[j].p[0] <= hi; j++ {
			if p := q[j].p; p[1] >= ylo && p[1] <= yhi && p[2] <= zhi {
				w, on := above(p, a, b, c)
				q[j].winding += w
				q[j].on = q[j].on || on
			}
		}
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
