package rib

import (
	"math"

	"falsework/mesh/section"
)

// rays is how many directions the sieve looks in from a point.
const rays = 16

// A sieve is a quick look at whether ribs can carry a ceiling: from a few
// hundred points of the footprint, straight strands only, cruder than
// [span.Survey.Judge] but a thousand times as fast. It sorts layouts and
// decides nothing: what it doubts is judged last.
type sieve struct {
	*view
	at    []section.Point
	way   [rays]section.Point
	held  [][rays]float64 // distance to the border, infinite where that is free
	any   [][rays]float64 // distance to the border
	close []float64       // distance to the nearest held border
}

func newSieve(v *view) *sieve {
	area := v.foot.Area()
	g := newRaster(v.foot, max(0.5, math.Sqrt(area/700)))
	s := &sieve{view: v, at: g.cells}
	s.held = make([][rays]float64, len(s.at))
	s.any = make([][rays]float64, len(s.at))
	s.close = make([]float64, len(s.at))
	for k := range s.way {
		s.way[k] = heading(float64(2*math.Pi*float64(k)/rays) + 0.01)
	}
	for i, q := range s.at {
		s.close[i] = nearest(v.c.Held, q)
		for k, d := range s.way {
			a := axis{q, d}
			s.held[i][k], s.any[i][k] = math.Inf(1), math.Inf(1)
			for _, x := range clip(v.foot, a) {
				if x.from <= 0 && x.to > 0 {
					s.any[i][k] = x.to
					if v.wall(a.at(x.to)) {
						s.held[i][k] = x.to
					}
				}
			}
		}
	}
	return s
}

// passes tells whether a layout looks as if it carried.
func (s *sieve) passes(l *layout) bool {
	slack := 1 + s.v2()
	limit := s.s.Spacing + slack
	good := make([]bool, len(s.at))
	var bad []int
	for i, q := range s.at {
		near := s.close[i]
		for _, r := range l.lines {
			u := min(max(r.run(q), r.under.from), r.under.to)
			near = min(near, dist(q, r.axis.at(u)))
		}
		if near > s.s.Spacing/2+slack {
			return false
		}
		good[i] = near <= s.sv.Ledge || s.strand(i, l, limit)
		if !good[i] {
			bad = append(bad, i)
		}
	}
	for _, i := range bad {
		ok := false
		for j := range s.at {
			if good[j] && dist(s.at[i], s.at[j]) <= s.sv.Ledge+slack {
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

// v2 is the spacing of the points: what the sieve cannot see.
func (s *sieve) v2() float64 {
	if len(s.at) == 0 {
		return 0
	}
	return math.Sqrt(s.foot.Area() / float64(len(s.at)))
}

// strand looks for two ways from a point to what holds, leaving it at 112
// degrees or more, no longer together than the limit.
func (s *sieve) strand(i int, l *layout, limit float64) bool {
	d := s.held[i]
	q := s.at[i]
	for _, r := range l.lines {
		for k, w := range s.way {
			cross := float64(w[0]*r.dir[1]) - float64(w[1]*r.dir[0])
			if math.Abs(cross) < 1e-9 {
				continue
			}
			dx, dy := r.from[0]-q[0], r.from[1]-q[1]
			t := (float64(dx*r.dir[1]) - float64(dy*r.dir[0])) / cross
			u := (float64(dx*w[1]) - float64(dy*w[0])) / cross
			if t > 0 && t < d[k] && t <= s.any[i][k]+0.5 && u >= r.under.from && u <= r.under.to {
				d[k] = t
			}
		}
	}
	for a := 0; a < rays; a++ {
		if d[a] > limit {
			continue
		}
		for o := 5; o <= 11; o++ {
			if d[a]+d[(a+o)%rays] <= limit {
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
	for _, l := range all {
		if len(good) < 60 && s.passes(&l) {
			good = append(good, l)
		} else {
			rest = append(rest, l)
		}
	}
	return append(good, rest...)
}
