package outside

import (
	"os"
	"path/filepath"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// lap is two boxes that overlap in one of 1 x 2 x 3.
func lap() Case {
	a := meshtest.Blocks(meshtest.Add(0, 0, 0, 2, 2, 3))
	b := meshtest.Blocks(meshtest.Add(1, -1, -1, 4, 4, 4))
	whole := meshtest.Blocks(meshtest.Add(0, 0, 0, 2, 2, 3), meshtest.Add(1, -1, -1, 4, 4, 4))
	return Case{"lap", a, []*mesh.Mesh{b}, whole}
}

// The library agrees with volumes known in closed form.
func TestLibraryAgainstClosedForm(t *testing.T) {
	a := Ask(t, filepath.Join("testdata", "boxes.json"), []Case{lap()})[0]
	Hold(t, a)
	for _, m := range []struct {
		name      string
		got, want float64
	}{{"part", a.Part.Volume, 12}, {"ribs", a.Ribs.Volume, 75}, {"union", a.Union.Volume, 81}} {
		if d := m.got - m.want; d > 1e-9 || d < -1e-9 {
			t.Errorf("%s: volume %v, want %v", m.name, m.got, m.want)
		}
	}
}

// Hold must see what it is there to see.
func TestHoldSeesFaults(t *testing.T) {
	good := Ask(t, filepath.Join("testdata", "boxes.json"), []Case{lap()})[0]
	for name, spoil := range map[string]func(*Answer){
		"refused":       func(a *Answer) { a.Error = "not manifold" },
		"status":        func(a *Answer) { a.Ribbed.Status = "NotManifold" },
		"volume":        func(a *Answer) { a.Ribbed.Volume += 1e-3 },
		"lost":          func(a *Answer) { a.Lost = 1e-3 },
		"extra":         func(a *Answer) { a.Extra = 1e-3 },
		"handle":        func(a *Answer) { a.Ribbed.Genus++ },
		"ribs in parts": func(a *Answer) { a.Ribs.Status = "NotManifold" },
	} {
		a := good
		spoil(&a)
		var inner testing.T
		Hold(&inner, a)
		if !inner.Failed() {
			t.Errorf("%s is not seen", name)
		}
	}
}

// A stored answer does not pass for other operands.
func TestStoredAnswerIsForItsOperandsOnly(t *testing.T) {
	c := lap()
	file := filepath.Join(t.TempDir(), "s.json")
	if err := save(file, []Answer{{Name: "lap", Operands: c.hash()}}); err != nil {
		t.Fatal(err)
	}
	s, err := load(file)
	if err != nil {
		t.Fatal(err)
	}
	if got, missing := match(s, []Case{c}); missing != "" || len(got) != 1 {
		t.Errorf("the case's own answer is not found: %q", missing)
	}
	c.Part = meshtest.Move(c.Part, 0, 0, 1e-3)
	if _, missing := match(s, []Case{c}); missing != "lap" {
		t.Errorf("a moved part is answered")
	}
	if err := os.WriteFile(file, []byte("{"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := load(file); err == nil {
		t.Error("a broken file is taken")
	}
}
