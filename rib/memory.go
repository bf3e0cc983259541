package rib

import (
	"context"
	"reflect"
	"slices"
	"sync"

	"falsework/mesh"
	"falsework/span"
)

// A Memory plans a part again and again with other settings, as when the proof
// objects to what is planned under one ceiling: what the change does not touch is
// taken from the time before. Plans are those of [Make]. The zero value is ready for
// use; a part surveyed anew is forgotten with its survey. It may be used from several
// goroutines.
type Memory struct {
	lock   sync.Mutex
	survey *span.Survey
	part   *reading
	known  map[int][]remembered
}

// A remembered is what came of planning a ceiling beside what was planned for others.
type remembered struct {
	set     Settings
	planned []CeilingPlan
	plan    CeilingPlan
	asked   *asked
}

// Make is [Make] with memory.
func (y *Memory) Make(ctx context.Context, part *mesh.Mesh, survey *span.Survey, s Settings) (*Plan, error) {
	y.lock.Lock()
	if y.survey != survey {
		y.survey, y.part, y.known = survey, nil, map[int][]remembered{}
	}
	y.lock.Unlock()
	return makePlan(ctx, part, survey, s, y)
}

// read is [read], once for each survey; nil remembers nothing.
func (y *Memory) read(part *mesh.Mesh, survey *span.Survey) *reading {
	if y == nil {
		return read(part, survey)
	}
	y.lock.Lock()
	defer y.lock.Unlock()
	if y.survey != survey { // planned for another meanwhile
		return read(part, survey)
	}
	if y.part == nil {
		y.part = read(part, survey)
	}
	return y.part
}

// keyOf is what the planning of a ceiling depends on, for one survey: settings,
// but for what they say of other ceilings, and what stands under those.
func keyOf(s Settings, id int, planned []CeilingPlan) (Settings, []CeilingPlan) {
	s = s.under(id)
	s.Refused, s.Own, s.Closer = nil, nil, nil
	var stands []CeilingPlan
	for _, c := range planned {
		if len(c.Ribs) > 0 || len(c.Braces) > 0 {
			stands = append(stands, c)
		}
	}
	return s, stands
}

// recall returns what came of a ceiling that was planned before.
func (m *maker) recall(id int, planned []CeilingPlan) (plan CeilingPlan, a *asked, ok bool) {
	y := m.memory
	if y == nil {
		return plan, nil, false
	}
	set, stands := keyOf(m.plan.Settings, id, planned)
	y.lock.Lock()
	known := y.known[id]
	same := y.survey == m.plan.Survey
	y.lock.Unlock()
	i := slices.IndexFunc(known, func(r remembered) bool {
		return same && reflect.DeepEqual(r.set, set) && reflect.DeepEqual(r.planned, stands)
	})
	if i < 0 {
		return plan, nil, false
	}
	return known[i].plan, known[i].asked, true
}

// remember keeps what came of a ceiling.
func (m *maker) remember(plan CeilingPlan, a *asked, planned []CeilingPlan) {
	y := m.memory
	if y == nil {
		return
	}
	set, stands := keyOf(m.plan.Settings, plan.ID, planned)
	y.lock.Lock()
	if y.survey == m.plan.Survey {
		y.known[plan.ID] = append(y.known[plan.ID], remembered{set, stands, plan, a})
	}
	y.lock.Unlock()
}
