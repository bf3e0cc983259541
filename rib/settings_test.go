package rib

import (
	"context"
	"errors"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"falsework/mesh/meshtest"
	"falsework/mesh/section"
	"falsework/mesh/union"
	"falsework/span"
)

// Facts of the trade, common practice, no published source: with 70 mm shown
// ribs are set 40 apart; a 0.4 nozzle lays ribs of 0.5; two layers of 0.2 make
// cross strips of 0.4; an opening about 105 high gets two of them, three
// spaces of about 35.
func TestFactsOfTheTrade(t *testing.T) {
	sv := span.Defaults()
	s := DefaultSettings(sv)
	if s.Spacing != 40 || s.Width != 0.5 {
		t.Errorf("spacing %g, width %g; want 40 and 0.5", s.Spacing, s.Width)
	}
	thick := float64(s.BraceLayers) * sv.Layer
	if math.Abs(thick-0.4) > 1e-12 {
		t.Errorf("braces %g thick, want 0.4", thick)
	}
	for _, x := range []struct {
		high float64
		n    int
	}{{35, 0}, {36, 1}, {70, 1}, {71, 2}, {105, 2}, {107, 3}, {20, 0}} {
		if n := Braces(x.high, s.BracePitch, thick); n != x.n {
			t.Errorf("an opening %g high gets %d braces, want %d", x.high, n, x.n)
		}
	}
}

// Each setting that makes no sense is refused, and the message names it.
func TestSettingsRefused(t *testing.T) {
	sv := span.Defaults()
	for _, x := range []struct {
		name, reason string
		change       func(*Settings)
	}{
		{"spacing", "limit", func(s *Settings) { s.Spacing = 71 }},
		{"spacing", "more than zero", func(s *Settings) { s.Spacing = 0 }},
		{"spacing", "number", func(s *Settings) { s.Spacing = math.NaN() }},
		{"spacing", "blade", func(s *Settings) { s.Spacing = 1 }},
		{"rib-width", "nozzle", func(s *Settings) { s.Width = 0.3 }},
		{"brace-pitch", "layer", func(s *Settings) { s.BracePitch = 0.1 }},
		{"brace-pitch", "gap", func(s *Settings) { s.BracePitch = 0.5 }},
		{"brace-layers", "at least 1", func(s *Settings) { s.BraceLayers = 0 }},
		{"setback", "more than zero", func(s *Settings) { s.Setback = -1 }},
		{"support", "share", func(s *Settings) { s.Material.Support = 2 }},
		{"only, skip", "not both", func(s *Settings) { s.Only, s.Skip = []int{1}, []int{2} }},
		{"crest", "auto", func(s *Settings) { s.Crest = 7 }},
	} {
		s := DefaultSettings(sv)
		x.change(&s)
		err := s.Check(sv)
		var e *SettingsError
		if !errors.As(err, &e) || e.Name != x.name || !strings.Contains(e.Reason, x.reason) {
			t.Errorf("%s: got %v, want a reason with %q", x.name, err, x.reason)
		}
	}
	if err := DefaultSettings(sv).Check(sv); err != nil {
		t.Errorf("defaults refused: %v", err)
	}
}

func TestUnknownCeilingRefused(t *testing.T) {
	m := meshtest.Blocks(meshtest.Add(0, 0, 0, 10, 10, 10))
	s := surveyOf(t, m)
	set := DefaultSettings(s.Settings)
	set.Only = []int{4}
	if _, err := Make(context.Background(), m, s, set); err == nil || !strings.Contains(err.Error(), "no ceiling 4") {
		t.Errorf("got %v", err)
	}
	set.Only, set.Skip = nil, []int{7}
	if _, err := Make(context.Background(), m, s, set); err == nil || !strings.Contains(err.Error(), "no ceiling 7") {
		t.Errorf("got %v", err)
	}
}

func TestCrestNames(t *testing.T) {
	for c := CrestAuto; c <= CrestNotched; c++ {
		if d, err := ParseCrest(c.String()); err != nil || d != c {
			t.Errorf("%v reads back as %v, %v", c, d, err)
		}
	}
	if _, err := ParseCrest("glued"); err == nil {
		t.Error("an unknown crest is taken")
	}
}

// A closed box is sealed; one hole of 14 mm opens it, one of 4 mm does not.
func TestSealed(t *testing.T) {
	closed := []meshtest.Block{meshtest.Add(0, 0, 0, 120, 120, 60), meshtest.Cut(3, 3, 3, 117, 117, 57)}
	for _, x := range []struct {
		name   string
		hole   float64
		sealed bool
	}{{"closed", 0, true}, {"vent of 4", 4, true}, {"port of 14", 14, false}, {"port of 40", 40, false}} {
		blocks := append([]meshtest.Block(nil), closed...)
		if x.hole > 0 {
			blocks = append(blocks, meshtest.Cut(50, 0, 20, 50+x.hole, 3, 20+x.hole))
		}
		part := meshtest.Blocks(blocks...)
		s := surveyOf(t, part)
		m := &maker{part: part, plan: &Plan{Survey: s}, reading: &reading{probes: newProbes(part, 1)}}
		for i := range s.Ceilings {
			if c := &s.Ceilings[i]; c.NeedsRibs && m.sealed(c) != x.sealed {
				t.Errorf("%s: sealed is %v", x.name, !x.sealed)
			}
		}
	}
}

// Probes read what a block model holds: entry and exit of every wall.
func TestProbes(t *testing.T) {
	m := meshtest.Blocks(meshtest.Add(0, 0, 0, 30, 20, 40), meshtest.Cut(5, 5, 5, 25, 15, 30))
	p := newProbes(m, 1)
	if got := p.at(section.Point{15, 10}); len(got) != 2 || got[0] != (stretch{0, 5}) || got[1] != (stretch{30, 40}) {
		t.Errorf("through the cavity: %v", got)
	}
	if got := p.at(section.Point{2, 10}); len(got) != 1 || got[0] != (stretch{0, 40}) {
		t.Errorf("through the wall: %v", got)
	}
	if c, f := p.clear(section.Point{15, 10}, [2]float64{30, 30}); c != 30 || f != 5 {
		t.Errorf("clear height from %g to %g", f, c)
	}
}

func TestClip(t *testing.T) {
	square := section.Polygons{{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, {{4, 4}, {4, 6}, {6, 6}, {6, 4}}}
	got := clip(square, axis{section.Point{-1, 5}, section.Point{1, 0}})
	if len(got) != 2 || got[0] != (stretch{1, 5}) || got[1] != (stretch{7, 11}) {
		t.Errorf("got %v", got)
	}
	if got := merge(got, 3); len(got) != 1 || got[0] != (stretch{1, 11}) {
		t.Errorf("merged %v", got)
	}
}

// Looked for ahead alone, walls stand where the whole section has them, however
// rings lie in each other: tested at the middles between crossings.
func TestAhead(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	seen := 0
	for range 2000 {
		var p section.Polygons
		for range 1 + rnd.IntN(12) {
			o, r, n := section.Point{100 * rnd.Float64(), 100 * rnd.Float64()}, 1+30*rnd.Float64(), 3+rnd.IntN(9)
			var ring section.Path
			for i := range n {
				ring = append(ring, axis{o, heading(2 * math.Pi * float64(i) / float64(n))}.at(r*(0.3+0.7*rnd.Float64())))
			}
			p = append(p, ring)
		}
		s := &layers{of: func(int) section.Polygons { return p }}
		a := axis{section.Point{100 * rnd.Float64(), 100 * rnd.Float64()}, heading(2 * math.Pi * rnd.Float64())}
		far := 60 * rnd.Float64()
		whole, ahead := clip(p, a), s.ahead(0, a, far)
		cuts := []float64{0, far}
		for _, w := range whole {
			for _, u := range []float64{w.from, w.to} {
				if u > 0 && u < far {
					cuts = append(cuts, u)
				}
			}
		}
		slices.Sort(cuts)
		seen += len(cuts) - 2
		for i := 1; i < len(cuts); i++ {
			u := (cuts[i-1] + cuts[i]) / 2
			in := func(s stretch) bool { return s.from <= u && u < s.to }
			if slices.ContainsFunc(whole, in) != slices.ContainsFunc(ahead, in) {
				t.Fatalf("at %g of %g: the section has %v, ahead are %v", u, far, whole, ahead)
			}
		}
	}
	if seen < 1000 {
		t.Errorf("only %d crossings ahead", seen)
	}
}

// The closed form: a shallow web is a full sheet, a deep one between two walls
// two corbels, whose area is the band and two half arches.
func TestWebArea(t *testing.T) {
	rise := flank(45)
	if a, _ := webArea(5, 40, [2]bool{}, rise, 35, 16); a != 200 {
		t.Errorf("column of %g, want 200", a)
	}
	if a := bracketArea(5, [2]bool{true, false}, rise); math.Abs(a-(5*5*rise/2+5*crestBand)) > 1e-9 {
		t.Errorf("bracket of %g", a)
	}
	a, n := webArea(60, 200, [2]bool{true, true}, rise, 35, 16)
	want := 60*60*rise/4 + 60*crestBand
	if math.Abs(a-want) > 1e-9 || n != 0 {
		t.Errorf("two corbels of %g with %d braces, want %g with none", a, n, want)
	}
	if a, _ := webArea(60, 3, [2]bool{true, true}, rise, 35, 16); a > 180 {
		t.Errorf("shallow web of %g is more than its sheet", a)
	}
}

// A verification names what the second survey finds and what does not add up.
func TestVerifyFindsFault(t *testing.T) {
	m := meshtest.Blocks(meshtest.Add(0, 0, 0, 160, 3, 60), meshtest.Cut(20, 0, 0, 140, 3, 50))
	s := surveyOf(t, m)
	p := &Plan{Settings: DefaultSettings(s.Settings), Survey: s, Ceilings: make([]CeilingPlan, len(s.Ceilings))}
	for i := range p.Ceilings {
		p.Ceilings[i] = CeilingPlan{ID: i + 1, Ribs: make([]Rib, 1)}
	}
	a, err := m.Audit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	found := p.leaves(&s.Ceilings[0])
	if found {
		t.Error("a ribbed ceiling that still needs ribs passes as left")
	}
	p.Ceilings[0] = CeilingPlan{ID: 1, Left: "skipped"}
	if !p.leaves(&s.Ceilings[0]) {
		t.Error("a skipped ceiling is held against the plan")
	}
	if f := newFaults(a, a); len(f) != 0 {
		t.Errorf("new faults in the same mesh: %v", f)
	}
}

// A ceiling that the proof finds is blamed on the ribbed ceilings it touches, even
// if it runs out beyond them; what touches none is blamed on none.
func TestBlameGoesByTouch(t *testing.T) {
	of := func(x0, x1, z0, z1 float64) span.Ceiling {
		return span.Ceiling{On: "part", Min: [2]float64{x0, 0}, Max: [2]float64{x1, 10}, Z: [2]float64{z0, z1}}
	}
	s := &span.Survey{Ceilings: []span.Ceiling{of(0, 40, 50, 52), of(60, 90, 50, 52)}}
	p := &Plan{Survey: s, Ceilings: []CeilingPlan{{ID: 1, Ribs: make([]Rib, 1)}, {ID: 2, Ribs: make([]Rib, 1)}}}
	for _, x := range []struct {
		name  string
		found span.Ceiling
		want  []int
	}{
		{"a bay of the first", of(10, 20, 51, 51), []int{1}},
		{"a piece that runs out of it, upward and aside", of(30, 55, 51.5, 58), []int{1}},
		{"what joins both", of(35, 65, 50, 52), []int{1, 2}},
		{"a storey higher", of(10, 20, 80, 81), nil},
		{"beside both", of(44, 56, 50, 52), nil},
	} {
		got := map[int]bool{}
		if any := p.blame(&x.found, got); any != (x.want != nil) || !slices.Equal(slices.Sorted(maps.Keys(got)), x.want) {
			t.Errorf("%s: blames %v, want %v", x.name, got, x.want)
		}
	}
}

// What an open surface encloses depends on where it is measured from, and ribs or
// feet beside the part move that place: nothing is held against it. The same of
// a closed one is a fault.
func TestVolumeOfAnOpenPartIsNotHeldAgainstIt(t *testing.T) {
	m := meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 50, 20))
	open := meshtest.Clone(m)
	open.Triangles = open.Triangles[1:]
	wide := meshtest.Join(open, meshtest.Move(meshtest.Blocks(meshtest.Add(0, 0, 0, 1, 1, 1)), 200, 90, 70))
	before, err := open.Audit(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	after, err := wide.Audit(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if d := math.Abs(after.Volume - before.Volume - 1); d < 100 {
		t.Fatalf("the volumes differ by %g: nothing is tested", d)
	}
	e := Evidence{Before: before, After: after,
		Union: union.Report{PartVolume: before.Volume, ToolVolume: 1, Volume: before.Volume + 1}}
	for _, closed := range []bool{false, true} {
		said := 0
		v := &Verification{Part: e.Union.PartVolume, Ribs: 1, Ribbed: e.Union.Volume, Closed: closed}
		v.volumes(e, func(string, ...any) { said++ })
		if (said > 0) != closed {
			t.Errorf("closed %v: %d complaints", closed, said)
		}
	}
}

// Settling the numbers: a filament of 1.75 mm holds 335 m on a kilogram of PLA
// (1000 g / 1.24 g/cm3 / section; spools say 330 to 335, from memory).
func TestFilamentLength(t *testing.T) {
	m := DefaultSettings(span.Defaults()).Material
	if got := m.length(1e6/m.Density) / 1e3; math.Abs(got-335.3) > 0.5 {
		t.Errorf("a kilogram is %.1f m long", got)
	}
}
