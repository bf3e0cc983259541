package rib

import (
	"math"

	"falsework/mesh/section"
)

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
