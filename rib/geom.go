package rib

import (
	"math"
	"sort"

	"falsework/mesh/section"
)

// micron rounds a length to whole microns, so that every machine plans the
// same bytes whatever its mathematical library does in the last place.
func micron(x float64) float64 { return math.Round(x*1e3) / 1e3 }

// A stretch is a range of run along a line.
type stretch struct{ from, to float64 }

func (s stretch) length() float64 { return s.to - s.from }
func (s stretch) mid() float64    { return (s.from + s.to) / 2 }

// An axis is a directed line in plan: a point and a unit vector. The run of a
// point is its distance along the line from the start.
type axis struct{ from, dir section.Point }

func (a axis) at(u float64) section.Point {
	return section.Point{a.from[0] + float64(u*a.dir[0]), a.from[1] + float64(u*a.dir[1])}
}

// off returns the point at run u, shifted v to the left of the direction.
func (a axis) off(u, v float64) section.Point {
	p := a.at(u)
	return section.Point{p[0] - float64(v*a.dir[1]), p[1] + float64(v*a.dir[0])}
}

// run and left are the coordinates of q in the frame of the axis.
func (a axis) run(q section.Point) float64 {
	return float64((q[0]-a.from[0])*a.dir[0]) + float64((q[1]-a.from[1])*a.dir[1])
}

func (a axis) left(q section.Point) float64 {
	return float64((q[1]-a.from[1])*a.dir[0]) - float64((q[0]-a.from[0])*a.dir[1])
}

// shift moves the axis to its left.
func (a axis) shift(v float64) axis { return axis{a.off(0, v), a.dir} }

// line is the axis as a cutting plane.
func (a axis) line() section.Line { return section.Line{From: a.from, Dir: a.dir} }

// heading returns the unit vector at an angle in radians, rounded so that it
// does not depend on the last place of the sine.
func heading(angle float64) section.Point {
	s, c := math.Sincos(angle)
	c, s = math.Round(c*1e9)/1e9, math.Round(s*1e9)/1e9
	return section.Point{c, s}
}

// clip returns the stretches of the axis inside a region, in order.
func clip(p section.Polygons, a axis) []stretch {
	var us []float64
	for _, ring := range p {
		us = appendCrossings(us, ring, a)
	}
	return between(us)
}

// appendCrossings adds the runs at which a ring crosses an axis.
func appendCrossings(us []float64, ring section.Path, a axis) []float64 {
	if len(ring) == 0 {
		return us
	}
	q := ring[len(ring)-1]
	dq := a.left(q)
	for _, r := range ring {
		dr := a.left(r)
		if (dq < 0) != (dr < 0) {
			t := dq / (dq - dr)
			uq, ur := a.run(q), a.run(r)
			us = append(us, uq+float64(t*(ur-uq)))
		}
		q, dq = r, dr
	}
	return us
}

// between returns the stretches between crossings, by the even-odd rule.
func between(us []float64) []stretch {
	sort.Float64s(us)
	var out []stretch
	for i := 0; i+1 < len(us); i += 2 {
		if us[i+1] > us[i] {
			out = append(out, stretch{us[i], us[i+1]})
		}
	}
	return out
}

// merge joins stretches that are closer than gap.
func merge(s []stretch, gap float64) []stretch {
	var out []stretch
	for _, x := range s {
		if n := len(out); n > 0 && x.from-out[n-1].to < gap {
			out[n-1].to = max(out[n-1].to, x.to)
			continue
		}
		out = append(out, x)
	}
	return out
}

// extent returns the range of the region along the left-hand normal of the
// axis.
func extent(p section.Polygons, a axis) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, ring := range p {
		for _, q := range ring {
			v := a.left(q)
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	return lo, hi
}

// inside tells by the even-odd rule whether a point lies in a region.
func inside(p section.Polygons, q section.Point) bool {
	in := false
	for _, ring := range p {
		j := len(ring) - 1
		for i := range ring {
			a, b := ring[i], ring[j]
			if (a[1] > q[1]) != (b[1] > q[1]) && q[0] < a[0]+float64((q[1]-a[1])*(b[0]-a[0]))/(b[1]-a[1]) {
				in = !in
			}
			j = i
		}
	}
	return in
}

// box returns the bounds of a region.
func box(p section.Polygons) (lo, hi section.Point) {
	lo = section.Point{math.Inf(1), math.Inf(1)}
	hi = section.Point{math.Inf(-1), math.Inf(-1)}
	for _, ring := range p {
		for _, q := range ring {
			for k := range q {
				lo[k], hi[k] = min(lo[k], q[k]), max(hi[k], q[k])
			}
		}
	}
	return lo, hi
}

// apart tells whether the boxes of two regions are further apart than by.
func apart(p, q section.Polygons, by float64) bool {
	l0, h0 := box(p)
	l1, h1 := box(q)
	return l0[0] > h1[0]+by || l1[0] > h0[0]+by || l0[1] > h1[1]+by || l1[1] > h0[1]+by
}

func dist(a, b section.Point) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	return math.Sqrt(float64(dx*dx) + float64(dy*dy))
}

// unit returns the direction from a to b, rounded like a heading, and the
// distance.
func unit(a, b section.Point) (section.Point, float64) {
	d := dist(a, b)
	if d == 0 {
		return section.Point{1, 0}, 0
	}
	return section.Point{math.Round((b[0]-a[0])/d*1e9) / 1e9, math.Round((b[1]-a[1])/d*1e9) / 1e9}, d
}

// bar returns the rectangle about a stretch of the axis, width wide.
func bar(a axis, s stretch, width float64) section.Path {
	h := width / 2
	return section.Path{a.off(s.from, -h), a.off(s.to, -h), a.off(s.to, h), a.off(s.from, h)}
}
