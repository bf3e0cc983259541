package rib

import (
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"falsework/mesh/section"
)

// How many directions the sieve looks in from a point, and again where it finds
// nothing in these: along a narrow strip they see too little.
const (
	rays     = 16
	fineRays = 72
)

// fan returns so many directions all round, none of them along an axis.
func fan(n int) []section.Point {
	out := make([]section.Point, n)
	for k := range out {
		out[k] = heading(float64(2*math.Pi*float64(k)/float64(n)) + 0.01)
	}
	return out
}

var coarse, fine = fan(rays), fan(fineRays)

// A sieve is a quick look at whether ribs can carry a ceiling: from some
// hundred points of the footprint and its border, cruder than
// [span.Survey.Judge] but a thousand times as fast. It sorts layouts and decides
// nothing: what it doubts is judged last.
type sieve struct {
	*view
	inside []lookout
	finely []func() *lookout // the same along the fine rays
	border []*watch          // points just inside the border
	grain  float64           // spacing of the points inside
	failed atomic.Int32      // where on the border the last layout failed: the next will too, so it is asked there first
}

// A watch is a point just inside the border with those a ledge away, which most
// layouts do not ask for: they look about when the first does.
type watch struct {
	lookout
	around, finely func() []lookout
}

// A lookout is a point and what it sees along the rays of a fan.
type lookout struct {
	at   section.Point
	held []float64 // distance to the border, infinite where that is free
	any  []float64 // distance to the border
	near float64   // distance to the nearest held border
}

func newSieve(v *view) *sieve {
	area := v.foot.Area()
	cells, grain := middles(v.foot, max(0.5, math.Sqrt(area/500)))
	s := &sieve{view: v, grain: grain, inside: make([]lookout, len(cells)), finely: make([]func() *lookout, len(cells))}
	edge := s.alongBorder()
	s.border = make([]*watch, len(edge))
	each(len(cells)+len(edge), func(i int) bool {
		if i < len(cells) {
			s.inside[i] = s.look(cells[i], coarse)
			s.finely[i] = sync.OnceValue(func() *lookout {
				o := s.look(cells[i], fine)
				return &o
			})
		} else {
			s.border[i-len(cells)] = s.watch(edge[i-len(cells)])
		}
		return true
	})
	return s
}

// alongBorder returns points just inside the border.
func (s *sieve) alongBorder() []section.Point {
	var total float64
	for _, ring := range s.foot {
		for i, q := range ring {
			total += dist(q, ring[(i+1)%len(ring)])
		}
	}
	var out []section.Point
	step, left := max(2, total/120), 0.0
	for _, ring := range s.foot {
		for i, q := range ring {
			d, l := unit(q, ring[(i+1)%len(ring)])
			a := axis{q, d}
			for ; left < l; left += step {
				if p := a.off(left, 0.1); inside(s.foot, p) {
					out = append(out, p)
				}
			}
			left -= l
		}
	}
	return out
}

// watch looks from a point of the border.
func (s *sieve) watch(q section.Point) *watch {
	far := 0.95 * s.sv.Ledge
	return &watch{s.look(q, coarse),
		sync.OnceValue(func() []lookout { return s.round(q, far, coarse) }),
		sync.OnceValue(func() []lookout { return append(s.round(q, far, fine), s.look(q, fine)) })}
}

// round looks from the points so far from one that lie inside.
func (s *sieve) round(q section.Point, far float64, ways []section.Point) (out []lookout) {
	for _, d := range coarse {
		if p := (axis{q, d}).at(far); inside(s.foot, p) {
			out = append(out, s.look(p, ways))
		}
	}
	return out
}

// look casts rays from a point to the border: along each, the first crossing
// ahead, if the point lies inside as an odd number behind says.
func (s *sieve) look(q section.Point, ways []section.Point) lookout {
	both := make([]float64, 2*len(ways))
	o := lookout{at: q, near: s.held.nearest(q), held: both[:len(ways)], any: both[len(ways):]}
	for k, d := range ways {
		a := axis{q, d}
		first, behind := math.Inf(1), 0
		for _, ring := range s.foot {
			r := ring[len(ring)-1]
			dr := a.left(r)
			for _, p := range ring {
				dp := a.left(p)
				if (dr < 0) != (dp < 0) {
					t := dr / (dr - dp)
					ur := a.run(r)
					if u := ur + float64(t*(a.run(p)-ur)); u > 0 {
						first = min(first, u)
					} else {
						behind++
					}
				}
				r, dr = p, dp
			}
		}
		o.held[k], o.any[k] = math.Inf(1), math.Inf(1)
		if behind%2 == 1 && first < math.Inf(1) {
			o.any[k] = first
			if s.wall(a.at(first)) {
				o.held[k] = first
			}
		}
	}
	return o
}

// passes tells whether a layout looks as if it carried.
func (s *sieve) passes(l *layout) bool {
	slack := 0.3
	limit := 1.02*s.s.Spacing + slack
	lines := see(l, coarse)
	closely := sync.OnceValue(func() []seen { return see(l, fine) })
	n, first := len(s.border), int(s.failed.Load())
	for i := range n {
		at := (i + first) % n
		w := s.border[at]
		near := gapTo(&w.lookout, lines)
		ok := near <= s.s.Spacing/2+slack
		if ok && near > s.sv.Ledge && s.thin == 0 && !strand(&w.lookout, lines, limit, coarseBend) {
			ok = slices.ContainsFunc(w.around(), func(o lookout) bool { return strand(&o, lines, limit, coarseBend) }) ||
				slices.ContainsFunc(w.finely(), func(o lookout) bool { return strand(&o, closely(), limit, fineBend) })
		}
		if !ok {
			s.failed.Store(int32(at))
			return false
		}
	}
	if s.thin > 0 {
		return true // straight rays see too little of a narrow strip
	}
	good := make([]bool, len(s.inside))
	var bad []int
	for i := range s.inside {
		o := &s.inside[i]
		near := gapTo(o, lines)
		if near > s.s.Spacing/2+slack {
			return false
		}
		good[i] = near <= s.sv.Ledge || strand(o, lines, limit, coarseBend)
		if !good[i] {
			bad = append(bad, i)
		}
	}
	for _, i := range bad {
		ok := false
		for j := range s.inside {
			if good[j] && dist(s.inside[i].at, s.inside[j].at) <= s.sv.Ledge+s.grain {
				ok = true
				break
			}
		}
		if o := s.finely[i]; !ok && !strand(o(), closely(), limit, fineBend) {
			return false
		}
	}
	return true
}

// A seen is a rib as rays see it.
type seen struct {
	axis
	under stretch
	along []section.Point // direction of a ray over the sine between it and the rib; zero where they are parallel
	far   []float64       // one over that sine
}

func see(l *layout, ways []section.Point) []seen {
	out := make([]seen, len(l.lines))
	for i, r := range l.lines {
		x := &out[i]
		x.axis, x.under = r.axis, r.under
		x.along, x.far = make([]section.Point, len(ways)), make([]float64, len(ways))
		for k, w := range ways {
			if cross := float64(w[0]*r.dir[1]) - float64(w[1]*r.dir[0]); math.Abs(cross) >= 1e-9 {
				x.far[k] = 1 / cross
				x.along[k] = section.Point{w[0] / cross, w[1] / cross}
			}
		}
	}
	return out
}

// gapTo is the straight distance to what holds.
func gapTo(o *lookout, lines []seen) float64 {
	near := float64(o.near * o.near)
	for i := range lines {
		r := &lines[i]
		dx, dy := o.at[0]-r.from[0], o.at[1]-r.from[1]
		u := float64(dx*r.dir[0]) + float64(dy*r.dir[1])
		v := float64(dy*r.dir[0]) - float64(dx*r.dir[1])
		u -= min(max(u, r.under.from), r.under.to)
		near = min(near, float64(u*u)+float64(v*v))
	}
	return math.Sqrt(near)
}

// How many rays of a fan lie at least between the two halves of a strand, as it may
// bend by no more: 112 degrees, 115, and 170.
const (
	coarseBend = 5
	fineBend   = 23
	hardlyBent = 34
)

// strand looks for two ways from a point to what holds, so many rays or more
// apart, no longer together than the limit.
func strand(o *lookout, lines []seen, limit float64, turn int) bool {
	var room [fineRays]float64
	d := room[:copy(room[:], o.held)]
	for i := range lines {
		r := &lines[i]
		dx, dy := r.from[0]-o.at[0], r.from[1]-o.at[1]
		off := float64(dx*r.dir[1]) - float64(dy*r.dir[0])
		if math.Abs(off) > limit {
			continue // no way to it is shorter
		}
		for k := range d {
			t := off * r.far[k]
			if t > 0 && t < d[k] && t <= o.any[k]+0.5 {
				w := &r.along[k]
				if u := float64(dx*w[1]) - float64(dy*w[0]); u >= r.under.from && u <= r.under.to {
					d[k] = t
				}
			}
		}
	}
	n := len(d)
	for a := range n {
		if d[a] > limit {
			continue
		}
		for k := turn; k <= n-turn; k++ {
			if d[a]+d[(a+k)%n] <= limit {
				return true
			}
		}
	}
	return false
}

// A queue hands out layouts in the order in which they are tried: those that
// pass the sieve before the others, each kind by cost. It sifts no more of them
// than are asked for, since a search mostly ends with the first few.
type queue struct {
	*sieve
	all   []layout
	order []int          // in which they are handed out, as far as it is known
	rest  []int          // those that did not pass
	done  int            // so many of all are sifted
	tried map[string]int // by kind, how many of order pass
}

// sifted is how many layouts go through the sieve at once.
const sifted = 16

// newQueue returns the layouts under a ceiling.
func newQueue(v *view) *queue {
	return &queue{sieve: newSieve(v), all: v.layouts(), tried: map[string]int{}}
}

// at returns the layout handed out as number i; nil after the last, or when it
// costs more than most.
func (q *queue) at(i int, most float64) *layout {
	for i >= len(q.order) && q.done < len(q.all) {
		if q.all[q.done].cost > most {
			return nil
		}
		q.sift()
	}
	if i < len(q.order) {
		return q.cheap(q.order[i], most)
	}
	if i -= len(q.order); i < len(q.rest) {
		return q.cheap(q.rest[i], most)
	}
	return nil
}

// drained tells whether all layouts are sifted.
func (q *queue) drained() bool { return q.done == len(q.all) }

func (q *queue) cheap(i int, most float64) *layout {
	if q.all[i].cost > most {
		return nil
	}
	return &q.all[i]
}

// sift looks at the next layouts.
func (q *queue) sift() {
	next := q.all[q.done:min(q.done+sifted, len(q.all))]
	var pass [sifted]bool
	each(len(next), func(i int) bool {
		pass[i] = q.tried[next[i].kind] < alike && q.passes(&next[i])
		return true
	})
	for i := range next {
		l := &next[i]
		if pass[i] && q.tried[l.kind] < alike {
			q.tried[l.kind]++
			q.order = append(q.order, q.done+i)
		} else {
			l.doubt = true
			q.rest = append(q.rest, q.done+i)
		}
	}
	q.done += len(next)
}
