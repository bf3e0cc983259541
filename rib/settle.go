package rib

import (
	"math"

	"falsework/mesh/section"
)

// settle moves ribs that run level along a sloped ceiling by less than half a
// layer's tread across the slope, so that the edge of one printed layer lies
// just inside the lower face of the rib and rests on it. Otherwise the edges
// next to a thin rib may miss it, and the layer below them would hang free.
func (m *maker) settle(b *shaper, lines []ribLine) []ribLine {
	if b.c.Z[1]-b.c.Z[0] <= b.sv.Layer {
		return lines
	}
	out := make([]ribLine, len(lines))
	for i, r := range lines {
		out[i] = r
		mid, ok := m.underside(b, r.axis, r)
		if !ok || mid.rise > b.sv.Layer {
			continue
		}
		left, ok := m.underside(b, r.shift(b.s.Width/2), r)
		if !ok {
			continue
		}
		slope := (left.z - mid.z) / (b.s.Width / 2)
		if math.Abs(slope) < 0.05 {
			continue
		}
		low := math.Copysign(b.s.Width/2-0.04, -slope)
		z := mid.z + float64(slope*low)
		k := m.slices.nearest(z - b.sv.Layer/2)
		by := (m.slices.mid(k) - z) / slope
		if math.Abs(by) > 0.6*b.sv.Layer/math.Abs(slope) {
			continue
		}
		out[i].axis = r.shift(by)
		out[i].from[0], out[i].from[1] = micron(out[i].from[0]), micron(out[i].from[1])
	}
	return out
}

// A course is the underside along a rib: its height half-way and how much it
// rises or falls.
type course struct{ z, rise float64 }

// underside reads the ceiling off an exact section.
func (m *maker) underside(b *shaper, a axis, r ribLine) (course, bool) {
	p, err := b.cut(a)
	if err != nil {
		return course{}, false
	}
	z := b.heights(r)
	var c course
	lo, hi := math.Inf(1), math.Inf(-1)
	for k, t := range []float64{0.5, 0.2, 0.8} {
		u := r.under.from + float64(t*r.under.length())
		best, ok := 0.0, false
		for _, s := range clip(p, axis{section.Point{u, 0}, section.Point{0, 1}}) {
			if s.from >= z[0] && s.from <= z[1] && !ok {
				best, ok = s.from, true
			}
		}
		if !ok {
			return course{}, false
		}
		if k == 0 {
			c.z = best
		}
		lo, hi = min(lo, best), max(hi, best)
	}
	c.rise = hi - lo
	return c, true
}
