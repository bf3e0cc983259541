package rib

import (
	"context"
	"fmt"
	"math"
	"slices"

	"falsework/mesh"
	"falsework/mesh/section"
	"falsework/rib/web"
	"falsework/span"
)

// Make plans the ribs for every ceiling of the survey that needs them. The
// part is the one the survey was made of. Errors are those of the settings
// ([*SettingsError]), of sections, and of the context; a ceiling that cannot
// be ribbed is no error but is named in the plan.
func Make(ctx context.Context, part *mesh.Mesh, survey *span.Survey, s Settings) (*Plan, error) {
	if err := s.Check(survey.Settings); err != nil {
		return nil, err
	}
	if err := s.checkNumbers(survey); err != nil {
		return nil, err
	}
	p := &Plan{Settings: s, Survey: survey, Ceilings: make([]CeilingPlan, len(survey.Ceilings))}
	m := &maker{ctx: ctx, part: part, plan: p}
	if m.any() {
		m.prepare()
	}
	ahead := m.lookAhead()
	defer ahead.stop()
	for i := range survey.Ceilings {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		c, err := m.ceiling(&survey.Ceilings[i], ahead)
		if err != nil {
			return nil, fmt.Errorf("ceiling %d: %w", survey.Ceilings[i].ID, err)
		}
		p.Ceilings[i] = c
	}
	m.totals()
	m.warn()
	return p, nil
}

// A maker plans one ceiling after the other, from the lowest up, so that a
// later one keeps clear of what stands already.
type maker struct {
	ctx    context.Context
	part   *mesh.Mesh
	plan   *Plan
	cutter *section.Cutter // vertical cuts: a search asks for hundreds
	probes *probes
	slices *layers
	space  *space // made when the first ceiling asks whether it is sealed
}

// prepare reads the part for all ceilings.
func (m *maker) prepare() {
	b := m.plan.Survey.Bounds
	size := max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1])
	each(2, func(i int) bool {
		if i == 0 {
			m.cutter = section.NewCutter(m.part)
		} else {
			m.probes = newProbes(m.part, min(max(size/400, 0.25), 1))
		}
		return true
	})
	m.slices = newLayers(m.plan.Survey)
}

// any tells whether some ceiling is to be ribbed.
func (m *maker) any() bool {
	for i := range m.plan.Survey.Ceilings {
		if left, _ := m.left(&m.plan.Survey.Ceilings[i]); left == "" {
			return true
		}
	}
	return false
}

// left says why nothing is built under a ceiling before any layout is tried,
// and whether that is a fault.
func (m *maker) left(c *span.Ceiling) (why string, fault bool) {
	switch {
	case !c.NeedsRibs:
		return "needs none", false
	case !m.plan.Settings.wanted(c.ID):
		return "skipped", false
	case c.Low:
		return "low", false
	case c.Small:
		return "small", false
	case slices.Contains(m.plan.Settings.Refused, c.ID):
		return "no ribs tried pass the proof: surveyed again, something still hung there", true
	}
	return "", false
}

// ceiling plans one ceiling.
func (m *maker) ceiling(c *span.Ceiling, ahead *ahead) (CeilingPlan, error) {
	out := CeilingPlan{ID: c.ID}
	if out.Left, out.Fault = m.left(c); out.Left != "" {
		return out, nil
	}
	if !m.plan.Settings.Sealed && m.sealed(c) {
		out.Left, out.Fault = "sealed: the ribs could not be taken out", true
		return out, nil
	}
	all := ahead.queue(c)
	b := newShaper(all.view, m.cutter, m.plan.Survey, m.obstacles(c))
	b.planned = m.plan.Ceilings
	best, why, err := m.search(b, all)
	if err != nil {
		return out, err
	}
	if best == nil {
		out.Left, out.Fault = why, true
		return out, nil
	}
	m.build(&out, b, best)
	out.Unsteady = len(best.loose)
	out.Why = why
	return out, nil
}

// contact is the region of plan that the ribs of a layout hold: what is drawn,
// or, while nothing is, the lines less the setback at ends that do not hold.
func contact(l *layout, s Settings, webs []*web.Web) section.Polygons {
	var out section.Polygons
	for i, r := range l.lines {
		u := r.under
		if webs == nil {
			if !r.hold[0] {
				u.from += s.Setback
			}
			if !r.hold[1] {
				u.to -= s.Setback
			}
			if u.length() > 0 {
				out = append(out, bar(r.axis, u, s.Width))
			}
			continue
		}
		if webs[i] == nil {
			continue
		}
		for _, c := range webs[i].Cuts {
			if c.What != "crest" {
				continue
			}
			v := stretch{max(u.from, min(c.From[0], c.To[0])), min(u.to, max(c.From[0], c.To[0]))}
			if v.length() > 0 {
				out = append(out, bar(r.axis, v, s.Width))
			}
		}
	}
	return section.Union(out, nil)
}

// sure is the share of the ledge that a lip may take up in a plan: the survey of
// what is built measures on other cells than the plan's.
const sure = 0.95

// carries judges ribs under a ceiling by the survey's own measure.
func (m *maker) carries(b *shaper, ribs section.Polygons) (bool, error) {
	j, err := m.plan.Survey.Judge(b.c.ID, ribs, b.s.Spacing)
	if err != nil {
		return false, err
	}
	return j.Reach <= b.s.Spacing/2+0.05 && j.Hang <= sure*b.sv.Ledge, nil
}

// obstacles are what the ribs of a ceiling keep clear of: the openings under
// other ceilings that need ribs, and the webs planned already.
func (m *maker) obstacles(c *span.Ceiling) []obstacle {
	var out []obstacle
	bed := m.plan.Survey.Bounds.Min[2]
	for i := range m.plan.Survey.Ceilings {
		o := &m.plan.Survey.Ceilings[i]
		if o.ID == c.ID || !o.NeedsRibs || o.Small || o.Z[0] > c.Z[1] {
			continue
		}
		low := math.Inf(1)
		cells, _ := middles(o.Footprint, 1)
		for _, q := range cells {
			_, f := m.probes.clear(q, o.Z)
			low = min(low, f)
		}
		if math.IsInf(low, 1) {
			low = bed
		}
		out = append(out, obstacle{section.Offset(o.Footprint, m.plan.Settings.Setback, section.Miter), [2]float64{low - 0.1, o.Z[1] + 0.1}})
	}
	clear := 2 * m.plan.Settings.Width
	for i := range m.plan.Ceilings {
		for _, r := range m.plan.Ceilings[i].Ribs {
			lo, hi := box(r.Outline)
			b := bar(r.axis, stretch{lo[0] - clear, hi[0] + clear}, m.plan.Settings.Width+2*clear)
			out = append(out, obstacle{section.Polygons{b}, [2]float64{r.Bottom - 0.1, r.Top + 0.1}})
		}
	}
	return out
}
