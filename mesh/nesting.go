package mesh

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// nest finds the depth of every closed shell: how many others hold it, one
// round the other.
//
// A shell lies in another when its box lies within the other's and its six
// outermost vertices, but for those that lie on the other's surface, are all
// inside by the winding number along a ray. Shells that cross each other so
// count as side by side. The smallest shell that holds another is its parent,
// and its depth is one more than the parent's; where shells do not cross,
// that counts all that hold it.
//
// The shells are taken by size, the smallest first, and each is asked only
// about those in its box that have no parent yet: so nests of any depth cost
// no more than the shells there are.
//
// Where no closed shell faces inwards there is nothing to tell apart, and
// depths stay 0.
func nest(ctx context.Context, m *Mesh, a *Audit) error {
	of, shells := a.ShellOf, a.Shells
	if !slices.ContainsFunc(shells, func(s Shell) bool { return s.Closed && s.Volume < 0 }) {
		return ctx.Err()
	}
	var order []int32 // closed shells, the smallest first
	for id, s := range shells {
		if s.Closed {
			order = append(order, int32(id))
		}
	}
	if len(order) < 2 {
		return ctx.Err()
	}
	slices.SortFunc(order, func(a, b int32) int { return bySize(&shells[a], &shells[b], a, b) })
	boxes := make([]Box, len(order))
	for i, id := range order {
		boxes[i] = shells[id].Bounds
	}
	orphans := newBoxTree(boxes)
	byShell := group(of, len(shells))
	parent := make([]int32, len(shells))
	tips := make([][6]int32, len(order)) // outermost vertices of a guest, once asked for
	known := make([]bool, len(order))
	var guests []int32
	var q queries
	for i, id := range order {
		parent[id] = -1
		if i&0xff == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		guests = guests[:0]
		orphans.within(boxes[i], func(j int32) {
			if j < int32(i) {
				guests = append(guests, j)
			}
		})
		if len(guests) == 0 {
			continue
		}
		slices.Sort(guests)
		q = q[:0]
		for _, j := range guests {
			if !known[j] {
				tips[j], known[j] = outermost(m, byShell[order[j]]), true
			}
			q.add(m, j, tips[j])
		}
		if err := q.run(ctx, m, byShell[id]); err != nil {
			return err
		}
		for _, j := range q.inside() {
			parent[order[j]] = id
			orphans.remove(j)
		}
	}
	for i := len(order) - 1; i >= 0; i-- {
		if p := parent[order[i]]; p >= 0 {
			shells[order[i]].Depth = shells[p].Depth + 1
		}
	}
	return nil
}

// bySize orders shells so that one that holds another comes after it.
func bySize(a, b *Shell, idA, idB int32) int {
	x, y := a.Bounds.Size(), b.Bounds.Size()
	return cmp.Or(cmp.Compare(x[0]*x[1]*x[2], y[0]*y[1]*y[2]), cmp.Compare(x[0]+x[1]+x[2], y[0]+y[1]+y[2]),
		cmp.Compare(math.Abs(a.Volume), math.Abs(b.Volume)), cmp.Compare(idA, idB))
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
