package rib

import (
	"math"

	"falsework/mesh/section"
)

// rays is how many directions the sieve looks in from a point.
const rays = 16

// A sieve is a quick look at whether ribs can carry a ceiling: from some
// hundred points of the footprint and its border, straight strands only,
// cruder than [span.Survey.Judge] but a thousand times as fast. It sorts
// layouts and decides nothing: what it doubts is judged last.
type sieve struct {
	*view
	way    [rays]section.Point
	inside []lookout
	border [][]lookout // points just inside the border, each with those a ledge away
	grain  float64     // spacing of the points inside
}

// A lookout is a point and what it sees.
type lookout struct {
	at   section.Point
	held [rays]float64 // distance to the border, infinite where that is free
	any  [rays]float64 // distance to the border
	near float64       // distance to the nearest held border
}

func newSieve(v *view) *sieve {
	area := v.foot.Area()
	cells, grain := middles(v.foot, max(0.5, math.Sqrt(area/500)))
	s := &sieve{view: v, grain: grain}
	for k := range s.way {
		s.way[k] = heading(float64(2*math.Pi*float64(k)/rays) + 0.01)
	}
	for _, q := range cells {
		s.inside = append(s.inside, s.look(q))
	}
	var total float64
	for _, ring := range v.foot {
		for i, q := range ring {
			total += dist(q, ring[(i+1)%len(ring)])
		}
	}
	step, left := max(2, total/120), 0.0
	for _, ring := range v.foot {
		for i, q := range ring {
			d, l := unit(q, ring[(i+1)%len(ring)])
			a := axis{q, d}
			for ; left < l; left += step {
				s.watch(a.off(left, 0.1))
			}
			left -= l
		}
	}
	return s
}

// watch adds a point of the border.
func (s *sieve) watch(q section.Point) {
	if !inside(s.foot, q) {
		return
	}
	w := []lookout{s.look(q)}
	for _, d := range s.way {
		p := axis{q, d}.at(0.95 * s.sv.Ledge)
		if inside(s.foot, p) {
			w = append(w, s.look(p))
		}
	}
	s.border = append(s.border, w)
}

// look casts rays from a point to the border.
func (s *sieve) look(q section.Point) lookout {
	o := lookout{at: q, near: s.held.nearest(q)}
	for k, d := range s.way {
		a := axis{q, d}
		o.held[k], o.any[k] = math.Inf(1), math.Inf(1)
		for _, x := range clip(s.foot, a) {
			if x.from <= 0 && x.to > 0 {
				o.any[k] = x.to
				if s.wall(a.at(x.to)) {
					o.held[k] = x.to
				}
			}
		}
	}
	return o
}

// passes tells whether a layout looks as if it carried.
func (s *sieve) passes(l *layout) bool {
	slack := 0.3
	limit := 1.02*s.s.Spacing + slack
	for _, w := range s.border {
		near := s.close(&w[0], l)
		if near > s.s.Spacing/2+slack {
			return false
		}
		ok := near <= s.sv.Ledge || s.thin > 0
		for k := 0; k < len(w) && !ok; k++ {
			ok = s.strand(&w[k], l, limit)
		}
		if !ok {
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
		near := s.close(o, l)
		if near > s.s.Spacing/2+slack {
			return false
		}
		good[i] = near <= s.sv.Ledge || s.strand(o, l, limit)
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
		if !ok {
			return false
		}
	}
	return true
}

// close is the straight distance to what holds.
func (s *sieve) close(o *lookout, l *layout) float64 {
	near := o.near
	for _, r := range l.lines {
		u := min(max(r.run(o.at), r.under.from), r.under.to)
		near = min(near, dist(o.at, r.axis.at(u)))
	}
	return near
}

// strand looks for two ways from a point to what holds, leaving it at 112
// degrees or more, no longer together than the limit.
func (s *sieve) strand(o *lookout, l *layout, limit float64) bool {
	d, q := o.held, o.at
	for _, r := range l.lines {
		for k, w := range s.way {
			cross := float64(w[0]*r.dir[1]) - float64(w[1]*r.dir[0])
			if math.Abs(cross) < 1e-9 {
				continue
			}
			dx, dy := r.from[0]-q[0], r.from[1]-q[1]
			t := (float64(dx*r.dir[1]) - float64(dy*r.dir[0])) / cross
			u := (float64(dx*w[1]) - float64(dy*w[0])) / cross
			if t > 0 && t < d[k] && t <= o.any[k]+0.5 && u >= r.under.from && u <= r.under.to {
				d[k] = t
			}
		}
	}
	for a := 0; a < rays; a++ {
		if d[a] > limit {
			continue
		}
		for k := 5; k <= 11; k++ {
			if d[a]+d[(a+k)%rays] <= limit {
				return true
			}
		}
	}
	return false
}

// sift puts the layouts that look good before the others, each kind by cost.
func (s *sieve) sift(all []layout) []layout {
	good := make([]layout, 0, len(all))
	var rest []layout
	tried := map[string]int{}
	for _, l := range all {
		if tried[l.kind] < alike && s.passes(&l) {
			tried[l.kind]++
			good = append(good, l)
		} else {
			l.doubt = true
			rest = append(rest, l)
		}
	}
	return append(good, rest...)
}
