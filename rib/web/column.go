package web

import (
	"math"

	"falsework/mesh/section"
)

// column draws the plain column of an opening in a thin wall. It follows the
// profile of the jamb, if that is the same wall; else it stands upright.
func (d *drawer) column() (*Web, bool) {
	out := d.along()
	if out == nil {
		return nil, false
	}
	s := &d.site.Settings
	lo, hi := bounds(out)
	foot := lo[1]
	if foot > s.Bed {
		foot += s.Embed
	}
	rows := crossings(out, foot+s.Layer/2, 1, 1, lo[0]-1, hi[0]+1)[0]
	if len(rows) < 2 {
		return nil, false
	}
	u := [2]float64{rows[0], rows[len(rows)-1]}
	bed := foot <= s.Bed+1e-3
	if !bed && !d.site.stands((u[0]+u[1])/2, foot) {
		return nil, false
	}
	w := &Web{settings: *s, column: true, ceilings: []profile{*d.p}, Outline: out, Scheme: "column"}
	top := d.p.top((d.ends[0] + d.ends[1]) / 2)
	w.Legs = []Leg{{U: [2]float64{lo[0], hi[0]}, Z: [2]float64{foot, top}}}
	w.Landings = []Landing{{U: u, Z: foot, Bed: bed}}
	w.Crest = d.ends[1] - d.ends[0]
	w.Sheet = out.Area()
	w.Cuts = []Cut{
		{What: "landing", From: section.Point{u[0], foot}, To: section.Point{u[1], foot}, Length: u[1] - u[0]},
		{What: "crest", From: section.Point{d.ends[0], d.p.top(d.ends[0])}, To: section.Point{d.ends[1], d.p.top(d.ends[1])}, Length: w.Crest},
	}
	return w, true
}

// along returns the jamb's profile, set back on both faces and cut to the
// opening; nil when the jamb is not of one thickness with the wall.
func (d *drawer) along() section.Polygons {
	from, to := d.p.from(), d.p.to()
	wide := to - from
	top := d.p.top((from + to) / 2)
	jlo, jhi := bounds(d.site.Jamb)
	rows := crossings(d.site.Jamb, top-d.site.Settings.Layer, 1, 1, jlo[0]-1, jhi[0]+1)[0]
	// The stretch of the jamb nearest to the opening's, right under the lintel.
	best, shift := math.Inf(1), 0.0
	for k := 0; k+1 < len(rows); k += 2 {
		off := (from+to)/2 - (rows[k]+rows[k+1])/2
		if w := rows[k+1] - rows[k]; math.Abs(off) < best && w > 0.7*wide && w < 1.5*wide {
			best, shift = math.Abs(off), off
		}
	}
	if best > 2*wide {
		return nil
	}
	var jamb section.Polygons
	for _, r := range d.site.Jamb {
		jamb = append(jamb, shifted(r, shift))
	}
	set := math.Max(d.p.set[0], d.p.set[1])
	reach := top - d.site.Settings.Bed
	lim := section.Polygons{{{from - reach, d.site.Settings.Bed}, {to + reach, d.site.Settings.Bed}, {to + reach, top + over}, {from - reach, top + over}}}
	out := d.cut(section.Intersect(section.Offset(jamb, -set, section.Miter), lim))
	if len(out) != 1 {
		return nil
	}
	lo, hi := bounds(out)
	if out.Area() > 1.5*wide*(hi[1]-lo[1]) || out.Area() < 0.4*wide*(hi[1]-lo[1]) {
		return nil
	}
	return out
}

// shifted is a ring moved along the run.
func shifted(r section.Path, du float64) section.Path {
	out := make(section.Path, len(r))
	for i, q := range r {
		out[i] = section.Point{q[0] + du, q[1]}
	}
	return out
}
