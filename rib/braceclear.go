package rib

import (
	"math"

	"falsework/mesh/section"
	"falsework/span"
)

// clear tells whether a chain is neither like one that is there nor would
// graze it.
func (b *bracer) clear(c *chain) bool {
	for _, o := range b.chains {
		if o.z[0] < c.z[1]+1 && c.z[0] < o.z[1]+1 {
			for _, t := range o.ties {
				for _, s := range c.ties {
					if s.web == t.web && math.Abs(s.u-t.u) < 2*braceDepth {
						return false
					}
				}
			}
			if share(section.Polygons{c.plan}, section.Polygons{o.plan}) {
				return false
			}
		}
	}
	return true
}

// under returns a ceiling right under which a place lies: a chain there fouls it
// whatever it ends at, so that no layer need be cut to see where it goes.
func (b *bracer) under(q section.Point, z [2]float64) *span.Ceiling {
	for i := range b.survey.Ceilings {
		o := &b.survey.Ceilings[i]
		if o.Z[0] > z[1]+braceClear || o.Z[1] < z[0]-b.above(o) ||
			o.Min[0] > q[0] || o.Max[0] < q[0] || o.Min[1] > q[1] || o.Max[1] < q[1] {
			continue
		}
		for _, s := range o.Strips {
			if s.Z <= z[1]+braceClear && s.Z >= z[0]-b.above(o) && inside(s.Footprint, q) {
				return o
			}
		}
	}
	return nil
}

// above is how far a brace keeps above a ceiling: so far at least that the
// survey does not join the two. That goes by whole layers, and a ceiling may
// begin half a layer above its underside.
func (b *bracer) above(o *span.Ceiling) float64 {
	joined := b.sv.Ledge/math.Tan(b.sv.Slope*math.Pi/180) + 1.5*b.sv.Layer
	if b.closer && !o.NeedsRibs {
		return joined
	}
	return max(braceClear, joined)
}

// meets tells whether a chain runs into what is planned under other ceilings:
// their webs, or a brace at its height or so near that its strands would lie on
// it.
func (c *chain) meets(planned []CeilingPlan, width float64) bool {
	own, clear := section.Polygons{c.plan}, 2*width
	for i := range planned {
		for _, o := range planned[i].Braces {
			if o.Z[0] < c.z[1]+1 && c.z[0] < o.Z[1]+1 && !apart(o.Outline, own, clear*section.MiterLimit) &&
				len(section.Intersect(section.Offset(o.Outline, clear/2, section.Miter), own)) > 0 {
				return true
			}
		}
		for _, r := range planned[i].Ribs {
			if r.Bottom > c.z[1] || r.Top < c.z[0] {
				continue
			}
			for _, s := range across(r.Outline, (c.z[0]+c.z[1])/2) {
				body := section.Polygons{bar(r.axis, stretch{s.from - clear, s.to + clear}, width+2*clear)}
				if !apart(body, own, 1) && share(body, own) {
					return true
				}
			}
		}
	}
	return false
}

// fouls returns a ceiling that a chain comes too near to, whose strands would be
// laid on it or beside it: its own too, where that slopes.
func (b *bracer) fouls(c *chain) *span.Ceiling {
	lo, hi := box(section.Polygons{c.plan})
	for i := range b.survey.Ceilings {
		o := &b.survey.Ceilings[i]
		if o.Z[0] > c.z[1]+braceClear || o.Z[1] < c.z[0]-b.above(o) {
			continue
		}
		if o.Min[0] > hi[0]+1 || o.Max[0] < lo[0]-1 || o.Min[1] > hi[1]+1 || o.Max[1] < lo[1]-1 {
			continue
		}
		for j := range o.Strips {
			s := &o.Strips[j]
			if s.Z > c.z[1]+braceClear || s.Z < c.z[0]-b.above(o) {
				continue
			}
			g := b.grown(i, j)
			if g.lo[0] > hi[0] || g.hi[0] < lo[0] || g.lo[1] > hi[1] || g.hi[1] < lo[1] {
				continue
			}
			if share(g.plan, section.Polygons{c.plan}) {
				return o
			}
		}
	}
	return nil
}

// A zone is a region in plan with its box.
type zone struct {
	plan   section.Polygons
	lo, hi section.Point
}

// grown is what braces keep out of round a strip of a ceiling. Hundreds of
// braces ask for the same few hundred strips of a slope.
func (b *shaper) grown(ceiling, strip int) zone {
	z, _ := b.round.get([2]int{ceiling, strip}, func() (zone, error) {
		p := section.Offset(b.survey.Ceilings[ceiling].Strips[strip].Footprint, 1, section.Miter)
		lo, hi := box(p)
		return zone{p, lo, hi}, nil
	})
	return z
}
