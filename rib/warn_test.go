package rib

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/section"
	"falsework/mesh/union"
)

func warned(p *Plan, words string) bool {
	return strings.Contains(strings.Join(p.Warnings, "\n"), words)
}

// Each doubt about spool, bed and a part that is ribbed already is said, and
// not without a reason for it.
func TestWarnings(t *testing.T) {
	door := meshtest.Blocks(meshtest.Add(0, 0, 0, 130, 3, 60), meshtest.Cut(15, 0, 0, 115, 3, 50))
	plain := planOf(t, door, nil)
	if len(plain.Warnings) > 0 || len(plain.Ceilings[0].Feet) == 0 {
		t.Fatalf("%d feet, warnings %v", len(plain.Ceilings[0].Feet), plain.Warnings)
	}
	// By hand: the part has 8.4 cm3, all of it walls 3 thick: three beads of 0.4
	// on either face leave 0.6 in the middle, filled to 15 %; 1.24 g/cm3.
	for _, x := range []struct {
		name, words string
		want        bool
		change      func(*Settings)
	}{
		{"a spool of 5 g", "spool holds 5 g", true, func(s *Settings) { s.Material.Spool = 5 }},
		{"its assumption", "15% infill", true, func(s *Settings) { s.Material.Spool = 5 }},
		{"a spool of 15 g", "spool", false, func(s *Settings) { s.Material.Spool = 15 }},
		{"a bed of 120", "130.0 mm in x, the bed given only 120.0", true, func(s *Settings) { s.Bed = [3]float64{120, 100, 100} }},
		{"a bed of 130", "bed", false, func(s *Settings) { s.Bed = [3]float64{130, 100, 100} }},
		{"a bed of 50 in z", "60.0 mm in z", true, func(s *Settings) { s.Bed = [3]float64{200, 100, 50} }},
		{"a bed that the feet leave", "with the feet", true, func(s *Settings) { s.Bed = [3]float64{200, 5, 100} }},
	} {
		if p := planOf(t, door, x.change); warned(p, x.words) != x.want {
			t.Errorf("%s: warnings are %q", x.name, p.Warnings)
		}
	}
	// A part ribbed by hand, and the result of this very plan, which needs none.
	sill := meshtest.Blocks(meshtest.Add(0, 0, 0, 130, 3, 60), meshtest.Cut(15, 0, 5, 115, 3, 50))
	r, err := union.Unite(sill, planOf(t, sill, nil).Solids())
	if err != nil {
		t.Fatal(err)
	}
	for name, m := range map[string]*mesh.Mesh{"by us": r.Mesh,
		"by hand": meshtest.Blocks(meshtest.Add(0, 0, 0, 200, 3, 60), meshtest.Cut(15, 0, 5, 185, 3, 50),
			meshtest.Add(45, 0.4, 5, 45.5, 2.6, 50), meshtest.Add(75, 0.4, 5, 75.5, 2.6, 50))} {
		if p := planOf(t, m, nil); !warned(p, "ribs already") {
			t.Errorf("ribbed %s: warnings are %q", name, p.Warnings)
		}
	}
}

// A rib that could not be braced is named with its ceiling and what to do, and
// the plan says what the next best layout would have cost.
func TestUnsteadyAndRunnerUpAreSaid(t *testing.T) {
	door := meshtest.Blocks(meshtest.Add(0, 0, 0, 130, 3, 60), meshtest.Cut(15, 0, 0, 115, 3, 50))
	p := planOf(t, door, nil)
	if why := p.Ceilings[0].Why; !regexp.MustCompile(`^least of those that carry: [0-9.]+ cm3; the next, .+, would take [0-9.]+ cm3$`).MatchString(why) {
		t.Errorf("why is %q", why)
	}
	if warned(p, "braced") {
		t.Errorf("warnings are %q", p.Warnings)
	}
	p.Ceilings[0].Unsteady = []Unsteady{{Rib: 1, At: [3]float64{40, 1, 20}, Why: "no wall within 40 mm for a brace to end in"}}
	m := &maker{ctx: t.Context(), part: door, plan: p, reading: &reading{slices: newLayers(p.Survey)}}
	m.warn()
	if !warned(p, "ceiling 1: 1 of its 2 ribs could not be braced") || !warned(p, "rib 2 (from ") || !warned(p, "40.0, 1.0, 20.0 mm above the bed: no wall within 40 mm") || !warned(p, "--rib-width") {
		t.Errorf("warnings are %q", p.Warnings)
	}
	p.Warnings, p.Ceilings[0].Unsteady = nil, slices.Repeat(p.Ceilings[0].Unsteady, 5)
	m.warn()
	if !warned(p, "bed: no wall within 40 mm for a brace to end in; and 2 more, which the plan (--plan) names; try") {
		t.Errorf("warnings are %q", p.Warnings)
	}
}

// Ribs that cannot all be held are braced as far as can be, and each that stays
// unsteady is named with a place on it and a reason. A rib that is not named is
// as steady as the rule asks.
func TestBracedAsFarAsCanBe(t *testing.T) {
	table := meshtest.Blocks(meshtest.Add(0, 0, 40, 70, 70, 43), meshtest.Add(30, 30, 0, 40, 40, 40))
	c := planOf(t, table, func(s *Settings) { s.Slenderness = 20 }).Ceilings[0]
	if len(c.Unsteady) == 0 || len(c.Braces) == 0 {
		t.Fatalf("%d ribs unsteady, %d braces: this table proves nothing", len(c.Unsteady), len(c.Braces))
	}
	last := -1
	for _, u := range c.Unsteady {
		if u.Rib <= last || u.Rib >= len(c.Ribs) || u.Why == "" {
			t.Fatalf("%+v of %d ribs", u, len(c.Ribs))
		}
		last = u.Rib
		r := c.Ribs[u.Rib]
		a := axis{r.From, section.Point{}}
		a.dir, _ = unit(r.From, r.To)
		at := section.Point{u.At[0], u.At[1]}
		if off := dist(at, a.at(a.run(at))); off > 0.01 || u.At[2] < r.Bottom || u.At[2] > r.Top {
			t.Errorf("rib %d lacks a brace at %.2f, %.3f off it", u.Rib+1, u.At, off)
		}
	}
}

// The estimates are those that follow from the assumptions by hand: grams from
// the volume, metres from the filament's section (a kilogram of PLA at 1.24
// g/cm3 and 1.75 mm is 335 m), minutes from beads of rib width and layer height.
func TestEstimatesByHand(t *testing.T) {
	p := planOf(t, meshtest.Blocks(meshtest.Add(0, 0, 0, 130, 3, 60), meshtest.Cut(15, 0, 5, 115, 3, 50)), nil)
	c := p.Ceilings[0]
	n := len(c.Ribs)
	// Columns 2.2 deep, 45.2 with their embeds, 0.5 thick.
	ribs := float64(n) * 2.2 * 45.2 * 0.5
	braces := float64(n+1) * c.Bay * 2.2 * 0.4 * float64(len(c.Braces))
	got := p.Totals.Volume
	if got < ribs+0.95*braces || got > ribs+1.05*braces+1 {
		t.Errorf("%.1f mm3, by hand %.1f and %.1f", got, ribs, braces)
	}
	near := func(what string, a, b float64) {
		if a < 0.999*b || a > 1.001*b {
			t.Errorf("%s: %.4f, by hand %.4f", what, a, b)
		}
	}
	near("mass", p.Totals.Mass, got*1.24e-3)
	near("filament", p.Totals.Filament, got*1.24e-3*335.3)
	travel := float64(n) * 45.2 / 0.2 * c.Bay / 120
	near("minutes", p.Totals.Minutes, (got/(0.5*0.2)/40+travel)/60)
	near("support", p.Totals.SupportVolume, 100*3*45*0.15)
}

// The order keeps the part carried: brace ends, braces, landings, springings,
// crests, each kind from the open side inwards; what is cut adds up.
func TestRemovalOrder(t *testing.T) {
	p := planOf(t, meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 60, 63), meshtest.Cut(3, 3, 3, 97, 60, 60)), nil)
	rank := map[string]int{"brace end": 0, "brace": 1, "foot": 2, "landing": 2, "springing": 3, "crest": 4}
	last, length, ends := -1, 0.0, 0
	reach := 0.0
	c := p.Ceilings[0]
	for _, k := range c.Cuts {
		r, ok := rank[k.What]
		if !ok || r < last {
			t.Errorf("%q after kind %d", k.What, last)
		}
		if r > last {
			last, reach = r, 0
		}
		if k.Reach < reach {
			t.Errorf("%s at %v, %.1f deep, after one %.1f deep", k.What, k.At, k.Reach, reach)
		}
		reach = k.Reach
		length += k.Length
		if k.What == "brace end" {
			ends++
		}
		if k.Length <= 0 || k.Thick <= 0 {
			t.Errorf("%s of %g x %g", k.What, k.Length, k.Thick)
		}
	}
	if last != 4 || length != p.Totals.CutLength || len(c.Cuts) != p.Totals.Cuts {
		t.Errorf("%d cuts of %.2f in all, the totals say %d of %.2f", len(c.Cuts), length, p.Totals.Cuts, p.Totals.CutLength)
	}
	if ends > 2*len(c.Braces) || ends < len(c.Braces) {
		t.Errorf("%d ends of %d braces", ends, len(c.Braces))
	}
}
