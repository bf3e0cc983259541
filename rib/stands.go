package rib

import (
	"math"

	"falsework/mesh/section"
	"falsework/span"
)

// stride is the distance between the heights at which a verification looks for
// the webs, in millimetres.
const stride = 8.0

// A place is where there must be material of the ribbed part.
type place struct {
	what string
	at   [3]float64
	of   int // the number of the ceiling it was built for
}

// missing returns the places where the plan has something and the second
// survey finds no material, or none that stands on layers already printed.
func (p *Plan) missing(second *span.Survey) []place {
	var out []place
	for i := range p.Ceilings {
		c := &p.Ceilings[i]
		if !c.Ribbed() {
			continue
		}
		for _, s := range c.places(p.Survey) {
			if !second.Grounded(s.at) {
				out = append(out, s)
			}
		}
	}
	return out
}

// places are places well inside what is built under a ceiling: in the middle of
// every web's pieces every few millimetres of height, along the middle of every
// brace, in every foot. They lie half-way up a layer.
func (c *CeilingPlan) places(of *span.Survey) []place {
	var out []place
	bed, s := of.Bounds.Min[2], of.Settings
	mid := func(k int) float64 {
		if k == 0 {
			return bed + s.FirstLayer/2
		}
		return bed + s.FirstLayer + float64((float64(k)-0.5)*s.Layer)
	}
	step := max(1, int(math.Round(stride/s.Layer)))
	for k := range c.Ribs {
		r := &c.Ribs[k]
		for n := step / 2; mid(n) < r.Top-1; n += step {
			for _, x := range across(r.Outline, mid(n)) {
				if x.length() >= 4*braceInset+0.3 {
					q := r.axis.at(x.mid())
					out = append(out, place{"rib", [3]float64{q[0], q[1], mid(n)}, c.ID})
				}
			}
		}
		// And once right under the crest, where a low web has nothing else.
		n := int((r.Top - bed - s.FirstLayer - 1) / s.Layer)
		if n < 0 {
			continue
		}
		for _, x := range across(r.Outline, mid(n)) {
			q := r.axis.at(x.mid())
			out = append(out, place{"rib", [3]float64{q[0], q[1], mid(n)}, c.ID})
		}
	}
	for _, b := range c.Braces {
		z := (b.Z[0] + min(b.Z[1], b.Z[0]+s.Layer)) / 2
		core := section.Offset(b.Outline, -0.2, section.Miter)
		d, l := unit(b.From, b.To)
		a := axis{b.From, d}
		for k := 1; k < 16; k++ {
			if q := a.at(l * float64(k) / 16); inside(core, q) {
				out = append(out, place{"brace", [3]float64{q[0], q[1], z}, c.ID})
			}
		}
	}
	for _, f := range c.Feet {
		z := mid(1)
		lo, hi := box(f.Outline)
		q := section.Point{(lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2}
		if inside(section.Offset(f.Outline, -0.2, section.Miter), q) {
			out = append(out, place{"foot", [3]float64{q[0], q[1], z}, c.ID})
		}
	}
	return out
}
