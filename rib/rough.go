package rib

import (
	"math"

	"falsework/mesh/section"
)

// A rough section is read off the probes along a line: as true as their grid in
// run, exact in height on it. An estimate is made on one, since an exact cut
// costs more than all that follows where a part has a million facets.

// roughWay is how far beyond its stretch the part is read along a rib: as far
// as corbels reach that are worth a look. A piece that rises by more than
// roughStep a step ends in an upright face, and its borders are drawn within
// roughTol.
const (
	roughWay  = 30.0
	roughStep = 4.0
	roughTol  = 0.1
)

// A band is a piece of a rough section that grows from left to right.
type band struct {
	low, high rail
	last      stretch
	met       int // stretches of the next line that it overlaps
	next      int // one of them
}

// rough is the section along a rib.
func (p *probes) rough(r ribLine) section.Polygons {
	var out section.Polygons
	var open []*band
	step := p.cell
	n := int(math.Ceil((r.under.length() + 2*roughWay) / step))
	u := r.under.mid() - float64(step*float64(n-1)/2)
	for range n {
		lines := p.at(r.at(u))
		hits := make([]int, len(lines)) // bands that a stretch overlaps
		for _, b := range open {
			b.met = 0
			for i, s := range lines {
				if s.from < b.last.to && s.to > b.last.from {
					b.met++
					b.next = i
					hits[i]++
				}
			}
		}
		edge := u - step/2
		var on []*band
		taken := make([]bool, len(lines))
		for _, b := range open {
			if b.met == 1 && hits[b.next] == 1 && b.last.near(lines[b.next], roughStep*step) {
				b.last = lines[b.next]
				b.low.add(section.Point{u, b.last.from})
				b.high.add(section.Point{u, b.last.to})
				taken[b.next] = true
				on = append(on, b)
			} else {
				out = append(out, b.close(edge))
			}
		}
		for i, s := range lines {
			if !taken[i] {
				b := &band{last: s}
				b.low.add(section.Point{edge, s.from})
				b.high.add(section.Point{edge, s.to})
				b.low.add(section.Point{u, s.from})
				b.high.add(section.Point{u, s.to})
				on = append(on, b)
			}
		}
		open = on
		u += step
	}
	for _, b := range open {
		out = append(out, b.close(u-step/2))
	}
	return out
}

// near tells whether both ends of two stretches are no further apart.
func (s stretch) near(o stretch, most float64) bool {
	return math.Abs(s.from-o.from) <= most && math.Abs(s.to-o.to) <= most
}

// close ends a band at a run and returns its outline.
func (b *band) close(u float64) section.Path {
	b.low.add(section.Point{u, b.last.from})
	b.high.add(section.Point{u, b.last.to})
	out := b.low.points()
	back := b.high.points()
	for i := len(back) - 1; i >= 0; i-- {
		out = append(out, back[i])
	}
	return out
}

// A rail is a line drawn from left to right with no more corners than keep it
// within roughTol of the points it was given: while one straight piece from the
// last corner passes them all, the piece grows.
type rail struct {
	corners section.Path
	last    section.Point
	slope   [2]float64 // between which the piece passes all since the last corner
}

func (l *rail) add(q section.Point) {
	n := len(l.corners)
	if n == 0 {
		l.corners, l.last = append(l.corners, q), q
		l.slope = [2]float64{math.Inf(-1), math.Inf(1)}
		return
	}
	from := l.corners[n-1]
	run := q[0] - from[0]
	if run <= 0 {
		return
	}
	if s := (q[1] - from[1]) / run; s < l.slope[0] || s > l.slope[1] {
		l.corners = append(l.corners, l.last)
		from = l.last
		run = q[0] - from[0]
		l.slope = [2]float64{math.Inf(-1), math.Inf(1)}
	}
	l.slope[0] = max(l.slope[0], (q[1]-from[1]-roughTol)/run)
	l.slope[1] = min(l.slope[1], (q[1]-from[1]+roughTol)/run)
	l.last = q
}

func (l *rail) points() section.Path {
	if n := len(l.corners); n > 0 && l.corners[n-1] != l.last {
		return append(l.corners, l.last)
	}
	return l.corners
}
