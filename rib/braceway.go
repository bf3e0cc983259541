package rib

import (
	"math"
	"slices"

	"falsework/mesh/section"
)

// The way of a brace: where its ends look for a wall, and where it meets the
// next rib.

// turns are the directions, seen from straight on, in which the end of a brace looks for a
// wall: straight on first, then as diagonals.
var turns = func() (out []section.Point) {
	for _, deg := range []float64{0, 2, -2, 4, -4, 6, -6, 8, -8, 10, -10, 12, -12, 15, -15, 20, -20, 30, -30, 45, -45, 55, -55} {
		out = append(out, heading(deg*math.Pi/180))
	}
	return out
}()

// ways are the directions in which the end of a brace looks for a wall: from a
// column first to the middle of the jambs that hold the ceiling.
func (b *bracer) ways(t tie, way section.Point, reach float64) []section.Point {
	var out []section.Point
	if b.column {
		p := b.lines[t.web].at(t.u)
		for _, h := range b.c.Held {
			q, r := h[0], h[len(h)-1]
			d, l := unit(p, section.Point{(q[0] + r[0]) / 2, (q[1] + r[1]) / 2})
			if l > 0 && l < reach+3 && float64(d[0]*way[0])+float64(d[1]*way[1]) > 0.5 {
				out = append(out, d)
			}
		}
	}
	for _, a := range turns {
		out = append(out, turned(way, a))
	}
	return out
}

// turned turns a direction by the angle of another.
func turned(d, h section.Point) section.Point {
	if h == (section.Point{1, 0}) {
		return d
	}
	return section.Point{float64(d[0]*h[0]) - float64(d[1]*h[1]), float64(d[0]*h[1]) + float64(d[1]*h[0])}
}

// enters are the depths to which a brace's end enters a wall: the first will do
// unless the wall is hollow or has a corner there, before which the strands between
// the two sides would end in the air.
var enters = [...]float64{braceEnd, 0.5, 1, 2}

// reachWall prolongs a brace from a tie to a wall, and returns its two tips
// inside it.
func (b *bracer) reachWall(t tie, way section.Point, layer int, reach float64) (tip [2]section.Point, ok bool) {
	from := b.lines[t.web]
	for _, deep := range enters {
		var d [2]float64
		for k, u := range []float64{t.use.from, t.use.to} {
			a := axis{from.at(u), way}
			if d[k], ok = b.toWall(a, layer, reach, deep); !ok {
				return tip, false
			}
			tip[k] = a.at(d[k] + deep)
		}
		if math.Abs(d[0]-d[1]) >= 2*max(1, t.use.length()) {
			return tip, false
		}
		if b.within(tip, way, layer, -braceEnd/2) && b.within(tip, way, layer, braceEnd/2) {
			return tip, true
		}
	}
	return tip, false
}

// within tells whether the end of a brace, from tip to tip, further on by some
// depth, lies in the part in all its layers and in the layer below: then every
// strand of it ends there.
func (b *bracer) within(tip [2]section.Point, way section.Point, layer int, further float64) bool {
	dir, l := unit(tip[0], tip[1])
	from := axis{tip[0], way}.at(further)
	for k := layer - 1; k < layer+b.s.BraceLayers; k++ {
		if !slices.ContainsFunc(b.slices.ahead(k, axis{from, dir}, l), func(s stretch) bool { return s.from <= 0 && s.to >= l }) {
			return false
		}
	}
	return true
}

// across is the normal of a rib that points the way.
func (r ribLine) across(way section.Point) section.Point {
	n := section.Point{-r.dir[1], r.dir[0]}
	if float64(n[0]*way[0])+float64(n[1]*way[1]) < 0 {
		n = section.Point{-n[0], -n[1]}
	}
	return n
}

// along is the direction of the wall at a column, to the left of the rib for
// side 1 and to the right for -1: toward the next column there, or away from
// the last one.
func (b *bracer) along(i int, side float64) section.Point {
	r := b.lines[i]
	p := r.at(r.under.mid())
	n := section.Point{float64(-side * r.dir[1]), float64(side * r.dir[0])}
	near, back := math.Inf(1), math.Inf(1)
	way := n
	for j, o := range b.lines {
		if j == i {
			continue
		}
		q := o.at(o.under.mid())
		d, l := unit(p, q)
		ahead := float64(d[0]*n[0])+float64(d[1]*n[1]) > 0
		switch {
		case ahead && l < near:
			near, way = l, d
		case !ahead && l < back && math.IsInf(near, 1):
			back, way = l, section.Point{-d[0], -d[1]}
		}
	}
	return way
}

// meet finds where a ray crosses another rib: its run there and the distance.
// Columns are met at the middle of their stretch, so that a chain follows a
// bent wall.
func meet(out axis, r ribLine, column bool) (run, d float64, ok bool) {
	if column {
		p := r.at(r.under.mid())
		d := out.run(p)
		return r.under.mid(), dist(out.from, p), d > 0
	}
	cross := float64(out.dir[0]*r.dir[1]) - float64(out.dir[1]*r.dir[0])
	if math.Abs(cross) < 0.2 {
		return 0, 0, false
	}
	dx, dy := r.from[0]-out.from[0], r.from[1]-out.from[1]
	d = (float64(dx*r.dir[1]) - float64(dy*r.dir[0])) / cross
	run = (float64(dx*out.dir[1]) - float64(dy*out.dir[0])) / cross
	return run, d, d > 0
}

// toWall is the distance along a ray to material of the part that a brace of
// these layers can rest on: there in every layer of it and in the layer below,
// and going on for some depth to hold the brace's end.
func (b *bracer) toWall(a axis, layer int, reach, deep float64) (float64, bool) {
	far := 0.0
	for k := layer - 1; k < layer+b.s.BraceLayers; k++ {
		hit := math.Inf(1)
		for _, s := range b.slices.ahead(k, a, reach+deep+1) {
			if s.to <= 0 {
				continue
			}
			if s.from < 0 { // starts inside the part
				return 0, false
			}
			hit = s.from
			break
		}
		if hit > reach {
			return 0, false
		}
		far = max(far, hit)
	}
	for k := layer - 1; k < layer+b.s.BraceLayers; k++ {
		solid := false
		for _, s := range b.slices.ahead(k, a, reach+deep+1) {
			if s.from <= far && s.to >= far+deep+0.2 {
				solid = true
			}
		}
		if !solid {
			return 0, false
		}
	}
	return far, true
}

// blocked tells whether the part stands in the way of a brace in one of its
// layers.
func (b *bracer) blocked(a axis, layer int, length float64) bool {
	for k := layer; k < layer+b.s.BraceLayers; k++ {
		for _, s := range b.slices.ahead(k, a, length) {
			if s.to > 0 && s.from < length {
				return true
			}
		}
	}
	return false
}
