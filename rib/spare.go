package rib

import (
	"slices"

	"falsework/span"
)

// What begins in mid-air holds nothing, so all that spans to it needs ribs as
// well: a roof that runs from a core to a skirt hanging from its rim, say. Once
// the skirt stands on ribs it holds the roof as any wall does. So the survey is
// made again with the islands that will be ribbed taken to be carried; what then
// needs no ribs gets none. The proof on the result sees whether that was true.

const carried = "carried once what begins in mid-air below it stands on ribs"

// sparingly plans all ceilings but those that the ribs of islands carry. Where
// an island got no ribs after all, nothing is expected of it.
func (m *maker) sparingly() error {
	out := map[int]bool{} // islands that carry nothing
	for {
		islands := m.islands(out)
		var err error
		if m.spared, err = m.carriedBy(islands); err != nil {
			return err
		}
		if err := m.plans(); err != nil {
			return err
		}
		before := len(out)
		for i := range m.plan.Ceilings {
			if c := &m.plan.Ceilings[i]; !c.Ribbed() && !c.Spared {
				out[c.ID] = true
			}
		}
		if len(m.spared) == 0 || !slices.ContainsFunc(islands, func(c span.Ceiling) bool { return out[c.ID] }) || len(out) == before {
			return nil
		}
	}
}

// islands are the islands that are to be ribbed.
func (m *maker) islands(except map[int]bool) []span.Ceiling {
	m.spared = nil
	var out []span.Ceiling
	for i := range m.plan.Survey.Ceilings {
		c := &m.plan.Survey.Ceilings[i]
		if why, _ := m.left(c); why == "" && c.Kind == span.Island && !except[c.ID] {
			out = append(out, *c)
		}
	}
	return out
}

// carriedBy returns the numbers of the ceilings that are to be ribbed now and
// need it no longer once the given islands are carried.
func (m *maker) carriedBy(islands []span.Ceiling) (map[int]bool, error) {
	if len(islands) == 0 {
		return nil, nil
	}
	var asked []*span.Ceiling // what lies above the lowest island
	for i := range m.plan.Survey.Ceilings {
		c := &m.plan.Survey.Ceilings[i]
		if why, _ := m.left(c); why == "" && c.Z[1] > islands[0].Z[0] && !slices.Contains(m.plan.Settings.Own, c.ID) {
			asked = append(asked, c)
		}
	}
	if !slices.ContainsFunc(asked, func(c *span.Ceiling) bool { return c.ID != islands[0].ID }) {
		return nil, nil
	}
	then, err := span.Run(m.ctx, m.part, m.plan.Survey.Settings, span.Options{Carried: islands})
	if err != nil {
		return nil, err
	}
	out := map[int]bool{}
	for _, c := range asked {
		if !slices.ContainsFunc(then.Ceilings, func(d span.Ceiling) bool { return d.NeedsRibs && over(c, &d) }) {
			out[c.ID] = true
		}
	}
	return out, nil
}

// over tells whether the boxes of two ceilings meet in plan and in height.
func over(a, b *span.Ceiling) bool {
	return overlap(a, b) && a.Z[0] <= b.Z[1] && b.Z[0] <= a.Z[1]
}
