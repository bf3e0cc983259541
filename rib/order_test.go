package rib

import (
	"fmt"
	"reflect"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/section"
	"falsework/span"
)

// oneByOne plans the ceilings of a part one after the other.
func oneByOne(t *testing.T, part *mesh.Mesh, s *span.Survey) []CeilingPlan {
	t.Helper()
	m := &maker{ctx: t.Context(), part: part, plan: &Plan{Settings: DefaultSettings(s.Settings), Survey: s}}
	m.reading = read(part, m.plan.Survey)
	out := make([]CeilingPlan, len(s.Ceilings))
	for i := range s.Ceilings {
		c := &s.Ceilings[i]
		out[i].ID = c.ID
		if out[i].Left, out[i].Fault = m.left(c); out[i].Left == "" {
			var err error
			if out[i], _, err = m.ceiling(c, func() *queue { return m.queue(c) }, out[:i]); err != nil {
				t.Fatal(err)
			}
		}
	}
	return out
}

// Planned side by side, ceilings get what they get one after the other: over one
// another, where the upper waits; beside one another with no wall between, where
// webs and braces of the one come near those of the other; and apart.
func TestCeilingsSideBySide(t *testing.T) {
	parts := map[string]*mesh.Mesh{
		"storeys": meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 80, 123), meshtest.Cut(3, 3, 3, 97, 80, 60), meshtest.Cut(3, 3, 63, 97, 80, 120)),
		"step":    meshtest.Blocks(meshtest.Add(0, 0, 0, 86, 120, 83), meshtest.Cut(3, 3, 3, 83, 60, 60), meshtest.Cut(3, 60, 3, 83, 120, 80)),
		"window":  meshtest.Blocks(meshtest.Add(0, 0, 0, 106, 80, 83), meshtest.Cut(3, 3, 3, 103, 80, 80), meshtest.Cut(10, 0, 10, 96, 3, 60)),
	}
	houses := 2
	if property.Long() {
		houses = 40
	}
	for i := range houses {
		parts[fmt.Sprint("house ", i)] = meshtest.RandomHouse(uint64(i)).Mesh
	}
	for name, part := range parts {
		t.Run(name, func(t *testing.T) {
			s := surveyOf(t, part)
			p, err := Make(t.Context(), part, s, DefaultSettings(s.Settings))
			if err != nil {
				t.Fatal(err)
			}
			if want := oneByOne(t, part, s); !reflect.DeepEqual(p.Ceilings, want) {
				t.Errorf("side by side: %d ceilings ribbed with %v; one after the other otherwise", p.Ribbed(), p.Totals)
			}
		})
	}
}

// What stands where a plan had a web or a brace disturbs it; what stands
// elsewhere, or lower than all legs and corbels at its edge, does not.
func TestDisturbed(t *testing.T) {
	part := meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 80, 63), meshtest.Cut(3, 3, 3, 97, 80, 60))
	p := planOf(t, part, nil)
	m := &maker{ctx: t.Context(), part: part, plan: &Plan{Settings: p.Settings, Survey: p.Survey}}
	m.reading = read(part, m.plan.Survey)
	c := &p.Survey.Ceilings[0]
	got, asked, err := m.ceiling(c, func() *queue { return m.queue(c) }, nil)
	if err != nil || len(got.Braces) == 0 {
		t.Fatal(err, len(got.Braces))
	}
	web := func(x, y, from, to float64) CeilingPlan {
		return CeilingPlan{Ribs: []Rib{{Outline: section.Polygons{{{0, from}, {1, from}, {1, to}, {0, to}}}, Bottom: from, Top: to,
			axis: axis{section.Point{x, y}, section.Point{0, 1}}}}}
	}
	at := got.Ribs[0].axis.at(got.Ribs[0].contact[0].mid())
	b := got.Braces[0]
	for _, x := range []struct {
		name string
		of   CeilingPlan
		want bool
	}{
		{"in a web", web(at[0], at[1], 3, 60), true},
		{"far away", web(300, at[1], 3, 60), false},
		{"under the bed", web(at[0], at[1], -30, -20), false},
		{"in a brace", CeilingPlan{Braces: []Brace{{Outline: b.Outline, Z: b.Z}}}, true},
		{"above the braces", CeilingPlan{Braces: []Brace{{Outline: b.Outline, Z: [2]float64{58, 58.4}}}}, false},
	} {
		if d := asked.disturbed([]CeilingPlan{x.of}, p.Settings.Width); d != x.want {
			t.Errorf("%s: disturbed %v", x.name, d)
		}
	}
}

// A ceiling over another waits for it; those beside one another do not.
func TestOrder(t *testing.T) {
	ceiling := func(id int, x float64) span.Ceiling {
		return span.Ceiling{ID: id, NeedsRibs: true, Area: 100 * float64(id), Min: [2]float64{x, 0}, Max: [2]float64{x + 10, 10}}
	}
	s := &span.Survey{Ceilings: []span.Ceiling{ceiling(1, 0), ceiling(2, 10), ceiling(3, 5), ceiling(4, 30)}}
	o := (&maker{plan: &Plan{Survey: s}}).newOrder()
	next := func(want int, plan bool) *work {
		t.Helper()
		w, p := o.next()
		if w == nil || w.c.ID != want || p != plan {
			t.Fatalf("got %v, to be planned: %v; want ceiling %d, %v", w, p, want, plan)
		}
		return w
	}
	next(4, true).state = done
	second := next(2, true)
	next(1, true).state = done
	next(3, false) // it waits for the second
	second.state = done
	next(3, true)
	if w, _ := o.next(); w != nil {
		t.Errorf("ceiling %d is planned twice", w.c.ID)
	}
}
