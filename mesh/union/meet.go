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
		s := search{t: t, prisms: prisms}
		for i := from; i < to; i++ {
			if (i-from)%flock == 0 {
				s.gather(a, i, min(i+flock, to))
			}
			for _, o := range s.near(boxOf(a.corners(int32(i)))) {
				hits, n := meet(a, b, m, int32(i), o)
				switch n {
				case 0:
				case 2:
					blocks[block] = append(blocks[block], pair{int32(i), o, hits})
				default:
					errs[block] = fmt.Errorf("triangles %d and %d cut each other at %d points", a.tid[i], o, n)
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

// A search finds the triangles of B that may meet a box: those whose boxes and
// prisms do. Triangles that follow one another in a file mostly lie together, so
// the tree is asked for a flock of them at once.
type search struct {
	t      *tree
	prisms []prism
	flock  []int32 // what may meet any of the flock
	apart  bool    // the flock does not lie together: each asks for itself
	list   []int32
}

const flock = 16

// gather asks for the triangles from..to of A. They lie together when the box
// round them is not much longer than the longest of theirs.
func (s *search) gather(a *operand, from, to int) {
	all, widest := boxOf(a.corners(int32(from))), float32(0)
	for i := from; i < to; i++ {
		bx := boxOf(a.corners(int32(i)))
		all, widest = all.join(bx), max(widest, bx.longest())
	}
	if s.apart = all.longest() > 8*widest; s.apart {
		return
	}
	s.flock = s.flock[:0]
	s.t.meeting(all, func(b int32) { s.flock = append(s.flock, b) })
	slices.Sort(s.flock)
}

// near returns the triangles of B that may meet the box of one of the flock,
// in order. They are good until the next call.
func (s *search) near(bx box) []int32 {
	s.list = s.list[:0]
	if s.apart {
		s.t.meeting(bx, func(b int32) { s.list = append(s.list, b) })
		s.list = slices.DeleteFunc(s.list, func(b int32) bool { return s.prisms[b].misses(&bx) })
		slices.Sort(s.list)
		return s.list
	}
	for _, b := range s.flock {
		if !s.t.boxes[b].beside(&bx) && !s.prisms[b].misses(&bx) {
			s.list = append(s.list, b)
		}
	}
	return s.list
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
