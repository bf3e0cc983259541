package mesh

import (
	"cmp"
	"math"
	"slices"
)

// A shadow is a triangle seen from above, made ready to be held against
// boxes. Its tests are generous: they may pass what misses by a hair, never
// fail what meets.
type shadow struct {
	lo, hi [2]float32
	// For each side the line n.p = c with everything of the triangle at or
	// below c.
	n [3][2]float64
	c [3]float64
	m [3]float64 // size of the products that c is a sum of
}

func shadowOf(p, q, r [3]float32) (s shadow) {
	ps := [3][2]float64{{float64(p[0]), float64(p[1])}, {float64(q[0]), float64(q[1])}, {float64(r[0]), float64(r[1])}}
	s.lo = [2]float32{min(p[0], q[0], r[0]), min(p[1], q[1], r[1])}
	s.hi = [2]float32{max(p[0], q[0], r[0]), max(p[1], q[1], r[1])}
	for i := range 3 {
		a, b, o := ps[i], ps[(i+1)%3], ps[(i+2)%3]
		n := [2]float64{b[1] - a[1], a[0] - b[0]}
		if float64(n[0]*(o[0]-a[0]))+float64(n[1]*(o[1]-a[1])) > 0 {
			n = [2]float64{-n[0], -n[1]}
		}
		s.n[i] = n
		s.c[i] = math.Inf(-1)
		for _, p := range ps {
			u, v := float64(n[0]*p[0]), float64(n[1]*p[1])
			s.c[i], s.m[i] = max(s.c[i], u+v), max(s.m[i], math.Abs(u)+math.Abs(v))
		}
	}
	return s
}

// meets tells whether the shadow comes near a box.
func (s *shadow) meets(lo, hi [2]float32) bool {
	for k := range 2 {
		if s.lo[k] > hi[k] || s.hi[k] < lo[k] {
			return false
		}
	}
	for i, n := range s.n {
		// The corner of the box that is furthest inwards, and a bound of what
		// rounding may do to each of four products of numbers so large.
		x, y := float64(lo[0]), float64(lo[1])
		if n[0] < 0 {
			x = float64(hi[0])
		}
		if n[1] < 0 {
			y = float64(hi[1])
		}
		u, v := float64(n[0]*x), float64(n[1]*y)
		slack := 0x1p-50 * (math.Abs(u) + math.Abs(v) + s.m[i])
		if u+v > s.c[i]+slack {
			return false
		}
	}
	return true
}

// A plot is points in the plane, laid out so that those under a triangle are
// found without looking at all others.
type plot struct {
	q     queries
	nodes []plotNode // the children of node n are 2n+1 and 2n+2
}

// A plotNode bounds the points q[from:to].
type plotNode struct {
	from, to int32
	lo, hi   [2]float32
}

// plant puts the points in order, in place.
func plant(q queries) *plot {
	f := &plot{q: q}
	if len(q) > 0 {
		f.build(0, 0, int32(len(q)))
	}
	return f
}

func (f *plot) build(n int, from, to int32) {
	for n >= len(f.nodes) {
		f.nodes = append(f.nodes, plotNode{})
	}
	p := f.q[from].p
	node := plotNode{from, to, [2]float32{p[0], p[1]}, [2]float32{p[0], p[1]}}
	for _, e := range f.q[from:to] {
		for k := range 2 {
			node.lo[k], node.hi[k] = min(node.lo[k], e.p[k]), max(node.hi[k], e.p[k])
		}
	}
	f.nodes[n] = node
	if to-from <= leaf {
		return
	}
	axis := 0
	if node.hi[1]-node.lo[1] > node.hi[0]-node.lo[0] {
		axis = 1
	}
	slices.SortFunc(f.q[from:to], func(a, b query) int {
		return cmp.Or(cmp.Compare(a.p[axis], b.p[axis]), cmp.Compare(a.guest, b.guest), slices.Compare(a.p[:], b.p[:]))
	})
	half := (from + to) / 2
	f.build(2*n+1, from, half)
	f.build(2*n+2, half, to)
}

// under calls do for the points of node n and below that the shadow may fall
// on.
func (f *plot) under(s shadow, n int, do func(e *query)) {
	if len(f.nodes) == 0 {
		return
	}
	node := &f.nodes[n]
	if !s.meets(node.lo, node.hi) {
		return
	}
	if node.to-node.from > leaf {
		f.under(s, 2*n+1, do)
		f.under(s, 2*n+2, do)
		return
	}
	for i := node.from; i < node.to; i++ {
		e := &f.q[i]
		if e.p[0] >= s.lo[0] && e.p[0] <= s.hi[0] && e.p[1] >= s.lo[1] && e.p[1] <= s.hi[1] {
			do(e)
		}
	}
}
