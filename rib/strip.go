package rib

import (
	"fmt"
	"math"

	"falsework/mesh/section"
)

// crossCuts returns layouts for a footprint that is a strip along a curved or
// bent wall: ribs normal to the strip's middle line, at equal arc along it.
// Parallel families fail there. A straight strip gets none, since a family
// says the same.
func (v *view) crossCuts() []layout {
	mid, wide, ok := v.middle()
	if !ok {
		return nil
	}
	arc := make([]float64, len(mid))
	for i := 1; i < len(mid); i++ {
		arc[i] = arc[i-1] + dist(mid[i-1], mid[i])
	}
	total := arc[len(arc)-1]
	w := v.s.Width
	inset := v.s.Setback + w/2
	var out []layout
	for edge := 0; edge < 4; edge++ {
		var ends []float64
		from, to := 0.0, total
		if edge&1 != 0 {
			ends = append(ends, inset)
			from = inset + w/2
		}
		if edge&2 != 0 {
			ends = append(ends, total-inset)
			to = total - inset - w/2
		}
		least := max(0, int(math.Ceil((to-from-v.s.Spacing)/(v.s.Spacing+w)-1e-9)))
		for n := least; n <= least+3; n++ {
			bay := (to - from - float64(n)*w) / float64(n+1)
			if bay < 2*w {
				break
			}
			pos := append([]float64(nil), ends[:edge&1]...)
			for i := 0; i < n; i++ {
				pos = append(pos, from+bay+w/2+float64(float64(i)*(bay+w)))
			}
			pos = append(pos, ends[edge&1:]...)
			if l := v.across(mid, arc, pos, wide); len(l.lines) > 0 {
				l.bay = bay
				l.words = fmt.Sprintf("%s across the strip, bays of %.1f mm along it", count(len(l.lines), "rib"), bay)
				out = append(out, l)
			}
		}
	}
	return out
}

// across cuts the footprint normal to the middle line at the given arcs.
func (v *view) across(mid []section.Point, arc, pos []float64, wide float64) layout {
	l := layout{kind: "across"}
	for _, s := range pos {
		p := along(mid, arc, s)
		t, d := unit(along(mid, arc, s-wide/2), along(mid, arc, s+wide/2))
		if d == 0 {
			continue
		}
		a := axis{p, section.Point{-t[1], t[0]}}
		for _, c := range v.stretches(a) {
			if c.from-wide < 0 && c.to+wide > 0 {
				r := v.line(a, c)
				r.hint = -c.from
				l.lines = append(l.lines, r)
			}
		}
	}
	return l
}

// along returns the point of a polyline at an arc length, beyond its ends by
// straight continuation.
func along(mid []section.Point, arc []float64, s float64) section.Point {
	i := 1
	for i < len(mid)-1 && arc[i] < s {
		i++
	}
	t := (s - arc[i-1]) / (arc[i] - arc[i-1])
	a, b := mid[i-1], mid[i]
	return section.Point{a[0] + float64(t*(b[0]-a[0])), a[1] + float64(t*(b[1]-a[1]))}
}

// middle returns the middle line of a strip from end to end and the strip's
// width, or false when the footprint is no strip (less than four times as long
// as wide, or with holes) or a straight one. It walks a raster of the
// footprint from its one end and takes the middle of what is equally far.
func (v *view) middle() ([]section.Point, float64, bool) {
	if len(v.foot) != 1 {
		return nil, 0, false
	}
	var border float64
	for i, q := range v.foot[0] {
		border += dist(q, v.foot[0][(i+1)%len(v.foot[0])])
	}
	area := v.foot.Area()
	disc := float64(border*border)/4 - 4*area
	if disc <= 0 {
		return nil, 0, false
	}
	wide := (border/2 - math.Sqrt(disc)) / 2
	if wide <= 0 || area/wide < 4*wide {
		return nil, 0, false
	}
	g := newRaster(v.foot, max(wide/6, 0.1))
	if len(g.cells) < 20 {
		return nil, 0, false
	}
	d := g.far(g.far(g.far(nil))) // ends at the two far ends of the strip
	bins := int(d.most/wide) + 1
	sum := make([]section.Point, bins)
	num := make([]float64, bins)
	for i, x := range d.dist {
		k := int(x / wide)
		if k >= bins || math.IsInf(x, 1) {
			continue
		}
		sum[k][0] += g.cells[i][0]
		sum[k][1] += g.cells[i][1]
		num[k]++
	}
	var mid []section.Point
	for k := range sum {
		if num[k] > 0 {
			mid = append(mid, section.Point{sum[k][0] / num[k], sum[k][1] / num[k]})
		}
	}
	// The first and last bins are cut by the ends: continue their neighbours.
	if len(mid) < 6 {
		return nil, 0, false
	}
	mid = smooth(mid[1 : len(mid)-1])
	mid = v.toEnds(mid, wide)
	if straight(mid) {
		return nil, 0, false
	}
	return mid, wide, true
}

// smooth averages each point with its neighbours once.
func smooth(mid []section.Point) []section.Point {
	out := append([]section.Point(nil), mid...)
	for i := 1; i+1 < len(mid); i++ {
		for k := range out[i] {
			out[i][k] = float64(mid[i-1][k]/4) + float64(mid[i][k]/2) + float64(mid[i+1][k]/4)
		}
	}
	return out
}

// toEnds prolongs a middle line to where it leaves the footprint.
func (v *view) toEnds(mid []section.Point, wide float64) []section.Point {
	tip := func(a, b section.Point) (section.Point, bool) {
		d, _ := unit(a, b)
		x := axis{b, d}
		for _, s := range clip(v.foot, x) {
			if s.from <= 0 && s.to > 0 {
				return x.at(min(s.to, 4*wide)), true
			}
		}
		return b, false
	}
	n := len(mid)
	if p, ok := tip(mid[1], mid[0]); ok {
		mid = append([]section.Point{p}, mid...)
		n++
	}
	if p, ok := tip(mid[n-2], mid[n-1]); ok {
		mid = append(mid, p)
	}
	return mid
}

// straight tells whether no point of a line is more than a fifth of a
// millimetre off its chord.
func straight(mid []section.Point) bool {
	d, _ := unit(mid[0], mid[len(mid)-1])
	a := axis{mid[0], d}
	for _, p := range mid {
		if math.Abs(a.left(p)) > 0.2 {
			return false
		}
	}
	return true
}
