package rib

import (
	"context"
	"slices"
	"sync"
	"sync/atomic"

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
	return makePlan(ctx, part, survey, s, nil)
}

func makePlan(ctx context.Context, part *mesh.Mesh, survey *span.Survey, s Settings, y *Memory) (*Plan, error) {
	if err := s.Check(survey.Settings); err != nil {
		return nil, err
	}
	if err := s.checkNumbers(survey); err != nil {
		return nil, err
	}
	p := &Plan{Settings: s, Survey: survey, Ceilings: make([]CeilingPlan, len(survey.Ceilings))}
	m := &maker{ctx: ctx, part: part, plan: p, memory: y, reading: &reading{}}
	if m.any() {
		m.reading = y.read(part, survey)
	}
	if err := m.sparingly(); err != nil {
		return nil, err
	}
	m.totals()
	m.warn()
	return p, nil
}

// A maker plans the ceilings from the lowest up, so that a later one keeps clear
// of what stands already: see order.go.
type maker struct {
	ctx  context.Context
	part *mesh.Mesh
	plan *Plan
	*reading
	spared map[int]bool // numbers of ceilings that the ribs of islands carry: see spare.go
	memory *Memory      // nil without one
	busy   atomic.Int32 // ceilings that are being planned
}

// A reading is what is read off the part and its survey, the same for all ceilings
// and all settings.
type reading struct {
	cutter *section.Cutter // vertical cuts: a search asks for hundreds
	probes *probes
	slices *layers
	cavity sync.Mutex
	space  *space // made when the first ceiling asks whether it is sealed
	kept   store[gap, []obstacle]
}

// read reads the part for all ceilings.
func read(part *mesh.Mesh, survey *span.Survey) *reading {
	b := survey.Bounds
	size := max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1])
	r := &reading{slices: newLayers(survey)}
	each(2, func(i int) bool {
		if i == 0 {
			r.cutter = section.NewCutter(part)
		} else {
			r.probes = newProbes(part, min(max(size/400, 0.25), 1))
		}
		return true
	})
	return r
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
	case m.spared[c.ID]:
		return carried, false
	}
	return "", false
}

// ceiling plans a ceiling that needs ribs, beside what is planned for others,
// and says what it asked of that.
func (m *maker) ceiling(c *span.Ceiling, all func() *queue, planned []CeilingPlan) (CeilingPlan, *asked, error) {
	if out, a, ok := m.recall(c.ID, planned); ok {
		return out, a, nil
	}
	out, a, err := m.anew(c, all, planned)
	if err == nil {
		m.remember(out, a, planned)
	}
	return out, a, err
}

// anew plans a ceiling that nothing is remembered of.
func (m *maker) anew(c *span.Ceiling, all func() *queue, planned []CeilingPlan) (CeilingPlan, *asked, error) {
	out, a := CeilingPlan{ID: c.ID}, &asked{}
	if !m.plan.Settings.Sealed && m.sealed(c) {
		out.Left, out.Fault = "sealed: the ribs could not be taken out", true
		return out, a, nil
	}
	q := all()
	b := newShaper(q.view, m.cutter, m.plan.Survey, append(m.openings(c), webs(planned, m.plan.Settings.Width)...))
	b.planned, b.asked = planned, a
	best, why, err := m.search(b, q)
	if err != nil {
		return out, a, err
	}
	if best == nil {
		out.Left, out.Fault = why, true
		return out, a, nil
	}
	m.build(&out, b, best)
	out.Why = why
	return out, a, nil
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
func (m *maker) carries(b *shaper, ribs section.Polygons) verdict {
	j, err := m.plan.Survey.Judge(b.c.ID, ribs, b.s.Spacing)
	if err != nil {
		return verdict{err: err}
	}
	v := verdict{ok: true}
	if j.Reach > b.s.Spacing/2+0.05 {
		v.ok, v.at = false, append(v.at, j.ReachAt)
	}
	if j.Hang > sure*b.sv.Ledge {
		v.ok, v.at = false, append(v.at, j.At)
	}
	return v
}
