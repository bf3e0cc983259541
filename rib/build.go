package rib

import (
	"math"
	"slices"

	"falsework/mesh/section"
)

// lift keeps pads this far above the bed's own plane: the union moves tools by
// some microns, and nothing may come to lie below the first layer.
const lift = 0.01

// sunk is how far a web's end stays above the underside of its pad, so that
// the two do not end flush.
const sunk = 0.06

// build turns the trial taken into ribs, braces, feet and cuts.
func (m *maker) build(out *CeilingPlan, b *shaper, t *trial) {
	s := m.plan.Settings
	out.Layout, out.Bay = t.layout.words, t.layout.bay
	for i, w := range t.webs {
		if w == nil {
			continue
		}
		if k := slices.Index(t.loose, i); k >= 0 {
			f := t.faults[k]
			f.Rib = len(out.Ribs)
			out.Unsteady = append(out.Unsteady, f)
		}
		l := t.layout.lines[i]
		lo, hi := box(w.Outline)
		r := Rib{From: l.at(0), To: l.at(hi[0]), Outline: w.Outline, Bottom: w.Bottom, Top: w.Top,
			Legs: len(w.Legs), Scheme: w.Scheme, Volume: w.Volume, Crest: b.crest(l), axis: l.axis}
		r.contact = []stretch{{max(lo[0], l.under.from), min(hi[0], l.under.to)}}
		for _, x := range w.Landings {
			if x.Bed && s.Foot > 0 {
				out.Feet = append(out.Feet, m.foot(l, stretch{x.U[0], x.U[1]}))
			}
		}
		r.Outline = raise(r.Outline, b.bed())
		out.Sheets += float64(w.Sheet * s.Width)
		out.Volume += r.Volume
		out.Ribs = append(out.Ribs, r)
	}
	for _, c := range t.chains {
		area := section.Polygons{c.plan}.Area()
		x := Brace{From: c.ends[0], To: c.ends[1], Depth: c.depth, Z: c.z, Outline: section.Polygons{c.plan}, Ties: len(c.ties)}
		x.Volume = max(0, area-float64(float64(len(c.ties))*c.depth*s.Width)) * (c.z[1] - c.z[0])
		out.Volume += x.Volume
		out.Braces = append(out.Braces, x)
	}
	for _, f := range out.Feet {
		out.Volume += float64(f.Outline.Area() * (f.Z[1] - f.Z[0]))
	}
	out.Cuts = m.cuts(b, t, out)
}

// foot is the pad under a web's end on the bed: wider than the web by the
// setting all round, two layers high, and clear of the part by a gap wide
// enough that the two do not fuse.
func (m *maker) foot(l ribLine, u stretch) Foot {
	s := m.plan.Settings
	gap := max(2*s.Setback, 0.5)
	pad := section.Polygons{bar(l.axis, stretch{u.from - s.Foot, u.to + s.Foot}, s.Width+2*s.Foot)}
	for layer := 0; layer < 2; layer++ {
		pad = section.Subtract(pad, section.Offset(m.slices.of(layer), gap, section.Miter))
	}
	core := section.Polygons{bar(l.axis, stretch{u.from - 0.1, u.to + 0.1}, s.Width+0.2)}
	pad = section.Union(pad, core)
	// Keep the piece that the web stands on.
	mid := l.at(u.mid())
	pad = pieceWith(pad, mid)
	z0 := m.slices.bottom(0)
	return Foot{Outline: snapped(pad), Z: [2]float64{micron(z0 + lift), micron(m.slices.bottom(2))}}
}

// pieceWith returns the connected piece of a region about a point.
func pieceWith(p section.Polygons, q section.Point) section.Polygons {
	var outer section.Path
	for _, r := range p {
		if r.Area() > 0 && inside(section.Polygons{r}, q) {
			if outer == nil || r.Area() < outer.Area() {
				outer = r
			}
		}
	}
	if outer == nil {
		return p
	}
	out := section.Polygons{outer}
	for _, r := range p {
		if r.Area() < 0 && inside(section.Polygons{outer}, r[0]) {
			out = append(out, r)
		}
	}
	return out
}

// raise lifts the ends of a web that stand on the bed into their pads.
func raise(p section.Polygons, bed float64) section.Polygons {
	out := make(section.Polygons, len(p))
	for i, ring := range p {
		out[i] = append(section.Path(nil), ring...)
		for k := range out[i] {
			if out[i][k][1] < bed+sunk {
				out[i][k][1] = micron(bed + sunk)
			}
		}
	}
	return out
}

// snapped rounds a region to microns and drops what that makes coincide.
func snapped(p section.Polygons) section.Polygons {
	var out section.Polygons
	for _, ring := range p {
		var r section.Path
		for _, q := range ring {
			q = section.Point{micron(q[0]), micron(q[1])}
			if n := len(r); n > 0 && r[n-1] == q {
				continue
			}
			r = append(r, q)
		}
		for len(r) > 1 && r[0] == r[len(r)-1] {
			r = r[:len(r)-1]
		}
		if len(r) >= 3 && math.Abs(r.Area()) > 1e-6 {
			out = append(out, r)
		}
	}
	return out
}
