package rib_test

import (
	"context"
	"slices"
	"testing"

	"falsework/mesh"
	mt "falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/section"
	"falsework/rib"
	"falsework/span"
)

// porch is a block with a roof that stands out 60, and a skirt hanging from its
// far edge: between block and skirt there are 52.
func porch() *mesh.Mesh {
	return mt.Blocks(mt.Add(0, 0, 0, 120, 30, 64), mt.Add(0, 30, 60, 120, 90, 64), mt.Add(0, 82, 40, 120, 90, 64))
}

func surveyed(t *testing.T, m *mesh.Mesh) *span.Survey {
	t.Helper()
	s, err := span.Run(context.Background(), m, span.Defaults(), span.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A skirt that stands on ribs holds the roof behind it.
func TestIslandsOnRibsCarryWhatSpansToThem(t *testing.T) {
	p, _ := ribbed(t, porch(), nil)
	if len(p.Ceilings) != 2 {
		t.Fatalf("%d ceilings, want skirt and roof", len(p.Ceilings))
	}
	skirt, roof := &p.Ceilings[0], &p.Ceilings[1]
	if p.Survey.Ceilings[0].Kind != span.Island || !p.Survey.Ceilings[1].NeedsRibs {
		t.Fatal("the skirt is to be an island and the roof to hang")
	}
	if !skirt.Ribbed() || skirt.Spared {
		t.Error("the skirt gets no ribs")
	}
	if roof.Ribbed() || !roof.Spared || roof.Fault || roof.Left == "" {
		t.Errorf("the roof is left for %q, spared %v", roof.Left, roof.Spared)
	}
}

// Without the skirt's ribs the roof needs its own: where the user skips the
// skirt, where the roof is too wide in any case, and where the proof said so.
func TestWhatIsNotCarriedGetsItsOwnRibs(t *testing.T) {
	m := porch()
	first := surveyed(t, m)
	for name, change := range map[string]func(*span.Settings, *rib.Settings){
		"skirt skipped":    func(_ *span.Settings, s *rib.Settings) { s.Skip = []int{1} },
		"skirt refused":    func(_ *span.Settings, s *rib.Settings) { s.Refused = []int{1} },
		"roof on its own":  func(_ *span.Settings, s *rib.Settings) { s.Own = []int{2} },
		"limit of 40 here": func(sv *span.Settings, s *rib.Settings) { sv.Limit = 40; *s = rib.DefaultSettings(*sv) },
	} {
		sv := span.Defaults()
		s := rib.DefaultSettings(sv)
		change(&sv, &s)
		of := first
		if sv != span.Defaults() {
			var err error
			if of, err = span.Run(context.Background(), m, sv, span.Options{}); err != nil {
				t.Fatal(err)
			}
		}
		p, err := rib.Make(context.Background(), m, of, s)
		if err != nil {
			t.Fatal(err)
		}
		if roof := &p.Ceilings[1]; !roof.Ribbed() || roof.Spared {
			t.Errorf("%s: the roof is left for %q", name, roof.Left)
		}
	}
}

// The proof sees a ceiling that was to be carried and is not, and says which.
func TestVerifyBlamesWhatIsNotCarried(t *testing.T) {
	m := mt.Blocks(mt.Add(0, 0, 0, 120, 80, 63), mt.Cut(3, 0, 3, 117, 80, 60))
	s := surveyed(t, m)
	p := &rib.Plan{Survey: s, Settings: rib.DefaultSettings(s.Settings), Ceilings: []rib.CeilingPlan{{ID: 1, Left: "carried", Spared: true}}}
	v := rib.Verify(p, rib.Evidence{Second: s})
	if v.Verified || !slices.Equal(v.Blamed, []int{1}) {
		t.Errorf("verified %v, blamed %v", v.Verified, v.Blamed)
	}
	p.Ceilings[0].Spared = false // left for a reason that asks nothing of others
	if v = rib.Verify(p, rib.Evidence{Second: s}); len(v.Found) != 0 {
		t.Errorf("found %v", v.Found)
	}
}

// Where a ceiling that was left and ribbed ones run together in the second survey,
// only those are to blame under which it hangs, and none where that is what was left.
func TestVerifyBlamesWhereItHangs(t *testing.T) {
	at := func(from, to float64) span.Ceiling {
		return span.Ceiling{NeedsRibs: true, On: "part", Z: [2]float64{60, 60}, Min: [2]float64{from, 0}, Max: [2]float64{to, 50},
			Footprint: section.Polygons{{{from, 0}, {to, 0}, {to, 50}, {from, 50}}}}
	}
	first := &span.Survey{Settings: span.Defaults(), Ceilings: []span.Ceiling{at(0, 100), at(100, 200), at(200, 300)}}
	for _, x := range []struct {
		name   string
		hangs  [][3]float64
		found  int
		blamed []int
	}{
		{"under what was left", [][3]float64{{20, 25, 60}, {100.5, 25, 60}}, 0, nil},
		{"under the second", [][3]float64{{20, 25, 60}, {150, 25, 60}}, 1, []int{2}},
		{"under both", [][3]float64{{150, 25, 60}, {250, 25, 60}}, 1, []int{2, 3}},
		{"above", [][3]float64{{20, 25, 62}}, 1, []int{2, 3}}, // as near as can be said
	} {
		p := &rib.Plan{Survey: first, Settings: rib.DefaultSettings(first.Settings), Ceilings: []rib.CeilingPlan{
			{ID: 1, Left: "no layout"}, {ID: 2, Ribs: make([]rib.Rib, 1)}, {ID: 3, Ribs: make([]rib.Rib, 1)}}}
		all := at(0, 300)
		all.Hanging = x.hangs
		v := rib.Verify(p, rib.Evidence{Second: &span.Survey{Settings: first.Settings, Ceilings: []span.Ceiling{all}}})
		if len(v.Found) != x.found || x.found > 0 && !slices.Equal(v.Blamed, x.blamed) {
			t.Errorf("%s: found %d, blamed %v; want %d, %v", x.name, len(v.Found), v.Blamed, x.found, x.blamed)
		}
	}
}

// Skirts all round: nothing is under them but narrow rings. A brace from rib to
// rib round a ring ends where it began.
func TestSkirtsAllRoundAreRibbed(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{
		"square": mt.Blocks(mt.Add(-50, -50, 40, 110, 110, 64), mt.Cut(-47, -47, 40, 107, 107, 60), mt.Add(0, 0, 0, 60, 60, 62)),
		"round": mt.Revolve(64, [2]float64{0, 0}, [2]float64{30, 0}, [2]float64{30, 60}, [2]float64{77, 60},
			[2]float64{77, 40}, [2]float64{80, 40}, [2]float64{80, 64}, [2]float64{0, 64}),
	} {
		if name == "round" && !property.Long() {
			continue
		}
		t.Run(name, func(t *testing.T) {
			p, _ := ribbed(t, m, nil)
			if len(p.Ceilings) != 2 || !p.Ceilings[0].Ribbed() || !p.Ceilings[1].Spared {
				t.Error("want ribs under the skirt, and none under the roof")
			}
		})
	}
}
