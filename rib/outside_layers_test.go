package rib_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"falsework/mesh"
	mt "falsework/mesh/meshtest"
	"falsework/mesh/meshtest/outside"
	"falsework/mesh/section"
	"falsework/mesh/stl"
	"falsework/rib"
)

// An ask is what layers.mjs is told of a ribbed part.
type ask struct {
	Spacing   float64          `json:"spacing"`
	Ledge     float64          `json:"ledge"`
	Width     float64          `json:"width"`
	Ceilings  []askCeiling     `json:"ceilings"`
	Thin      []float64        `json:"thin"`
	Crossings section.Polygons `json:"crossings"`
}

type askCeiling struct {
	ID    int              `json:"id"`
	Where section.Polygons `json:"where"`
	Over  float64          `json:"over"` // mid-planes: of the ceiling's first layer and of the two below
	Under float64          `json:"under"`
	Below float64          `json:"below"`
}

// What layers.mjs answers: areas in mm2 of what should not be there.
type told struct {
	Error    string
	Status   string
	Ceilings []struct {
		ID          int
		Bare, Hangs float64 // without ribs and with them
		Far, Lips   float64
	}
	Thick, Added float64
}

// askFor writes down what is promised of a plan: for its level ceilings, where
// one layer shows all that hangs.
func askFor(p *rib.Plan) ask {
	s, bed := p.Survey.Settings, p.Survey.Bounds.Min[2]
	mid := func(k int) float64 {
		if k <= 0 {
			return bed + s.FirstLayer/2
		}
		return bed + s.FirstLayer + (float64(k)-0.5)*s.Layer
	}
	a := ask{Spacing: p.Settings.Spacing, Ledge: s.Ledge, Width: p.Settings.Width, Crossings: crossed(p), Thin: []float64{}}
	if a.Crossings == nil {
		a.Crossings = section.Polygons{}
	}
	top := bed
	for i := range p.Ceilings {
		if c := &p.Survey.Ceilings[i]; p.Ceilings[i].Ribbed() && len(c.Strips) == 1 {
			k := c.Strips[0].Layer
			a.Ceilings = append(a.Ceilings, askCeiling{c.ID, c.Footprint, mid(k), mid(k - 1), mid(k - 2)})
		}
		for _, r := range p.Ceilings[i].Ribs {
			top = math.Max(top, r.Top)
		}
	}
	for k := 5; mid(k) < top; k += 23 {
		if !tied(p, mid(k)) {
			a.Thin = append(a.Thin, mid(k))
		}
	}
	return a
}

// Sections and offsets of an outside library say of the files as written: what
// hangs under ribs is no further than half the spacing and 0.3 mm from what
// holds it, no lip hangs beyond the ledge, and what was added is thin. The same
// library sees a rib that is left out.
func TestRibsCarryByLibrary(t *testing.T) {
	home := os.Getenv("FALSEWORK_OUTSIDE")
	if home == "" {
		t.Skip("FALSEWORK_OUTSIDE is not set: the live comparison is skipped; the promises are held in cells elsewhere")
	}
	root := t.TempDir()
	asked := map[string]ask{}
	put := func(name string, part, ribbed *mesh.Mesh, a ask) {
		dir := filepath.Join(root, name)
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(a)
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, "ask.json"), text, 0o644)
		}
		for file, m := range map[string]*mesh.Mesh{"part.stl": part, "ribbed.stl": ribbed} {
			if err == nil {
				err = stl.WriteFile(t.Context(), filepath.Join(dir, file), m, stl.Source{})
			}
		}
		if err != nil {
			t.Fatal(err)
		}
		asked[name] = a
	}
	e := tideHousing(t)
	put("example", e.part, e.ribbed, askFor(e.plan))
	want := map[string]bool{"lintel": true, "doorway": true, "bowed wall": true, "roof on three sides": true, "shelf": true, "corner plate": true}
	for _, s := range shapes {
		if !want[s.name] {
			continue
		}
		for k, m := range []*mesh.Mesh{s.make(), mt.TurnZ(s.make(), 27)} {
			p, r := ribbed(t, m, nil)
			put(s.name+[]string{"", " turned"}[k], m, r.Mesh, askFor(p))
			if s.name == "lintel" && k == 0 {
				put("knocked out", m, m, askFor(p))
			}
			if s.name == "shelf" && k == 0 { // reach alone would pass
				put("half way", m, mt.Blocks(mt.Add(0, 0, 0, 120, 4, 80), mt.Add(0, 4, 0, 120, 30, 4), mt.Add(0, 4, 50, 120, 34, 54),
					mt.Add(0, 18, 3, 120, 18.6, 50.5)), askFor(p))
			}
		}
	}
	answers := map[string]told{}
	if err := json.Unmarshal(outside.Run(t, home, "layers.mjs", root), &answers); err != nil {
		t.Fatal(err)
	}
	for name, a := range asked {
		got, ok := answers[name]
		if !ok || got.Error != "" || got.Status != "NoError" || len(got.Ceilings) != len(a.Ceilings) || len(a.Ceilings) == 0 {
			t.Errorf("%s: %+v for %d ceilings", name, got, len(a.Ceilings))
			continue
		}
		far, lips, hangs := 0.0, 0.0, 0.0
		for _, c := range got.Ceilings {
			far, lips, hangs = far+c.Far, lips+c.Lips, hangs+c.Hangs
			if c.Bare < 50 {
				t.Errorf("%s, ceiling %d: only %.1f mm2 hang in the part", name, c.ID, c.Bare)
			}
		}
		t.Logf("%s: %d ceilings, %.0f mm2 hang; %.4f mm2 too far, %.4f mm2 of lips, %.4f mm2 too thick of %.0f added", name, len(got.Ceilings), hangs, far, lips, got.Thick, got.Added)
		switch name {
		case "knocked out":
			if far < 100 {
				t.Errorf("without ribs only %.3f mm2 are too far", far)
			}
		case "half way":
			if lips < 100 || far > 0.01 || got.Thick < 1 {
				t.Errorf("a rib half-way: %.3f mm2 of lips, %.3f too far, %.3f too thick", lips, far, got.Thick)
			}
		default:
			if far > 0.01 || lips > 0.01 || got.Thick > 1e-3 || got.Added < 1 {
				t.Errorf("%s: %.4f mm2 too far, %.4f of lips, %.4f too thick of %.1f", name, far, lips, got.Thick, got.Added)
			}
		}
	}
}
