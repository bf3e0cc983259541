package rib

import (
	"fmt"
	"math"

	"falsework/mesh/section"
)

// rimmed returns layouts for a ceiling with a free rim that is curved, such as a
// balcony, a round table or a shelter on posts: chains of straight webs along the
// rim, just inside it, and a parallel family in what they leave. Parallel families
// alone fail there, since where the rim runs nearly along them the tip beyond the
// last rib is wider than the ledge.
func (v *view) rimmed(ways []section.Point, walls int) []layout {
	var out []layout
	for k, r := range v.rimChains() {
		if !r.curved {
			continue
		}
		for i, d := range ways {
			if i >= walls && (i-walls)%3 != 0 {
				continue // a chain along the rim makes up for the direction
			}
			for _, l := range v.fill(r, d) {
				l.kind = fmt.Sprint("rim ", k, " ", l.kind)
				if l.oblique = i >= walls; !l.oblique {
					l.kind += fmt.Sprint(" along wall ", i)
				}
				out = append(out, l)
			}
		}
	}
	return out
}

// A rimChain is the ribs along the free parts of the border.
type rimChain struct {
	lines  []ribLine
	within section.Polygons // what they leave for others
	curved bool             // some follow one another round a bend
}

// rimChains returns two ways to follow the free border: from corner to corner
// just inside it, which takes fewest ribs where it bulges, and to both sides of a
// line further in, for where it is hollow. What hangs beyond them stays within
// the ledge.
func (v *view) rimChains() []rimChain {
	first := v.s.Setback + v.s.Width/2
	slack := max(0.3, 0.8*(v.sv.Ledge-first))
	return []rimChain{
		v.rimChain(first, slack, 0.1),
		v.rimChain(first+slack/2, slack/2, slack/2),
	}
}

// rimChain follows the free border so far in from it; ribs stray inwards and
// outwards from there by at most the given.
func (v *view) rimChain(inset, inwards, outwards float64) rimChain {
	c := rimChain{within: section.Offset(v.foot, -(inset + inwards + v.s.Width/2 + v.s.Setback), section.Round)}
	for _, ring := range section.Offset(v.foot, -inset, section.Round) {
		for _, run := range v.freeRuns(ring, inset) {
			at := evenCorners(run, inwards, outwards)
			for k := 1; k < len(at); k++ {
				a, b := run[at[k-1]], run[at[k]]
				d, l := unit(a, b)
				if l < v.least {
					continue
				}
				c.lines = append(c.lines, v.rimRibs(axis{a, d}, l)...)
				if k > 1 {
					was, _ := unit(run[at[k-2]], a)
					turn := math.Abs(math.Atan2(float64(was[0]*d[1])-float64(was[1]*d[0]), float64(was[0]*d[0])+float64(was[1]*d[1])))
					c.curved = c.curved || turn > 1e-3 && turn < 60*math.Pi/180
				}
			}
		}
	}
	return c
}

// rimRibs cuts a chord of the rim; at a wall near its end it enters that.
func (v *view) rimRibs(a axis, l float64) []ribLine {
	var out []ribLine
	for _, s := range v.stretches(a) {
		from, to := max(s.from, 0), min(s.to, l)
		hold := [2]bool{}
		if s.from < 0 && s.from > -2*v.sv.Ledge && v.wall(a.at(s.from)) {
			from, hold[0] = s.from, true
		}
		if s.to > l && s.to < l+2*v.sv.Ledge && v.wall(a.at(s.to)) {
			to, hold[1] = s.to, true
		}
		if to-from >= v.least {
			r := v.line(a, stretch{from, to})
			r.hold = hold
			out = append(out, r)
		}
	}
	return out
}

// freeRuns returns the parts of a ring inset from the border that run along what
// is free of it and out of reach of what is held, as chains of points at most
// rimStep apart. A ring that is free all round starts and ends at the corner
// farthest from its middle.
func (v *view) freeRuns(ring section.Path, inset float64) [][]section.Point {
	pts := densified(ring, rimStep)
	n := len(pts)
	free := make([]bool, n)
	start, all := 0, true
	for i, q := range pts {
		free[i] = v.free.nearest(q) < inset+0.1 && v.held.nearest(q) > v.sv.Ledge
		if !free[i] {
			start, all = i, false
		}
	}
	if all {
		return [][]section.Point{opened(pts)}
	}
	var out [][]section.Point
	var run []section.Point
	for i := 1; i <= n; i++ {
		if k := (start + i) % n; free[k] {
			run = append(run, pts[k])
			continue
		}
		if len(run) > 1 {
			out = append(out, run)
		}
		run = nil
	}
	return out
}

// rimStep is how finely a rim is looked at, mm: finer than the shortest ledge that counts.
const rimStep = 1.0

func densified(ring section.Path, step float64) []section.Point {
	var out []section.Point
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		d, l := unit(p, q)
		n := max(1, int(math.Ceil(l/step)))
		for k := range n {
			out = append(out, axis{p, d}.at(float64(float64(k)/float64(n)*l)))
		}
	}
	return out
}

// opened cuts a ring open at the corner farthest from its middle, which then is
// its first point and its last.
func opened(ring []section.Point) []section.Point {
	var c section.Point
	for _, q := range ring {
		c[0] += q[0] / float64(len(ring))
		c[1] += q[1] / float64(len(ring))
	}
	first := 0
	for i, q := range ring {
		if dist(q, c) > dist(ring[first], c)+1e-6 {
			first = i
		}
	}
	return append(append([]section.Point(nil), ring[first:]...), ring[:first+1]...)
}

// corners picks points of a chain so that the chords between them stray from it
// by at most so much to the left, where the ceiling is, and to the right: as few
// as a walk along it finds.
func corners(run []section.Point, left, right float64) []int {
	at := []int{0}
	for i := 0; i < len(run)-1; {
		j := i + 1
		for j+1 < len(run) && chordFits(run, i, j+1, left, right) {
			j++
		}
		at = append(at, j)
		i = j
	}
	return at
}

// evenCorners are corners at equal arcs of a chain of equal steps, where as few
// will do.
func evenCorners(run []section.Point, left, right float64) []int {
	at := corners(run, left, right)
	n := len(at) - 1
	even := make([]int, n+1)
	for k := range even {
		even[k] = k * (len(run) - 1) / n
		if k > 0 && !chordFits(run, even[k-1], even[k], left, right) {
			return at
		}
	}
	return even
}

// chordFits tells whether a chain between two of its points strays from their
// chord no further, and does not turn back.
func chordFits(run []section.Point, i, j int, left, right float64) bool {
	d, l := unit(run[i], run[j])
	if l == 0 {
		return false
	}
	a := axis{run[i], d}
	for k := i + 1; k < j; k++ {
		// What lies to the right of the chord has it on its left.
		if x := a.left(run[k]); x < -left || x > right {
			return false
		}
		if u := a.run(run[k]); u < 0 || u > l {
			return false
		}
	}
	return true
}

// fill stands a parallel family, from the least number of ribs to two more,
// within the chain along a rim.
func (v *view) fill(r rimChain, d section.Point) []layout {
	a := axis{dir: d}
	lo, hi := extent(v.foot, a)
	w, first := v.s.Width, v.s.Setback+v.s.Width/2
	if !v.wallAt(a, lo) {
		lo += first + w/2
	}
	if !v.wallAt(a, hi) {
		hi -= first + w/2
	}
	least := max(0, int(math.Ceil((hi-lo-v.s.Spacing)/(v.s.Spacing+w)-1e-9)))
	var out []layout
	for n := least; n <= least+2; n++ {
		bay := (hi - lo - float64(float64(n)*w)) / float64(n+1)
		if bay < 2*w {
			break
		}
		l := layout{bay: bay, kind: fmt.Sprint("family ", n-least), lines: append([]ribLine(nil), r.lines...)}
		for i := range n {
			l.lines = append(l.lines, v.filling(a.shift(lo+bay+w/2+float64(float64(i)*(bay+w))), r.within)...)
		}
		more := len(l.lines) - len(r.lines)
		if l.words = fmt.Sprintf("%s along the free edge", count(len(r.lines), "rib")); more > 0 {
			l.words += fmt.Sprintf(" and %d inside, bays of %.1f mm", more, bay)
		}
		out = append(out, l)
	}
	return out
}

// filling are the parts of an axis under the ceiling as far as the chain along
// the rim leaves room; they end in walls where there are walls.
func (v *view) filling(a axis, within section.Polygons) []ribLine {
	var out []ribLine
	free := clip(within, a)
	for _, s := range v.stretches(a) {
		r := v.line(a, s)
		if !r.hold[0] || !r.hold[1] {
			from, to := math.Inf(1), math.Inf(-1)
			for _, f := range free {
				if f.to > s.from && f.from < s.to {
					from, to = min(from, f.from), max(to, f.to)
				}
			}
			if r.hold[0] {
				from = s.from
			}
			if r.hold[1] {
				to = s.to
			}
			if to-from < v.least {
				continue
			}
			hold := r.hold
			r = v.line(a, stretch{from, to})
			r.hold = hold
		}
		out = append(out, r)
	}
	return out
}

// wallAt tells whether the footprint ends in a wall so far to the left of an axis.
func (v *view) wallAt(a axis, side float64) bool {
	var best section.Point
	near := math.Inf(1)
	for _, ring := range v.foot {
		for _, q := range ring {
			if d := math.Abs(a.left(q) - side); d < near {
				near, best = d, q
			}
		}
	}
	return v.wall(best)
}
