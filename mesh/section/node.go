package section

import (
	"math"
	"math/bits"
	"slices"
)

// An edge runs from a to b, a before b in lexicographic order. w is how much
// the winding number of each of two operands grows on the way from the right
// of a-b to its left.
type edge struct {
	a, b ipt
	w    [2]int32
}

// addEdge appends the way from p to q as a border of operand op.
func addEdge(es []edge, p, q ipt, op int) []edge {
	if p == q {
		return es
	}
	var e edge
	if p.less(q) {
		e.a, e.b = p, q
		e.w[op] = 1
	} else {
		e.a, e.b = q, p
		e.w[op] = -1
	}
	return append(es, e)
}

// merge sorts the edges and makes one of equal ones; edges that change no
// winding number go.
func (o *overlay) merge(es []edge) []edge {
	o.sortEdges(es)
	out := es[:0]
	for i := 0; i < len(es); {
		e := es[i]
		for i++; i < len(es) && es[i].a == e.a && es[i].b == e.b; i++ {
			e.w[0] += es[i].w[0]
			e.w[1] += es[i].w[1]
		}
		if e.w != [2]int32{} {
			out = append(out, e)
		}
	}
	return out
}

// node splits the edges so that they meet only in common ends (snap rounding)
// and merges equal pieces. The argument is used up; the result is gone with the
// overlay.
func (o *overlay) node(es []edge) []edge {
	es = o.merge(es)
	if len(es) < 2 {
		return es
	}
	s := newStrips(es)
	cross := s.crossings(o, es)
	hot := o.hotPoints(es, cross)

	out := o.split[:0]
	split := false
	s.visit(o, es, hot, func(e edge, through []ipt) {
		p := e.a
		for _, q := range through {
			out = addPiece(out, p, q, e.w)
			p = q
		}
		out = addPiece(out, p, e.b, e.w)
		split = split || len(through) > 0
	})
	o.split = out
	if !split {
		return out
	}
	return o.merge(out)
}

// hotPoints returns the ends of the edges and the crossings, sorted and unique.
// The edges come sorted by their first ends: only the others need sorting.
func (o *overlay) hotPoints(es []edge, cross []ipt) []ipt {
	rest := o.rest[:0]
	for i := range es {
		rest = append(rest, es[i].b)
	}
	rest = append(rest, cross...)
	o.rest = rest
	o.sortPoints(rest)
	rest = slices.Compact(rest)
	out := o.hot[:0]
	put := func(p ipt) {
		if n := len(out); n == 0 || out[n-1] != p {
			out = append(out, p)
		}
	}
	for i := range es {
		for a := es[i].a; len(rest) > 0 && compare(rest[0], a) <= 0; rest = rest[1:] {
			put(rest[0])
		}
		put(es[i].a)
	}
	for _, p := range rest {
		put(p)
	}
	o.hot = out
	return out
}

func addPiece(es []edge, p, q ipt, w [2]int32) []edge {
	switch c := compare(p, q); {
	case c < 0:
		return append(es, edge{p, q, w})
	case c > 0:
		return append(es, edge{q, p, [2]int32{-w[0], -w[1]}})
	}
	return es
}

// strips divides the plane into horizontal bands, so that an edge is compared
// only with what shares a band with it.
type strips struct {
	y0   int64
	high int64 // height of a band
	n    int
}

func newStrips(es []edge) strips {
	lo, hi := int64(math.MaxInt64), int64(math.MinInt64)
	for _, e := range es {
		lo = min(lo, int64(e.a.y), int64(e.b.y))
		hi = max(hi, int64(e.a.y), int64(e.b.y))
	}
	n := int64(2*math.Sqrt(float64(len(es)))) + 1
	high := (hi-lo)/n + 1
	return strips{lo, high, int((hi-lo)/high) + 1}
}

// of returns the band of height y, clamped.
func (s strips) of(y int64) int {
	k := (y - s.y0) / s.high
	if y < s.y0 {
		k = 0
	}
	return min(int(k), s.n-1)
}

// crossings returns the proper crossings of the edges (sorted by a), each
// rounded to the grid. Ends that lie on other edges are found by visit.
func (s strips) crossings(o *overlay, es []edge) []ipt {
	active := room(&o.active, s.n)
	for k := range active {
		active[k] = active[k][:0]
	}
	out := o.cross[:0]
	for i := range es {
		e := &es[i]
		ylo, yhi := minmax(e.a.y, e.b.y)
		first, last := s.of(int64(ylo)), s.of(int64(yhi))
		for k := first; k <= last; k++ {
			list := active[k]
			n := 0
			for _, j := range list {
				f := &es[j]
				if f.b.x < e.a.x {
					continue // passed by the sweep
				}
				list[n] = j
				n++
				flo, fhi := minmax(f.a.y, f.b.y)
				if fhi < ylo || yhi < flo {
					continue
				}
				// A pair that shares several bands is looked at in the lowest.
				if k > first && s.of(int64(flo)) < k {
					continue
				}
				if p, ok := crossing(e, f); ok {
					out = append(out, p)
				}
			}
			active[k] = append(list[:n], int32(i))
		}
	}
	o.cross = out
	return out
}

func minmax(a, b int32) (int32, int32) {
	if a < b {
		return a, b
	}
	return b, a
}

// crossing returns the point in which two edges cross inside both, rounded to
// the nearest grid point, exactly.
func crossing(e, f *edge) (ipt, bool) {
	o1 := orient(e.a, e.b, f.a)
	o2 := orient(e.a, e.b, f.b)
	if o1 >= 0 && o2 >= 0 || o1 <= 0 && o2 <= 0 {
		return ipt{}, false
	}
	o3 := orient(f.a, f.b, e.a)
	o4 := orient(f.a, f.b, e.b)
	if o3 >= 0 && o4 >= 0 || o3 <= 0 && o4 <= 0 {
		return ipt{}, false
	}
	// The crossing divides e in the ratio of its ends' distances from f.
	num, den := o3, o3-o4
	if den < 0 {
		num, den = -num, -den
	}
	return ipt{part(e.a.x, e.b.x, num, den), part(e.a.y, e.b.y, num, den)}, true
}

// part returns a + (b-a) num/den rounded to the nearest integer, halves up;
// 0 < num < den < 2^63. Halves up is the rule of the half-open cell in passes.
func part(a, b int32, num, den int64) int32 {
	d := int64(b) - int64(a)
	neg := d < 0
	if neg {
		d = -d
	}
	hi, lo := bits.Mul64(uint64(d), uint64(num))
	q, r := bits.Div64(hi, lo, uint64(den)) // hi < den, because num < den and d < 2^31
	// Round half up in the direction of growing coordinates.
	rest := uint64(den) - r
	if neg {
		if r > rest {
			q++
		}
		return int32(int64(a) - int64(q))
	}
	if r >= rest {
		q++
	}
	return int32(int64(a) + int64(q))
}

// visit calls f for every edge with the points of hot (sorted, unique) in whose
// cells it passes, in order from a to b, its own ends left out.
func (s strips) visit(o *overlay, es []edge, hot []ipt, f func(e edge, through []ipt)) {
	start, pts := s.sortPoints(o, hot)
	var through []ipt
	for i := range es {
		e := &es[i]
		through = through[:0]
		ylo, yhi := minmax(e.a.y, e.b.y)
		first, last := s.of(int64(ylo)-1), s.of(int64(yhi)+1)
		for k := first; k <= last; k++ {
			list := pts[start[k]:start[k+1]]
			if len(list) == 0 {
				continue
			}
			xlo, xhi := s.xrange(e, k)
			j, _ := slices.BinarySearchFunc(list, xlo, func(p ipt, x int64) int {
				if int64(p.x) < x {
					return -1
				}
				return 1
			})
			for ; j < len(list) && int64(list[j].x) <= xhi; j++ {
				if passes(e, list[j]) {
					through = append(through, list[j])
				}
			}
		}
		if len(through) > 1 {
			sortAlong(e, through)
		}
		f(*e, through)
	}
}

// sortPoints groups the points by band, sorted by x inside each: band k holds
// pts[start[k]:start[k+1]].
func (s strips) sortPoints(o *overlay, hot []ipt) (start []int32, pts []ipt) {
	start = zeroes(&o.start, s.n+2)
	for _, p := range hot {
		start[s.of(int64(p.y))+2]++
	}
	for k := 2; k < len(start); k++ {
		start[k] += start[k-1]
	}
	pts = room(&o.pts, len(hot))
	for _, p := range hot { // sorted by x, so each band is
		k := s.of(int64(p.y)) + 1
		pts[start[k]] = p
		start[k]++
	}
	return start[:s.n+1], pts
}

// xrange returns a range of x that holds the part of e inside band k.
func (s strips) xrange(e *edge, k int) (lo, hi int64) {
	lo, hi = int64(e.a.x), int64(e.b.x)
	dy := int64(e.b.y) - int64(e.a.y)
	if dy == 0 || hi-lo < 4 {
		return lo - 1, hi + 1
	}
	slope := float64(hi-lo) / float64(dy)
	at := func(y int64) int64 {
		return lo + int64(slope*float64(y-int64(e.a.y)))
	}
	ybot := s.y0 + int64(k)*s.high - 1
	x0, x1 := at(ybot), at(ybot+s.high+2)
	if x0 > x1 {
		x0, x1 = x1, x0
	}
	// The products above are good to a millionth of a step; two steps of slack.
	return max(lo-1, x0-2), min(hi+1, x1+2)
}

// passes reports whether e passes through the cell of p, that is the square of
// one step around it with the left and lower borders but without the right and
// upper ones. Its own ends do not count. Exact.
func passes(e *edge, p ipt) bool {
	if p == e.a || p == e.b {
		return false
	}
	dx, dy := int64(e.b.x)-int64(e.a.x), int64(e.b.y)-int64(e.a.y)
	ady := dy
	if ady < 0 {
		ady = -ady
	}
	if dx >= ady {
		if p.x <= e.a.x || p.x >= e.b.x {
			// Beside an end only one cell can be met: at its lower left
			// corner, by an edge that falls at exactly 45 degrees.
			return p.x == e.b.x && dx == -dy && int64(p.y) == int64(e.b.y)+1
		}
	} else {
		lo, hi := minmax(e.a.y, e.b.y)
		if p.y <= lo || p.y >= hi {
			return false
		}
	}
	// Twice the cross product at the centre, and what the corners add to it.
	c := 2 * orient(e.a, e.b, p)
	ll := c - dx + dy // lower left corner: cross(d, (-1,-1)) = -dx + dy
	if ll == 0 {
		return true
	}
	r := dx + ady
	return -r < c && c < r // the line runs through the inside
}

// sortAlong sorts points whose cells e passes from its start to its end.
func sortAlong(e *edge, pts []ipt) {
	up := e.b.y >= e.a.y
	slices.SortFunc(pts, func(p, q ipt) int {
		// Rounded points of a line never go back in either coordinate.
		if p.x != q.x {
			if p.x < q.x {
				return -1
			}
			return 1
		}
		if (p.y < q.y) == up {
			return -1
		}
		return 1
	})
}
