package rib

import (
	"math"
	"slices"
	"testing"

	"falsework/mesh/meshtest"
	"falsework/mesh/section"
	"falsework/rib/web"
)

// The opening under another ceiling that needs ribs is kept free, whether it gets
// any or not: no web of the roof stands in it, or nearer to its face than the
// setback. Every site that a search asks for knows the opening it passes, and what
// is drawn there keeps out of it.
//
//	####################
//	#      .|          .     a web of the roof, and a shelf that ends a hair
//	#######.|          .     before it
//	#       |          .
//	####################
func TestOpeningsOfOthersAreObstacles(t *testing.T) {
	part := meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 80, 63), meshtest.Cut(3, 3, 3, 97, 80, 60), meshtest.Add(3, 20, 30, 34, 70, 33))
	s := surveyOf(t, part)
	set := DefaultSettings(s.Settings)
	m := &maker{ctx: t.Context(), part: part, plan: &Plan{Settings: set, Survey: s, Ceilings: make([]CeilingPlan, len(s.Ceilings))}}
	m.reading = read(part, m.plan.Survey)
	if len(s.Ceilings) != 2 || !s.Ceilings[0].NeedsRibs || s.Ceilings[0].Z[0] != 30 || !s.Ceilings[1].NeedsRibs {
		t.Fatalf("%d ceilings", len(s.Ceilings))
	}
	roof := &s.Ceilings[1]
	got, asked, err := m.ceiling(roof, func() *queue { return m.queue(roof) }, nil)
	if err != nil || !got.Ribbed() {
		t.Fatal(got.Left, err)
	}
	opening := section.Offset(s.Ceilings[0].Footprint, set.Setback, section.Miter)
	pass := 0
	for _, x := range asked.sites {
		for _, p := range clip(opening, x.r.axis) {
			if p.to < 0 || p.from > x.r.under.to {
				continue
			}
			pass++
			if !slices.ContainsFunc(x.site.Forbidden, func(b web.Box) bool {
				return b.U[0] <= p.from+1e-6 && b.U[1] >= p.to-1e-6 && b.Z[0] <= 3 && b.Z[1] >= 30
			}) {
				t.Fatalf("a web from %v along %v does not know of the opening at %v", x.r.from, x.r.dir, p)
			}
		}
	}
	if pass == 0 {
		t.Error("no web passes the shelf: nothing is tested")
	}
	// A line along the shelf's face, as near to it as a layout may have it, and the
	// same with nothing in the way.
	q := m.queue(roof)
	for _, gap := range []float64{0.27, 0.35, 0.6} {
		l := q.parallel(axis{dir: section.Point{0, 1}}, []float64{-34 - gap}, 0)
		legs := func(others []obstacle) (n int) {
			b := newShaper(q.view, m.cutter, s, others)
			w, err := b.shape(&l, 0)
			if err != nil {
				return 0
			}
			for z := 3.5; z < 29; z += 0.5 {
				for _, x := range across(w.Outline, z) {
					y := [2]float64{l.lines[0].at(x.from)[1], l.lines[0].at(x.to)[1]}
					if max(y[0], y[1]) > 20-set.Setback+0.03 && min(y[0], y[1]) < 70+set.Setback-0.03 {
						n++
					}
				}
			}
			return n
		}
		if math.Abs(l.lines[0].from[0]-34-gap) > 1e-6 {
			t.Fatalf("the line is at %v", l.lines[0].from)
		}
		if free := legs(nil); free == 0 {
			t.Errorf("no leg stands %.2f mm before the shelf even where it may: nothing is tested", gap)
		}
		if n := legs(m.openings(roof)); n > 0 && gap-set.Width/2 < set.Setback {
			t.Errorf("a leg stands %.2f mm before the opening under the shelf, want %.2f", gap-set.Width/2, set.Setback)
		}
	}
}
