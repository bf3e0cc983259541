package rib

import (
	"context"
	"fmt"
	"math"

	"falsework/mesh"
	"falsework/mesh/section"
	"falsework/rib/web"
	"falsework/span"
)

// Limits of the search under one ceiling: judging costs more than anything
// else, so it stops at the first few that carry.
const (
	enough   = 4   // valid layouts whose webs are drawn
	drawn    = 7   // layouts drawn, steady or not, when one is valid
	first    = 12  // layouts judged when one is valid
	patience = 150 // layouts judged before a ceiling is given up
	alike    = 4   // failures after which layouts of the same kind are passed over
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
		m.cutter = section.NewCutter(part)
		b := survey.Bounds
		size := max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1])
		m.probes = newProbes(part, min(max(size/400, 0.25), 1))
		m.slices = &layers{at: section.NewSlicer(part), bed: b.Min[2], first: survey.Settings.FirstLayer,
			layer: survey.Settings.Layer, known: map[int]section.Polygons{}}
	}
	for i := range survey.Ceilings {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		c, err := m.ceiling(&survey.Ceilings[i])
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
	}
	return "", false
}

// A trial is a layout with its webs drawn and braced.
type trial struct {
	layout  *layout
	webs    []*web.Web
	chains  []*chain
	loose   []int
	volume  float64
	width   float64 // of ribs
	column  bool    // they stand in the opening of a thin wall
	contact section.Polygons
}

// ceiling plans one ceiling.
func (m *maker) ceiling(c *span.Ceiling) (CeilingPlan, error) {
	out := CeilingPlan{ID: c.ID}
	if out.Left, out.Fault = m.left(c); out.Left != "" {
		return out, nil
	}
	if !m.plan.Settings.Sealed && m.sealed(c) {
		out.Left, out.Fault = "sealed: the ribs could not be taken out", true
		return out, nil
	}
	v := newView(c, m.probes, m.plan.Settings, m.plan.Survey.Settings)
	b := newShaper(v, m.cutter, m.plan.Survey, m.obstacles(c))
	good, why, err := m.search(b)
	if err != nil {
		return out, err
	}
	if len(good) == 0 {
		out.Left, out.Fault = why, true
		return out, nil
	}
	best := 0
	for i, t := range good {
		if t.rank() < good[best].rank() {
			best = i
		}
	}
	m.build(&out, b, good[best])
	out.Unsteady = len(good[best].loose)
	out.Why = reason(good, best)
	return out, nil
}

// search judges layouts, cheapest first, and draws the webs of those that
// carry, until there are enough or what is left can hardly be cheaper. Those
// with webs that no brace can steady are kept for when there is nothing else.
// Without any it says what was in the way.
func (m *maker) search(b *shaper) (good []*trial, why string, err error) {
	why = "no layout of ribs carries it"
	var shaky []*trial
	failed := map[string]int{}
	judged, best := 0, math.Inf(1)
	all := newSieve(b.view).sift(b.layouts())
	for k := range all {
		l := &all[k]
		if judged >= patience || len(good) >= enough || 0.8*l.cost > best ||
			len(good) > 0 && (judged >= first || len(good)+len(shaky) >= drawn) || len(shaky) >= 4*drawn {
			break
		}
		if failed[l.kind] >= alike {
			continue
		}
		if err := m.ctx.Err(); err != nil {
			return nil, "", err
		}
		judged++
		l.lines = m.settle(b, l.lines)
		ok, err := m.carries(b, contact(l, b.s, nil))
		if err != nil {
			return nil, "", err
		}
		if !ok {
			failed[l.kind]++
			continue
		}
		t, fault := m.try(b, l)
		if t == nil {
			why = fault
			failed[l.kind]++
			continue
		}
		if ok, err = m.carries(b, t.contact); err != nil {
			return nil, "", err
		}
		switch {
		case !ok:
			why = "ribs that can stand there do not carry all of it"
			failed[l.kind]++
		case len(t.loose) > 0:
			shaky = append(shaky, t)
			failed[l.kind]++
		default:
			good = append(good, t)
			best = min(best, t.rank())
		}
	}
	if len(good) == 0 {
		good = shaky
	}
	return good, why, nil
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

// try draws and braces the webs of a layout. A web that finds no place is left
// out; the layout is judged again without it.
func (m *maker) try(b *shaper, l *layout) (*trial, string) {
	t := &trial{layout: l, webs: make([]*web.Web, len(l.lines))}
	fault := ""
	n := 0
	column := true
	for i, r := range l.lines {
		w, err := b.shape(l, i)
		if err != nil {
			fault = err.Error()
			if r.under.length() > max(2*b.sv.Ledge, 6) {
				return nil, fault
			}
			continue
		}
		n++
		t.webs[i] = w
		column = column && b.column(r)
	}
	if n == 0 {
		return nil, fault
	}
	t.contact = contact(l, b.s, t.webs)
	t.width, t.column = b.s.Width, column
	t.brace(b, m.slices)
	for _, w := range t.webs {
		if w != nil {
			t.volume += w.Volume
		}
	}
	for _, c := range t.chains {
		t.volume += float64(section.Polygons{c.plan}.Area() * (c.z[1] - c.z[0]))
	}
	return t, ""
}

// brace ties the webs of a trial that were drawn.
func (t *trial) brace(b *shaper, s *layers) {
	br := &bracer{shaper: b, slices: s, column: t.column}
	var index []int
	for i, w := range t.webs {
		if w != nil {
			br.lines = append(br.lines, t.layout.lines[i])
			br.webs = append(br.webs, w)
			br.walks = append(br.walks, w.Walk())
			index = append(index, i)
		}
	}
	for _, i := range br.brace() {
		t.loose = append(t.loose, index[i])
	}
	t.chains = br.chains
}

// rank is what a drawn layout costs: its volume, what cutting is worth, braces
// with it, and twice as much again for every web that could not be made steady.
func (t *trial) rank() float64 {
	r := t.volume
	for _, w := range t.webs {
		if w != nil {
			r += float64(cutWeight*w.Crest) + ribWeight
			r += t.slight(w)
		}
	}
	for _, c := range t.chains {
		r += float64(float64(len(c.ties)) * braceFuss * t.width)
	}
	for _, i := range t.loose {
		r += 2 * t.webs[i].Volume
	}
	return r
}

// slight is what a web's legs lack to their least depth, in material.
func (t *trial) slight(w *web.Web) float64 {
	var sum float64
	for _, l := range w.Legs {
		if !t.column && !math.IsInf(l.Z[0], 0) {
			sum += float64(max(0, legDepth-l.Depth()) * (l.Z[1] - l.Z[0]))
		}
	}
	return sum * t.width
}

// reason says in words why a layout was taken.
func reason(good []*trial, best int) string {
	t := good[best]
	if len(good) == 1 {
		return fmt.Sprintf("least material of those that carry: %.1f cm3; no other layout near it does", t.volume/1e3)
	}
	next := -1
	for i := range good {
		if i != best && (next < 0 || good[i].rank() < good[next].rank()) {
			next = i
		}
	}
	o := good[next]
	return fmt.Sprintf("least of those that carry: %.2f cm3; next %s with %.2f cm3", t.volume/1e3, o.layout.words, o.volume/1e3)
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
