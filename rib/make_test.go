package rib_test

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/stl"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// ribbed runs the whole line over a part and fails the test unless the result
// is verified.
func ribbed(t testing.TB, m *mesh.Mesh, change func(*rib.Settings)) (*rib.Plan, *union.Result) {
	t.Helper()
	sv := span.Defaults()
	s := rib.DefaultSettings(sv)
	if change != nil {
		change(&s)
	}
	return ribbedWith(t, m, sv, s)
}

// ribbedWith is ribbed with settings of the survey, too.
func ribbedWith(t testing.TB, m *mesh.Mesh, sv span.Settings, s rib.Settings) (*rib.Plan, *union.Result) {
	t.Helper()
	ctx := context.Background()
	t0 := time.Now()
	lap := func() float64 { d := time.Since(t0).Seconds(); t0 = time.Now(); return d }
	first, err := span.Run(ctx, m, sv, span.Options{})
	if err != nil {
		t.Fatal(err)
	}
	ts := lap()
	p, err := rib.Make(ctx, m, first, s)
	if err != nil {
		t.Fatal(err)
	}
	tp := lap()
	r, err := union.Unite(m, p.Solids())
	if err != nil {
		t.Fatal(err)
	}
	tu := lap()
	second, err := span.Run(ctx, r.Mesh, sv, span.Options{Zones: p.Zones(), OnRib: p.OnRib})
	if err != nil {
		t.Fatal(err)
	}
	before, err := m.Audit(ctx)
	if err != nil {
		t.Fatal(err)
	}
	after, err := r.Mesh.Audit(ctx)
	if err != nil {
		t.Fatal(err)
	}
	v := rib.Verify(p, rib.Evidence{Second: second, Union: r.Report, Before: before, After: after})
	for _, c := range p.Ceilings {
		if !p.Survey.Ceilings[c.ID-1].NeedsRibs {
			continue
		}
		t.Logf("ceiling %d: %s | %s | left %q | %d unsteady, %d braces, %d feet, %d cuts, %.2f of %.2f cm3", c.ID, c.Layout, c.Why, c.Left, len(c.Unsteady),
			len(c.Braces), len(c.Feet), len(c.Cuts), c.Volume/1e3, c.Sheets/1e3)
		for _, r := range c.Ribs {
			t.Logf("   %v to %v: %s, %.2f cm3, z %.2f to %.2f, %v", r.From, r.To, r.Scheme, r.Volume/1e3, r.Bottom, r.Top, r.Crest)
		}
		for _, b := range c.Braces {
			t.Logf("   brace %v to %v z %v ties %d", b.From, b.To, b.Z, b.Ties)
		}
	}
	t.Logf("survey %.2f s, plan %.2f, union %.2f, second %.2f", ts, tp, tu, lap())
	for _, x := range v.Reasons {
		t.Log("  ", x)
	}
	for _, c := range v.Found {
		t.Logf("found %v reach %.2f at hang %.2f at %v z %v limit %.1f on %s held %d", c.Kind, c.Reach, c.Hang, c.HangAt, c.Z, c.Limit, c.On, len(c.Held))
		for _, h := range c.Free {
			t.Logf("   free %v", h)
		}
	}
	if !v.Verified {
		t.Errorf("not verified")
	}
	file := asWritten(t, r.Mesh)
	carriedInLayers(t, p, file)
	onlyThin(t, p, m, file)
	bracesRest(t, p, m)
	apart(t, p, 0.3)
	return p, r
}

// asWritten is a mesh written to a file and read back from its bytes.
func asWritten(t testing.TB, m *mesh.Mesh) *mesh.Mesh {
	t.Helper()
	file := filepath.Join(t.TempDir(), "ribbed.stl")
	if err := stl.WriteFile(context.Background(), file, m, stl.Source{}); err != nil {
		t.Fatal(err)
	}
	f, err := stl.ReadFile(context.Background(), file)
	if err != nil {
		t.Fatal(err)
	}
	return f.Mesh
}

// box is a housing 240 x 150 x 260 with walls of 3, open behind, with a
// doorway and a window in front.
func box() *mesh.Mesh {
	return meshtest.Blocks(
		meshtest.Add(0, 0, 0, 240, 150, 257+3),
		meshtest.Cut(3, 3, 3, 237, 150, 257),
		meshtest.Cut(40, 0, 20, 200, 3, 125),
		meshtest.Cut(40, 0, 140, 200, 3, 230),
	)
}

// A roof 234 x 147 held on three sides, 254 above the floor, costs less than a
// quarter of full-height sheets, braces included.
func TestBoxHousing(t *testing.T) {
	p, _ := ribbed(t, box(), nil)
	roof := p.Ceilings[len(p.Ceilings)-1]
	t.Logf("%.1f of %.1f cm3, %.1f %% of sheets", roof.Volume/1e3, roof.Sheets/1e3, 100*roof.Volume/roof.Sheets)
	if roof.Volume >= roof.Sheets/4 {
		t.Errorf("%.1f %% of full sheets", 100*roof.Volume/roof.Sheets)
	}
}
