package web

import (
	"fmt"
	"math"
	"sort"

	"falsework/mesh/section"
)

// Shape returns the web for a site. Its errors wrap one of [ErrThin],
// [ErrCeiling], [ErrStand], [ErrGraze] in a [PlaceError]. A web for which it
// finds no braces comes without any: see [Web.Brace].
func Shape(site Site) (*Web, error) {
	site.narrow()
	var parts []*Web
	for _, iv := range site.Under {
		ps, err := profiles(&site, iv)
		if err != nil {
			return nil, err
		}
		for i := range ps {
			w, err := shapeOne(&site, &ps[i])
			if err != nil {
				return nil, err
			}
			parts = append(parts, w)
		}
	}
	if len(parts) == 0 {
		return nil, at(ErrCeiling, 0, 0)
	}
	return join(&site, parts)
}

func bounds(p section.Polygons) (lo, hi section.Point) {
	lo = section.Point{math.Inf(1), math.Inf(1)}
	hi = section.Point{math.Inf(-1), math.Inf(-1)}
	for _, r := range p {
		for _, q := range r {
			for k := range 2 {
				lo[k], hi[k] = math.Min(lo[k], q[k]), math.Max(hi[k], q[k])
			}
		}
	}
	return lo, hi
}

// tried is how many schemes are drawn and braced before one is taken, and
// mostLegs how many legs a web may have. The estimate of the search lies within
// a tenth to a third below what the drawn web costs, so a scheme estimated dear
// times as much as another costs need not be drawn.
const (
	tried    = 7
	mostLegs = 8
	dear     = 1.25
)

// shapeOne shapes the web of one profile: the schemes that promise most are
// drawn and braced, and the cheapest of them is taken.
func shapeOne(site *Site, p *profile) (*Web, error) {
	d, err := newDrawer(site, p)
	if err != nil {
		return nil, err
	}
	var all []scheme
	if site.Column && site.Jamb != nil {
		if w, ok := d.column(); ok {
			d.complete(w, nil)
			if e := site.stray(w.Outline); e != nil {
				return nil, e
			}
			return w, nil
		}
	}
	r, legs := newRaster(d), site.mostLegs(d.ends[1]-d.ends[0])
	if site.Column {
		all = []scheme{{sup: []support{{u: d.ends}}}}
	} else {
		all = r.schemes(legs, hopeless)
	}
	best, err := d.cheapest(all)
	if best == nil && !site.Column { // not even a dear one is left out then
		all = r.schemes(legs, math.Inf(1))
		best, err = d.cheapest(all)
	}
	if best == nil {
		return nil, err
	}
	if e := site.stray(best.Outline); e != nil {
		return nil, e
	}
	return best, nil
}

// cheapest draws the schemes that promise most, which it sorts, and returns the
// web that costs least.
func (d *drawer) cheapest(all []scheme) (best *Web, err error) {
	sort.SliceStable(all, func(i, j int) bool { return all[i].cost < all[j].cost })
	err = at(ErrStand, (d.ends[0]+d.ends[1])/2, d.p.top(d.ends[0]))
	taken := 0
	for i := range all[:min(len(all), tried)] {
		if best != nil && all[i].cost > dear*best.cost {
			break // they only get dearer
		}
		w, e := d.web(&all[i], best)
		switch {
		case e != nil:
			err = e
		case best == nil || w.cost < best.cost:
			best, taken = w, i
		}
	}
	if best != nil && len(all) > 1 {
		second := &all[max(0, 1-taken)]
		best.Why = fmt.Sprintf("%s estimated at %.0f mm2 with braces, %s at %.0f mm2", best.Scheme, all[taken].cost, second.words(), second.cost)
	}
	return best, err
}

// web draws a scheme and braces it, unless the drawing alone costs more than a
// web that is known.
func (d *drawer) web(sc *scheme, known *Web) (*Web, error) {
	e := *d
	w := &Web{settings: d.site.Settings, column: d.site.Column, ceilings: []profile{*d.p}}
	sc = e.trim(e.standOff(sc))
	low := e.low(sc)
	if low == nil {
		return nil, at(ErrStand, e.ends[0], d.p.top(e.ends[0]))
	}
	w.Outline = e.cut(section.Polygons{e.ring(low)})
	if len(w.Outline) == 0 {
		return nil, at(ErrStand, e.ends[0], d.p.top(e.ends[0]))
	}
	e.measure(w, sc, low)
	if e.complete(w, known); known != nil && w.cost >= known.cost {
		return w, nil
	}
	if err := e.site.prints(w.Outline); err != nil {
		return nil, err
	}
	return w, nil
}

// unsteady is added to the cost of a web for which no set of braces is found.
const unsteady = 1e6

// complete notches the crest of a drawn web, snaps it, sums up, braces it and
// says what it costs. A web that is dearer than a known one without braces gets
// none.
func (d *drawer) complete(w, known *Web) {
	s := &d.site.Settings
	if s.Notched {
		w.Outline = section.Subtract(w.Outline, d.gaps(w))
	}
	for i := range w.Outline {
		w.Outline[i] = tidy(w.Outline[i])
	}
	w.sum()
	w.cost = w.Area + float64(legCost*float64(len(w.Landings)))
	for _, c := range w.Cuts {
		if c.What != "crest" {
			w.cost += float64(cutCost * c.Length)
		}
	}
	most := math.MaxInt
	if known != nil {
		if w.cost >= known.cost {
			return
		}
		most = int(math.Ceil((known.cost - w.cost) / s.braceCost())) // with more it is dearer
	}
	w.hold(d.site)
	var err error
	if w.Braces, err = w.Walk().brace(nil, nil, most, 0); err != nil {
		w.cost += unsteady // the caller may know better places
	}
	w.cost += float64(float64(len(w.Braces)) * s.braceCost())
}

// standOff moves ends that could hold but need not away from their walls.
func (d *drawer) standOff(sc *scheme) *scheme {
	off := math.Max(d.site.Settings.Setback, 0.3)
	out := *sc
	out.sup = append([]support(nil), sc.sup...)
	first, last := &out.sup[0], &out.sup[len(out.sup)-1]
	if d.p.hold[0] && first.wall >= 0 {
		d.ends[0] += off
		if first.wall == 0 {
			first.u[0] = math.Max(first.u[0], d.ends[0])
		}
	}
	if d.p.hold[1] && last.wall <= 0 {
		d.ends[1] -= off
		if last.wall == 0 {
			last.u[1] = math.Min(last.u[1], d.ends[1])
		}
	}
	return &out
}

// trim moves the sides of legs to the ends of their feet where they pass them by
// less than a bead: what hung there beside a step would be no wall.
func (d *drawer) trim(sc *scheme) *scheme {
	for i := range sc.sup {
		s := &sc.sup[i]
		if s.wall != 0 {
			continue
		}
		f, ok := d.foot(s.u)
		if !ok {
			continue
		}
		for k, out := range [2]float64{f.u[0] - s.u[0], s.u[1] - f.u[1]} {
			if out > 0 && out < d.site.Settings.Width {
				s.u[k] = f.u[k]
			}
		}
	}
	return sc
}

// cut cuts what was drawn too large to the room below the ceiling, and lets what
// is left enter the part by the embed wherever it touches it, over the web's
// whole thickness.
func (d *drawer) cut(drawn section.Polygons) section.Polygons {
	s := &d.site.Settings
	pl := d.site.planes
	lo, hi := bounds(drawn)
	drawn = section.Intersect(drawn, section.Polygons{{{lo[0] - 1, s.Bed}, {hi[0] + 1, s.Bed}, {hi[0] + 1, hi[1] + 1}, {lo[0] - 1, hi[1] + 1}}})
	body := d.pieces(section.Subtract(drawn, pl.any))
	if len(body) == 0 {
		return nil
	}
	reach := s.Embed
	if !pl.one {
		reach += math.Max(s.Width/2, math.Max(d.faces[0].skew, d.faces[1].skew))
	}
	grown := section.Offset(body, reach, section.Miter)
	out := section.Intersect(grown, section.Union(drawn, within(pl.any, lo[0]-5, hi[0]+5)))
	out = within(out, lo[0], hi[0]) // not along the ceiling, past a free end
	if d.site.Column {
		out = section.Intersect(out, drawn)
	}
	if pl.one {
		if d.site.planes.deeper(out, s.Embed+spill) {
			out = section.Subtract(out, d.site.core())
		}
	} else {
		out = section.Subtract(out, section.Offset(within(pl.all, lo[0]-5, hi[0]+5), -s.Embed, section.Miter))
	}
	return d.pieces(out)
}

// pieces returns the outer rings that hang under the ceiling, with their
// holes.
func (d *drawer) pieces(all section.Polygons) section.Polygons {
	var kept section.Polygons
	for _, r := range all {
		if r.Area() <= 0 || !d.hangs(r) {
			continue
		}
		kept = append(kept, r)
		for _, h := range all {
			if h.Area() < 0 && (section.Polygons{r}).Contains(h[0]) {
				kept = append(kept, h)
			}
		}
	}
	return kept
}

// hangs says whether a ring lies under the ceiling somewhere.
func (d *drawer) hangs(r section.Path) bool {
	one := section.Polygons{r}
	for i := range d.p.slabs {
		s := &d.p.slabs[i]
		lo, hi := math.Max(s.u[0], d.ends[0]), math.Min(s.u[1], d.ends[1])
		u := (lo + hi) / 2
		if hi-lo > 0.01 && one.Contains(section.Point{u, s.lerp(s.top, u) - 0.01}) {
			return true
		}
	}
	return false
}

// join puts the webs of several profiles together.
func join(site *Site, parts []*Web) (*Web, error) {
	if len(parts) == 1 {
		return parts[0], nil
	}
	w := &Web{settings: site.Settings, column: site.Column}
	for i, p := range parts {
		w.Outline = append(w.Outline, p.Outline...)
		w.Legs = append(w.Legs, p.Legs...)
		w.Landings = append(w.Landings, p.Landings...)
		w.Springings = append(w.Springings, p.Springings...)
		w.Cuts = append(w.Cuts, p.Cuts...)
		w.Braces = append(w.Braces, p.Braces...)
		w.ceilings = append(w.ceilings, p.ceilings...)
		w.Crest += p.Crest
		w.Sheet += p.Sheet
		if i > 0 {
			w.Scheme, w.Why = w.Scheme+"; ", w.Why+"; "
		}
		w.Scheme, w.Why = w.Scheme+p.Scheme, w.Why+p.Why
	}
	sort.SliceStable(w.Braces, func(i, j int) bool { return w.Braces[i].Z[0] < w.Braces[j].Z[0] })
	w.sum()
	w.hold(site)
	return w, nil
}

// sum sums up.
func (w *Web) sum() {
	w.Area = w.Outline.Area()
	w.Volume = w.Area * w.settings.Width
	lo, hi := bounds(w.Outline)
	w.Bottom, w.Top = lo[1], hi[1]
}

// hold makes the raster for the walk.
func (w *Web) hold(site *Site) { w.holds = newHolds(w.Outline, site.planes.any, &w.settings) }
