package rib

import (
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/section"
)

// Where the web of another ceiling stands already, no leg stands and no corbel
// passes: a roof is planned twice, the second time with a foreign web through
// the place of a leg.
//
//	####################
//	#                 .
//	#      /|\        .   the leg, and the foreign web |X| across it
//	#       X         .
//	####################
func TestWebsKeepClearOfOtherCeilings(t *testing.T) {
	part := meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 80, 63), meshtest.Cut(3, 3, 3, 97, 80, 60))
	p := planOf(t, part, nil)
	if len(p.Ceilings) != 1 || !p.Ceilings[0].Ribbed() {
		t.Fatal("nothing is ribbed")
	}
	const foot, top = 3.0, 40.0
	r := p.Ceilings[0].Ribs[0]
	legs := across(r.Outline, 20)
	if len(legs) == 0 {
		t.Fatalf("%s has no leg", r.Scheme)
	}
	at := r.axis.at(legs[0].mid())
	foreign := Rib{Outline: section.Polygons{{{-15, foot}, {15, foot}, {15, top}, {-15, top}}}, Bottom: foot, Top: top,
		axis: axis{at, section.Point{-r.axis.dir[1], r.axis.dir[0]}}}
	clear := func(c *CeilingPlan) float64 {
		least := math.Inf(1)
		body := bar(foreign.axis, stretch{-15, 15}, p.Settings.Width)
		for _, r := range c.Ribs {
			for z := foot + 0.5; z < top; z++ {
				for _, s := range across(r.Outline, z) {
					web := section.Polygons{bar(r.axis, s, p.Settings.Width)}
					for gap := 0.0; gap < least && gap <= 2; gap += 0.05 {
						if len(section.Intersect(section.Offset(web, gap, section.Miter), section.Polygons{body})) > 0 {
							least = gap
						}
					}
				}
			}
		}
		return least
	}
	if d := clear(&p.Ceilings[0]); d > 0 {
		t.Fatalf("the foreign web is %.2f mm from the leg: nothing is tested", d)
	}
	got, err := beside(t, p, part, CeilingPlan{Ribs: []Rib{foreign}})
	if err != nil || !got.Ribbed() {
		t.Fatal(got.Left, err)
	}
	if d := clear(&got); d < 2*p.Settings.Width-0.06 {
		t.Errorf("a web stands %.2f mm from that of the other ceiling, want %.2f", d, 2*p.Settings.Width)
	}
}

// beside plans the first ceiling again beside something foreign.
func beside(t *testing.T, p *Plan, part *mesh.Mesh, foreign CeilingPlan) (CeilingPlan, error) {
	m := &maker{ctx: t.Context(), part: part, plan: &Plan{Settings: p.Settings, Survey: p.Survey}}
	m.reading = read(part, m.plan.Survey)
	c := &p.Survey.Ceilings[0]
	got, _, err := m.ceiling(c, func() *queue { return m.queue(c) }, []CeilingPlan{foreign})
	return got, err
}

// Nor does a brace cross one of another ceiling at its height or close over it:
// a roof is planned again with foreign braces where its own were.
func TestBracesKeepClearOfOtherCeilings(t *testing.T) {
	part := meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 80, 63), meshtest.Cut(3, 3, 3, 97, 80, 60))
	p := planOf(t, part, nil)
	var foreign []Brace
	for _, b := range p.Ceilings[0].Braces {
		x := (b.From[0] + b.To[0]) / 2
		foreign = append(foreign, Brace{Outline: section.Polygons{{{x - 2, 3}, {x + 2, 3}, {x + 2, 80}, {x - 2, 80}}}, Z: [2]float64{b.Z[0] - 0.6, b.Z[1] - 0.6}})
	}
	if len(foreign) == 0 {
		t.Fatal("no braces: nothing is tested")
	}
	got, err := beside(t, p, part, CeilingPlan{Braces: foreign})
	if err != nil || !got.Ribbed() || len(got.Unsteady) > 0 {
		t.Fatal(got.Left, len(got.Unsteady), err)
	}
	for _, b := range got.Braces {
		for _, o := range foreign {
			if b.Z[0] < o.Z[1]+1 && o.Z[0] < b.Z[1]+1 && section.Intersect(b.Outline, o.Outline).Area() > 0 {
				t.Errorf("a brace at %v crosses a foreign one at %v", b.Z, o.Z)
			}
		}
	}
}
