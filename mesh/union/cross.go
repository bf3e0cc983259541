package union

import (
	"cmp"
	"math"
	"slices"

	"falsework/mesh/exact"
)

// Segments on one triangle join at points they share and meet nowhere else, as
// long as the surface that makes them does not pass through itself there. Where
// it does, no corner of a loop need lie in another, and no winding number on
// the triangle's border need give it away: two bars laid crosswise leave a
// plus on a sheet. So crossings are looked for.

// A stroke is a segment in a view.
type stroke struct {
	segment
	p, q   [2]float64
	lo, hi [2]float64
}

// crossing returns a point where two segments of a cut triangle cross by more
// than the width of a fold.
func (s *splitter) crossing(c *cut) (at [3]float64, found bool) {
	if len(c.segs) < 2 {
		return at, false
	}
	v := viewOf(s.w.op[s.own].corners(c.t))
	list := slices.Grow(s.room.strokes[:0], len(c.segs))[:len(c.segs)]
	s.room.strokes = list
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for i, g := range c.segs {
		x := stroke{segment: g, p: v.point(s.w.points[g.from].at), q: v.point(s.w.points[g.to].at)}
		for k := range 2 {
			x.lo[k], x.hi[k] = min(x.p[k], x.q[k]), max(x.p[k], x.q[k])
			lo[k], hi[k] = min(lo[k], x.lo[k]), max(hi[k], x.hi[k])
		}
		list[i] = x
	}
	k := 0 // swept along the longer way
	if hi[1]-lo[1] > hi[0]-lo[0] {
		k = 1
	}
	slices.SortFunc(list, func(a, b stroke) int {
		return cmp.Or(cmp.Compare(a.lo[k], b.lo[k]), cmp.Compare(a.from, b.from))
	})
	for i := range list {
		a := &list[i]
		for j := i + 1; j < len(list) && list[j].lo[k] <= a.hi[k]; j++ {
			b := &list[j]
			if b.lo[1-k] > a.hi[1-k] || a.lo[1-k] > b.hi[1-k] {
				continue
			}
			if s.deep(a, b) {
				// Where along b: as far as its ends are from a's line.
				u, w := offLine(a.p, a.q, b.p), offLine(a.p, a.q, b.q)
				from, to := s.w.points[b.from].at, s.w.points[b.to].at
				for k := range 3 {
					at[k] = from[k] + float64((to[k]-from[k])*(u/(u+w)))
				}
				return at, true
			}
		}
	}
	return at, false
}

// deep tells whether two strokes cross, and each end of either lies further
// from the other than a fold is wide.
func (s *splitter) deep(a, b *stroke) bool {
	if a.from == b.from || a.from == b.to || a.to == b.from || a.to == b.to {
		return false
	}
	if exact.Orient2D(a.p, a.q, b.p)*exact.Orient2D(a.p, a.q, b.q) >= 0 ||
		exact.Orient2D(b.p, b.q, a.p)*exact.Orient2D(b.p, b.q, a.q) >= 0 {
		return false
	}
	off := min(offLine(a.p, a.q, b.p), offLine(a.p, a.q, b.q), offLine(b.p, b.q, a.p), offLine(b.p, b.q, a.q))
	b0 := s.w.pointBase()
	return off > widest*max(s.grain(b0+a.from), s.grain(b0+a.to), s.grain(b0+b.from), s.grain(b0+b.to))
}

// offLine is the distance of x from the line through p and q.
func offLine(p, q, x [2]float64) float64 {
	dx, dy := q[0]-p[0], q[1]-p[1]
	l := math.Sqrt(float64(dx*dx) + float64(dy*dy))
	if l == 0 {
		return 0
	}
	return abs(float64(dx*(x[1]-p[1]))-float64(dy*(x[0]-p[0]))) / l
}
