package union

import (
	"fmt"
	"slices"
)

// A hit is a half-edge of one triangle of a pair passing through the other
// triangle. enters says that it passes from the outer side to the inner.
type hit struct {
	own    int8 // 0: the edge is A's
	edge   int8 // from corner edge to corner edge+1
	enters bool
}

// A pair is a triangle of A and one of B that cut each other: in a segment,
// between two hits.
type pair struct {
	a, b int32
	hits [2]hit
}

// meetings returns all pairs that cut each other, by a, then by b.
func meetings(a, b *operand, m *motion, t *tree) ([]pair, error) {
	prisms := make([]prism, len(b.t))
	for i := range b.t {
		prisms[i] = prismOf(b.corners(int32(i)))
	}
	blocks := make([][]pair, 256)
	errs := make([]error, 256)
	w := workers(len(a.t), func(block, from, to int) {
		var near []int32
		for i := from; i < to; i++ {
			bx := boxOf(a.corners(int32(i)))
			near = candidates(near[:0], bx, t, prisms)
			for _, s := range near {
				hits, n := meet(a, b, m, int32(i), s)
				switch n {
				case 0:
				case 2:
					blocks[block] = append(blocks[block], pair{int32(i), s, hits})
				default:
					errs[block] = fmt.Errorf("triangles %d and %d cut each other at %d points", a.tid[i], s, n)
					return
				}
			}
		}
	})
	var all []pair
	for i := range w {
		if errs[i] != nil {
			return nil, errs[i]
		}
		all = append(all, blocks[i]...)
	}
	return all, nil
}

// candidates adds to list the triangles of B that may meet a box: those whose
// boxes and prisms do.
func candidates(list []int32, bx box, t *tree, prisms []prism) []int32 {
	t.meeting(bx, func(s int32) {
		if !prisms[s].misses(&bx) {
			list = append(list, s)
		}
	})
	slices.Sort(list)
	return list
}

// meet finds the edges of either triangle that pass through the other.
func meet(a, b *operand, m *motion, ta, tb int32) (hits [2]hit, n int) {
	var p, q [3]vec
	p[0], p[1], p[2] = a.corners(ta)
	q[0], q[1], q[2] = b.corners(tb)
	var pa, qb [3]int // sides of A's corners to B's plane, of B's to A's
	for k := range 3 {
		pa[k] = m.above(1, q[0], q[1], q[2], p[k])
	}
	// All zero where B's has no area, as a shift may leave it next to the origin:
	// its edges pass all the same, as their other triangles say too.
	if pa[0] == pa[1] && pa[1] == pa[2] && pa[0] != 0 {
		return hits, 0
	}
	for k := range 3 {
		qb[k] = m.above(0, p[0], p[1], p[2], q[k])
	}
	if qb[0] == qb[1] && qb[1] == qb[2] && qb[0] != 0 {
		return hits, 0
	}
	add := func(h hit) {
		if n < 2 {
			hits[n] = h
		}
		n++
	}
	for k := range 3 {
		j := (k + 1) % 3
		if pa[k]*pa[j] < 0 && m.pierces(0, p[k], p[j], q[0], q[1], q[2]) {
			add(hit{0, int8(k), pa[k] > 0})
		}
	}
	for k := range 3 {
		j := (k + 1) % 3
		if qb[k]*qb[j] < 0 && m.pierces(1, q[k], q[j], p[0], p[1], p[2]) {
			add(hit{1, int8(k), qb[k] > 0})
		}
	}
	return hits, n
}
