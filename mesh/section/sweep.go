package section

import (
	"slices"
	"sort"
)

// A rule says which pairs of winding numbers are inside the result.
type rule int

const (
	ruleUnion rule = iota
	ruleIntersect
	ruleSubtract
	ruleXor
	rulePositive // operand 0 wound at least once
	ruleNegative // operand 0 wound at most minus once
	ruleBeyond   // operand 0 not zero, operand 1 not positive
)

func (r rule) in(w [2]int32) bool {
	a, b := w[0] != 0, w[1] != 0
	switch r {
	case ruleUnion:
		return a || b
	case ruleIntersect:
		return a && b
	case ruleSubtract:
		return a && !b
	case ruleXor:
		return a != b
	case rulePositive:
		return w[0] > 0
	case ruleNegative:
		return w[0] < 0
	case ruleBeyond:
		return a && w[1] <= 0
	}
	return false
}

// A half is a directed border edge of a region with the inside on its left.
type half struct{ from, to ipt }

// borders sweeps noded edges (sorted, see node) from left to right, works out
// the winding numbers on both sides of each, and returns those that part inside
// from outside.
//
// Order of the sweep: x, then y, as if the sweep line leant over by an
// infinitely small angle; so a vertical edge is like any other. status holds
// the edges that cross the sweep line from bottom to top, above[i] the winding
// numbers just above status[i]. Because edges meet only in ends, both stay
// right between two vertices.
func (o *overlay) borders(es []edge, r rule) []half {
	ends := room(&o.ends, len(es))
	for i := range es {
		ends[i] = es[i].b
	}
	o.sortPoints(ends)

	out, status := o.halves[:0], o.status[:0]
	above := room(&o.above, len(es))
	var fresh []int32
	for i, k := 0, 0; i < len(es) || k < len(ends); {
		v := ends[k]
		if i < len(es) && es[i].a.less(v) {
			v = es[i].a
		}
		for k < len(ends) && ends[k] == v {
			k++
		}
		lo := sort.Search(len(status), func(j int) bool {
			e := &es[status[j]]
			return orient(e.a, e.b, v) <= 0
		})
		hi := lo
		for hi < len(status) && es[status[hi]].b == v {
			hi++
		}
		fresh = fresh[:0]
		for ; i < len(es) && es[i].a == v; i++ {
			fresh = append(fresh, int32(i))
		}
		if len(fresh) > 1 {
			slices.SortFunc(fresh, func(p, q int32) int {
				if orient(v, es[p].b, es[q].b) > 0 {
					return -1
				}
				return 1
			})
		}
		var below [2]int32
		if lo > 0 {
			below = above[status[lo-1]]
		}
		for _, f := range fresh {
			e := &es[f]
			up := [2]int32{below[0] + e.w[0], below[1] + e.w[1]}
			above[f] = up
			switch under, over := r.in(below), r.in(up); {
			case over && !under:
				out = append(out, half{e.a, e.b})
			case under && !over:
				out = append(out, half{e.b, e.a})
			}
			below = up
		}
		status = slices.Replace(status, lo, hi, fresh...)
	}
	o.halves, o.status = out, status
	return out
}
