package rib

import (
	"fmt"
	"math"
	"sort"

	"falsework/mesh/section"
	"falsework/span"
)

// A layout is one way to set ribs under a ceiling: lines in plan, with what
// their webs are expected to cost.
type layout struct {
	words string  // "4 ribs"
	bay   float64 // clear distance between neighbours
	lines []ribLine
	kind  string // layouts alike but for their direction share it
	// oblique families run neither along nor across a long side.
	oblique bool
	doubt   bool    // the sieve sees that it does not carry
	cost    float64 // see cost.go
	order   int     // of generation: decides ties
}

// A ribLine is one rib in plan: an axis and the stretch of it under the
// ceiling. Hold says of each end whether there is a wall that the web may
// enter.
type ribLine struct {
	axis
	under stretch
	hold  [2]bool
	hint  float64 // run of the middle of the wall whose opening it crosses
}

// A view is a ceiling as the layout search sees it.
type view struct {
	held, free border
	c          *span.Ceiling
	foot       section.Polygons
	at         *probes
	s          Settings
	sv         span.Settings
	least      float64 // shortest stretch that is worth a rib: a bead
	thin       float64 // width of a strip in the opening of a thin wall, else 0
}

func newView(c *span.Ceiling, at *probes, s Settings, sv span.Settings) *view {
	v := &view{held: newBorder(c.Held), free: newBorder(c.Free), c: c, foot: c.Footprint, at: at, s: s, sv: sv, least: s.Width}
	if len(section.Offset(v.foot, -thinWall/2, section.Round)) == 0 {
		v.thin = depth(v.foot)
	}
	return v
}

// layouts returns every candidate, cheapest first.
func (v *view) layouts() []layout {
	var out []layout
	ways, walls := v.headings()
	for i, d := range ways {
		if i < walls {
			for _, l := range v.graded(d) {
				l.kind += fmt.Sprint(" along wall ", i)
				out = append(out, l)
			}
		}
		for _, l := range v.families(d) {
			if l.oblique = i >= walls; !l.oblique {
				l.kind += fmt.Sprint(" along wall ", i)
			}
			out = append(out, l)
		}
		if i < walls {
			for _, l := range v.besideHoles(d) {
				l.kind += fmt.Sprint(" along wall ", i)
				out = append(out, l)
			}
		}
	}
	out = append(out, v.crossCuts()...)
	out = append(out, v.rings()...)
	out = append(out, v.rimmed(ways, walls)...)
	out = append(out, v.flanges()...)
	keep := out[:0]
	for _, l := range out {
		if len(l.lines) == 0 || v.lengthwise(l) {
			continue
		}
		l.order = len(keep)
		l.cost = v.cost(l)
		keep = append(keep, l)
	}
	sort.SliceStable(keep, func(i, j int) bool { return keep[i].cost < keep[j].cost })
	return keep
}

// lengthwise tells whether ribs run along the opening of a thin wall, where
// columns belong: in sight, shaky, and a long cut. An island is no such opening:
// nothing at its ends could hold braces between columns.
func (v *view) lengthwise(l layout) bool {
	if v.c.Kind == span.Island {
		return false
	}
	for _, r := range l.lines {
		if v.thin > 0 && r.under.length() > 1.7*v.thin+1 {
			return true
		}
	}
	return false
}

// headings are the directions that parallel families are tried in: 36 over the
// half circle, and, first, those along and across every long side of the
// footprint; of tells how many these are.
func (v *view) headings() (ways []section.Point, of int) {
	var total float64
	type side struct{ angle, length float64 }
	var sides []side
	for _, ring := range v.foot {
		for i, q := range ring {
			r := ring[(i+1)%len(ring)]
			d := dist(q, r)
			total += d
			a := math.Atan2(r[1]-q[1], r[0]-q[0])
			a = math.Mod(a+2*math.Pi, math.Pi/2)
			a = math.Round(a*1e6) / 1e6
			sides = append(sides, side{a, d})
		}
	}
	sort.SliceStable(sides, func(i, j int) bool { return sides[i].angle < sides[j].angle })
	var walls []side
	for _, s := range sides {
		if n := len(walls); n > 0 && s.angle-walls[n-1].angle < 1e-3 {
			walls[n-1].length += s.length
			continue
		}
		walls = append(walls, s)
	}
	sort.SliceStable(walls, func(i, j int) bool { return walls[i].length > walls[j].length })
	seen := map[int]bool{}
	add := func(a float64) {
		k := int(math.Round(math.Mod(a+math.Pi, math.Pi) / math.Pi * 1800))
		if seen[k%1800] {
			return
		}
		seen[k%1800] = true
		ways = append(ways, heading(a))
	}
	for i, w := range walls {
		if i == 8 || w.length < 0.1*total {
			break
		}
		add(w.angle)
		add(w.angle + math.Pi/2)
	}
	if len(ways) == 0 { // round: as the part stands
		add(0)
		add(math.Pi / 2)
	}
	of = len(ways)
	for i := 0; i < 36; i++ {
		add(float64(i) * math.Pi / 36)
	}
	return ways, of
}

// families returns the parallel layouts of one direction: ribs with equal bays
// across the extent of the footprint, from the least number to three more,
// with a rib at neither, one or both outer edges.
func (v *view) families(d section.Point) []layout {
	a := axis{dir: d}
	lo, hi := extent(v.foot, a)
	w := v.s.Width
	var out []layout
	insets := []float64{v.s.Setback + w/2}
	if v.sv.Ledge > insets[0]+0.5 {
		insets = append(insets, v.sv.Ledge)
	}
	for edge := 0; edge < 4; edge++ {
		for k, inset := range insets {
			if edge == 0 && k > 0 {
				continue
			}
			from, to := lo, hi
			var at []float64
			if edge&1 != 0 {
				at = append(at, lo+inset)
				from = lo + inset + w/2
			}
			if edge&2 != 0 {
				if hi-inset <= from {
					continue
				}
				to = hi - inset - w/2
			}
			least := max(0, int(math.Ceil((to-from-v.s.Spacing)/(v.s.Spacing+w)-1e-9)))
			for n := least; n <= least+3; n++ {
				bay := (to - from - float64(n)*w) / float64(n+1)
				if bay < 2*w {
					continue
				}
				pos := append([]float64(nil), at...)
				for i := 0; i < n; i++ {
					pos = append(pos, from+bay+w/2+float64(float64(i)*(bay+w)))
				}
				if edge&2 != 0 {
					pos = append(pos, hi-inset)
				}
				if len(pos) > 0 {
					l := v.parallel(a, pos, bay)
					l.kind = fmt.Sprint("family ", edge, k, n-least)
					out = append(out, l)
				}
			}
		}
	}
	return out
}

// graded returns the parallel layouts of one direction that cut a round footprint
// into equal arcs, from the least number of ribs to three more. With equal bays
// the rim at its flanks, which runs nearly along the ribs, would hang.
func (v *view) graded(d section.Point) []layout {
	a := axis{dir: d}
	lo, hi := extent(v.foot, a)
	var out []layout
	for k, inset := range v.insets() {
		r := (hi-lo)/2 - inset
		least := v.arcs(r)
		for n := least; least > 1 && n <= least+3; n++ {
			var pos []float64
			for j := range n + 1 {
				pos = append(pos, lo+inset+v.arc(r, j, n))
			}
			l := v.parallel(a, pos, v.arc(r, n/2+1, n)-v.arc(r, n/2, n)-v.s.Width)
			l.kind, l.words = fmt.Sprint("graded ", k, n-least), l.upTo()
			out = append(out, l)
		}
	}
	return out
}

// arcs is into how many equal arcs a half circle is cut at least by parallel ribs,
// so that the widest bay is no more than it may be; 0 when it is in any case.
func (v *view) arcs(r float64) int {
	bay := v.s.Spacing + v.s.Width
	if 2*r <= bay {
		return 0
	}
	return int(math.Ceil(math.Pi/float64(2*math.Asin(bay/(2*r))) - 1e-9))
}

// arc is where the j-th of n equal arcs of a half circle ends, along its diameter.
func (v *view) arc(r float64, j, n int) float64 {
	return float64(r * (1 - math.Cos(float64(float64(j)*math.Pi)/float64(n))))
}

// parallel cuts the footprint along parallels of an axis.
func (v *view) parallel(a axis, pos []float64, bay float64) layout {
	l := layout{bay: bay}
	for _, p := range pos {
		b := a.shift(p)
		for _, s := range v.stretches(b) {
			l.lines = append(l.lines, v.line(b, s))
		}
	}
	l.words = fmt.Sprintf("%s, bays of %.1f mm", count(len(l.lines), "rib"), bay)
	return l
}

// upTo says that the bays of a parallel layout differ.
func (l *layout) upTo() string {
	return fmt.Sprintf("%s, bays of up to %.1f mm", count(len(l.lines), "rib"), l.bay)
}

// stretches are the parts of an axis under the ceiling that are worth a rib.
func (v *view) stretches(a axis) []stretch {
	var out []stretch
	for _, s := range merge(clip(v.foot, a), 2*v.s.Setback+0.2) {
		if s.length() >= v.least {
			out = append(out, s)
		}
	}
	return out
}

// line makes a rib of a stretch, starting its run near the stretch so that
// coordinates stay small.
func (v *view) line(a axis, s stretch) ribLine {
	start := a.at(s.from)
	start[0], start[1] = micron(start[0]), micron(start[1])
	a = axis{start, a.dir}
	r := ribLine{axis: a, under: stretch{0, s.length()}, hint: s.length() / 2}
	r.hold = [2]bool{v.wall(a.at(0)), v.wall(a.at(s.length()))}
	return r
}

// wall tells whether the border of the footprint near a point rests on
// material, rather than being free.
func (v *view) wall(edge section.Point) bool { return v.held.nearest(edge) < v.free.nearest(edge) }

// A border is the straight pieces of some lines. A search asks thousands of
// times how far they are, so their directions are worked out once, and pieces
// side by side are passed over together where their box is too far away.
type border []pack

type pack struct {
	box    section.Rect
	pieces []piece
}

type piece struct {
	axis
	length float64
}

func newBorder(lines [][]section.Point) border {
	const most = 8
	var out border
	for _, l := range lines {
		for i := range max(len(l)-1, min(len(l), 1)) {
			p, end := piece{axis: axis{from: l[i]}}, l[min(i+1, len(l)-1)]
			if len(l) > 1 {
				p.dir, p.length = unit(l[i], end)
			}
			if n := len(out); n == 0 || len(out[n-1].pieces) == most {
				out = append(out, pack{box: section.Rect{Min: p.from, Max: p.from}})
			}
			k := &out[len(out)-1]
			k.pieces = append(k.pieces, p)
			for c := range end {
				k.box.Min[c] = min(k.box.Min[c], p.from[c], end[c])
				k.box.Max[c] = max(k.box.Max[c], p.from[c], end[c])
			}
		}
	}
	return out
}

// nearest is the distance of a point to the nearest piece.
func (b border) nearest(q section.Point) float64 {
	best := math.Inf(1)
	for i := range b {
		k := &b[i]
		dx, dy := max(k.box.Min[0]-q[0], q[0]-k.box.Max[0], 0), max(k.box.Min[1]-q[1], q[1]-k.box.Max[1], 0)
		if far := float64(dx*dx) + float64(dy*dy); far > float64(best*1.000001)+1e-9 { // beyond all rounding
			continue
		}
		for j := range k.pieces {
			p := &k.pieces[j]
			r := p.at(min(max(p.run(q), 0), p.length))
			dx, dy := q[0]-r[0], q[1]-r[1]
			best = min(best, float64(dx*dx)+float64(dy*dy))
		}
	}
	return math.Sqrt(best)
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
