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
		for i, q := range ring {
			r := ring[(i+1)%len(ring)]
			dq, dr := a.left(q), a.left(r)
			if (dq < 0) == (dr < 0) {
				continue
			}
			t := dq / (dq - dr)
			uq, ur := a.run(q), a.run(r)
			us = append(us, uq+float64(t*(ur-uq)))
		}
	}
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

// share tells whether two regions have area in common, as [section.Intersect]
// draws it. Mostly their borders are apart, and then one corner of each ring says
// all; only where they are so near that the grid of the overlay might decide is it
// asked. Neither region may be without area.
func share(p, q section.Polygons) bool {
	near := 1e-3 + 16*section.GridFor(greatest(p, q)).Step()
	lo, hi := box(q)
	at := section.Rect{Min: section.Point{lo[0] - near, lo[1] - near}, Max: section.Point{hi[0] + near, hi[1] + near}}
	for _, ring := range p {
		a := ring[len(ring)-1]
		for _, b := range ring {
			if passes(at, a, b) && borderWithin(q, a, b, near) {
				return deep(p, q, near) || deep(q, p, near) || len(section.Intersect(p, q)) > 0
			}
			a = b
		}
	}
	for _, ring := range p {
		if at.Holds(ring[0]) && q.Contains(ring[0]) {
			return true
		}
	}
	for _, ring := range q {
		if p.Contains(ring[0]) {
			return true
		}
	}
	return false
}

// deep tells whether a corner of q lies in p, further than that from its border.
func deep(p, q section.Polygons, far float64) bool {
	lo, hi := box(p)
	at := section.Rect{Min: lo, Max: hi}
	for _, ring := range q {
		for _, c := range ring {
			if at.Holds(c) && p.Contains(c) && !borderWithin(p, c, c, far) {
				return true
			}
		}
	}
	return false
}

// greatest is the greatest coordinate of some regions.
func greatest(ps ...section.Polygons) float64 {
	far := 0.0
	for _, p := range ps {
		lo, hi := box(p)
		for k := range lo {
			far = max(far, math.Abs(lo[k]), math.Abs(hi[k]))
		}
	}
	return far
}

// passes tells whether the box of a straight piece meets another.
func passes(at section.Rect, a, b section.Point) bool {
	for k := range a {
		if max(a[k], b[k]) < at.Min[k] || min(a[k], b[k]) > at.Max[k] {
			return false
		}
	}
	return true
}

// borderWithin tells whether a straight piece comes as near as that to a border.
func borderWithin(p section.Polygons, a, b section.Point, near float64) bool {
	for _, ring := range p {
		c := ring[len(ring)-1]
		for _, d := range ring {
			at := section.Rect{Min: section.Point{min(c[0], d[0]) - near, min(c[1], d[1]) - near},
				Max: section.Point{max(c[0], d[0]) + near, max(c[1], d[1]) + near}}
			if passes(at, a, b) && pieceWithin(a, b, c, d, near) {
				return true
			}
			c = d
		}
	}
	return false
}

// pieceWithin tells whether two straight pieces cross or come as near as that.
func pieceWithin(a, b, c, d section.Point, near float64) bool {
	x, l := unit(a, b)
	y, m := unit(c, d)
	s, t := axis{a, x}, axis{c, y}
	if s.left(c) < 0 != (s.left(d) < 0) && t.left(a) < 0 != (t.left(b) < 0) {
		return true
	}
	to := func(s axis, l float64, q section.Point) bool { return dist(s.at(min(max(s.run(q), 0), l)), q) <= near }
	return to(s, l, c) || to(s, l, d) || to(t, m, a) || to(t, m, b)
}
