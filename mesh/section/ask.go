package section

import (
	"math"
	"slices"
)

// Contains reports whether q lies inside the region (borders may go either
// way): whether the rings wind round it.
func (p Polygons) Contains(q Point) bool {
	w := 0
	for _, r := range p {
		w += r.winding(q)
	}
	return w != 0
}

// winding returns how often the ring winds round q, counter-clockwise positive.
func (p Path) winding(q Point) int {
	if len(p) == 0 {
		return 0
	}
	w := 0
	a := p[len(p)-1]
	up := a[1] <= q[1]
	for _, b := range p {
		bUp := b[1] <= q[1]
		if up != bUp {
			left := float64((b[0]-a[0])*(q[1]-a[1])) > float64((b[1]-a[1])*(q[0]-a[0]))
			switch {
			case up && left:
				w++
			case !up && !left:
				w--
			}
		}
		a, up = b, bUp
	}
	return w
}

// Nearest returns the point of the border nearest to q and its distance; +Inf
// for the empty region.
func (p Polygons) Nearest(q Point) (Point, float64) {
	best, at := math.Inf(1), Point{}
	for _, r := range p {
		for i, a := range r {
			b := r[next(i, len(r))]
			c := nearestOn(a, b, q)
			if d := float64((c[0]-q[0])*(c[0]-q[0])) + float64((c[1]-q[1])*(c[1]-q[1])); d < best {
				best, at = d, c
			}
		}
	}
	return at, math.Sqrt(best)
}

// nearestOn returns the point of the segment a-b nearest to q.
func nearestOn(a, b, q Point) Point {
	dx, dy := b[0]-a[0], b[1]-a[1]
	l := float64(dx*dx) + float64(dy*dy)
	if l == 0 {
		return a
	}
	t := (float64((q[0]-a[0])*dx) + float64((q[1]-a[1])*dy)) / l
	switch {
	case !(t > 0):
		return a
	case t >= 1:
		return b
	}
	return Point{a[0] + float64(t*dx), a[1] + float64(t*dy)}
}

// A crossing of a line with the border: run along the line, and how the winding
// number changes there.
type pass struct {
	run  float64
	turn int
}

// Spans returns the parts of the line inside the region, as pairs of runs from
// l.From in growing order. A border point on the line counts as left of it: the
// line is read as passing just right of it, so that a side in the line is inside
// or outside as a whole. Touching spans are one.
func (p Polygons) Spans(l Line) [][2]float64 {
	var hits []pass
	for _, r := range p {
		hits = l.passes(hits, r)
	}
	return spans(hits)
}

// passes appends where ring r crosses the line.
func (l Line) passes(hits []pass, r Path) []pass {
	if len(r) == 0 {
		return hits
	}
	side := func(q Point) float64 {
		return float64(l.Dir[0]*(q[1]-l.From[1])) - float64(l.Dir[1]*(q[0]-l.From[0]))
	}
	run := func(q Point) float64 {
		return float64(l.Dir[0]*(q[0]-l.From[0])) + float64(l.Dir[1]*(q[1]-l.From[1]))
	}
	a := r[len(r)-1]
	ha := side(a)
	for _, b := range r {
		hb := side(b)
		if ha >= 0 != (hb >= 0) {
			// From the same end whichever way the side is walked.
			x := pass{turn: 1}
			if hb >= 0 {
				x.turn = -1
				x.run = between(run(a), run(b), ha/(ha-hb))
			} else {
				x.run = between(run(b), run(a), hb/(hb-ha))
			}
			hits = append(hits, x)
		}
		a, ha = b, hb
	}
	return hits
}

// spans turns crossings into the intervals where the winding number is not zero.
func spans(hits []pass) [][2]float64 {
	if len(hits) == 0 {
		return nil
	}
	slices.SortFunc(hits, func(a, b pass) int {
		switch {
		case a.run < b.run:
			return -1
		case a.run > b.run:
			return 1
		}
		return b.turn - a.turn
	})
	var out [][2]float64
	w, from := 0, 0.0
	for _, h := range hits {
		was := w
		w += h.turn
		switch {
		case was == 0:
			from = h.run
		case w == 0 && h.run > from:
			if n := len(out); n > 0 && out[n-1][1] == from {
				out[n-1][1] = h.run
			} else {
				out = append(out, [2]float64{from, h.run})
			}
		}
	}
	return out
}

// ClipLine returns the parts of the polyline inside the region, in order along
// it. Parts shorter than a grid step are left out.
func (p Polygons) ClipLine(line []Point) [][]Point {
	const least = 1.0 / (1 << finest)
	var out [][]Point
	open := false // the last part ends at the corner reached
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		d := Point{b[0] - a[0], b[1] - a[1]}
		l := math.Sqrt(float64(d[0]*d[0]) + float64(d[1]*d[1]))
		if !(l > 0) || math.IsInf(l, 1) {
			continue
		}
		d[0], d[1] = d[0]/l, d[1]/l
		at := func(s float64) Point {
			switch s {
			case 0:
				return a
			case l:
				return b
			}
			return along(a, d, s)
		}
		reached := false
		for _, s := range p.Spans(Line{a, d}) {
			s[0], s[1] = math.Max(s[0], 0), math.Min(s[1], l)
			if s[1]-s[0] < least {
				continue
			}
			if n := len(out); n > 0 && open && s[0] == 0 {
				out[n-1] = append(out[n-1], at(s[1]))
			} else {
				out = append(out, []Point{at(s[0]), at(s[1])})
			}
			reached = s[1] == l
		}
		open = reached
	}
	return out
}

// Inside returns a point inside the region, away from the border as far as a
// few probes find; ok is false for a region without area. The probes are the
// middles of the longest spans of seven lines across the largest ring.
func (p Polygons) Inside() (q Point, ok bool) {
	var big Path
	area := 0.0
	for _, r := range p {
		if a := r.Area(); a > area {
			big, area = r, a
		}
	}
	b, _ := big.Bounds()
	best := 0.0
	for k := 1; k < 8 && area > 0; k++ {
		y := b.Min[1] + (b.Max[1]-b.Min[1])*float64(k)/8
		for _, s := range p.Spans(Line{Point{0, y}, Point{1, 0}}) {
			c := Point{(s[0] + s[1]) / 2, y}
			if !b.Holds(c) {
				continue
			}
			if _, d := p.Nearest(c); d > best {
				q, best, ok = c, d, true
			}
		}
	}
	return q, ok
}

// Sample returns the points of the lattice of the given step (multiples of it
// in both coordinates) inside the region, row by row.
func (p Polygons) Sample(step float64) []Point {
	b, ok := p.Bounds()
	if !ok || !(step > 0) {
		return nil
	}
	var out []Point
	for j := math.Ceil(b.Min[1] / step); j*step <= b.Max[1]; j++ {
		for _, s := range p.Spans(Line{Point{0, j * step}, Point{1, 0}}) {
			for i := math.Ceil(s[0] / step); i*step <= s[1]; i++ {
				out = append(out, Point{i * step, j * step})
			}
		}
	}
	return out
}
