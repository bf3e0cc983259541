package section

import (
	"cmp"
	"math/bits"
	"slices"
)

// Sorting is a third of an overlay: what is sorted is first dealt out from left
// to right into about as many stacks, which leaves a few in each.

// sortEdges sorts edges by their ends.
func (o *overlay) sortEdges(es []edge) {
	const few = 48 // not worth dealing out
	if len(es) < few {
		sortStack(es)
		return
	}
	lo, hi := es[0].a.x, es[0].a.x
	for i := range es {
		lo, hi = min(lo, es[i].a.x), max(hi, es[i].a.x)
	}
	wide := int64(hi) - int64(lo)
	shift := max(bits.Len64(uint64(wide))-bits.Len(uint(len(es))), 0)
	begin := zeroes(&o.begin, int(wide>>shift)+3)
	for i := range es {
		begin[(int64(es[i].a.x)-int64(lo))>>shift+2]++
	}
	for k := range begin[1:] {
		begin[k+1] += begin[k]
	}
	dealt := room(&o.dealt, len(es))
	for i := range es {
		at := &begin[(int64(es[i].a.x)-int64(lo))>>shift+1]
		dealt[*at] = es[i]
		*at++
	}
	copy(es, dealt)
	for k := range begin[:len(begin)-2] {
		sortStack(es[begin[k]:begin[k+1]])
	}
}

// sortStack sorts a few edges by insertion, more as the library does: along an
// upright side of a part all have one x.
func sortStack(es []edge) {
	const few = 12
	if len(es) > few {
		slices.SortFunc(es, func(e, f edge) int {
			if p, q := e.a.key(), f.a.key(); p != q {
				return cmp.Compare(p, q)
			}
			return cmp.Compare(e.b.key(), f.b.key())
		})
		return
	}
	for i := 1; i < len(es); i++ {
		e := es[i]
		p, q := e.a.key(), e.b.key()
		j := i
		for ; j > 0; j-- {
			f := &es[j-1]
			if r := f.a.key(); r < p || r == p && f.b.key() <= q {
				break
			}
			es[j] = *f
		}
		es[j] = e
	}
}

// sortPoints sorts points of the grid by their keys.
func (o *overlay) sortPoints(ps []ipt) {
	keys := room(&o.keys, len(ps))
	for i, p := range ps {
		keys[i] = p.key()
	}
	slices.Sort(keys)
	for i, k := range keys {
		ps[i] = ipt{int32(uint32(k>>32) ^ 1<<31), int32(uint32(k) ^ 1<<31)}
	}
}
