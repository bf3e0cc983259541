package rib

import (
	"math"

	"falsework/mesh/section"
	"falsework/span"
)

// The openings under other ceilings that need ribs are kept clear by the ribs of a
// ceiling, whether those get any or not. Over the low side of a slope there is room
// for what stands on it, so the opening under a ceiling that rises is a pile of
// tiers.

const (
	tierRise  = 1.0 // of a ceiling within one tier, mm: less than what it belongs to is thick
	mostTiers = 64
)

// A tier is a part of a ceiling that is nearly level, seen from above, and its top.
type tier struct {
	foot section.Polygons
	top  float64
}

// tiers cut a ceiling by height.
func (m *maker) tiers(c *span.Ceiling) []tier {
	rise := c.Z[1] - c.Z[0]
	n := min(max(1, int(math.Ceil(rise/tierRise))), mostTiers)
	if n == 1 || len(c.Strips) == 1 {
		return []tier{{c.Footprint, c.Z[1]}}
	}
	feet := make([]section.Polygons, n)
	for _, s := range c.Strips {
		top := s.Z + m.plan.Survey.Settings.Layer
		k := min(max(0, int((top-c.Z[0])/rise*float64(n))), n-1)
		feet[k] = append(feet[k], s.Footprint...)
	}
	var out []tier
	for k, p := range feet {
		if foot := section.Union(p, nil); len(foot) > 0 {
			out = append(out, tier{foot, c.Z[0] + rise*float64(k+1)/float64(n)})
		}
	}
	return out
}

// lowest is the lowest floor under a region of a ceiling, and whether a probe falls
// into it: it may be narrower than they are apart.
func (m *maker) lowest(foot section.Polygons, c *span.Ceiling) (z float64, ok bool) {
	z = math.Inf(1)
	cells, _ := middles(foot, 1)
	for _, q := range cells {
		_, f := m.probes.clear(q, c.Z)
		z = min(z, f)
	}
	return z, len(cells) > 0
}

// opening is the room under a ceiling, less what stands at its edges.
func (m *maker) opening(c *span.Ceiling) []obstacle {
	whole, ok := m.lowest(c.Footprint, c)
	if !ok {
		whole = m.plan.Survey.Bounds.Min[2]
	}
	var out []obstacle
	for _, t := range m.tiers(c) {
		low, ok := m.lowest(t.foot, c)
		if !ok {
			low = whole
		}
		foot := section.Offset(t.foot, m.plan.Settings.Setback, section.Miter)
		out = append(out, obstacle{foot, [2]float64{low - 0.1, t.top + 0.1}, m.plan.Settings.Width / 2})
	}
	return out
}

// A gap is whose opening is meant, and what of it is kept clear depends on.
type gap struct {
	id             int
	setback, width float64
}

// openings are those that the ribs of a ceiling keep clear of. Most ceilings ask
// for the same.
func (m *maker) openings(c *span.Ceiling) []obstacle {
	var out []obstacle
	for i := range m.plan.Survey.Ceilings {
		o := &m.plan.Survey.Ceilings[i]
		if o.ID == c.ID || !o.NeedsRibs || o.Small || o.Z[0] > c.Z[1] {
			continue
		}
		kept, _ := m.kept.get(gap{o.ID, m.plan.Settings.Setback, m.plan.Settings.Width}, func() ([]obstacle, error) {
			return m.opening(o), nil
		})
		out = append(out, kept...)
	}
	return out
}
