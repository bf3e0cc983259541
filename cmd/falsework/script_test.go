package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"falsework/mesh"
	"falsework/mesh/meshfile"
	"falsework/mesh/meshtest"
	"falsework/mesh/stl"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"falsework": func() { os.Exit(mainWith(hostile)) },
	})
}

// TestScript runs the program as a user does: testdata/script/*.txtar say
// which words are typed, and what must come of them. The parts they work on
// are made by setup.
func TestScript(t *testing.T) {
	examples, err := filepath.Abs("../../examples")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("EXAMPLES", examples)
			return makeParts(e.WorkDir)
		},
		Condition: func(cond string) (bool, error) {
			if cond == "superuser" { // who may read and write everything
				return os.Geteuid() == 0, nil
			}
			return false, fmt.Errorf("unknown condition %q", cond)
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"status": statusCommand,
			"json":   jsonCommand,
			"whole":  wholeCommand,
			"nowork": noworkCommand,
		},
	})
}

// doorway is a wall with an opening at the foot, in mm.
func doorway(wide, high float64) *mesh.Mesh {
	return meshtest.Blocks(
		meshtest.Add(0, 0, 0, wide+40, 3, high+20),
		meshtest.Cut(20, -1, -1, 20+wide, 4, high))
}

// makeParts writes the parts that scripts name.
func makeParts(dir string) error {
	window := doorway(50, 40)
	parts := map[string]*mesh.Mesh{
		"doorway.stl":              doorway(120, 60),
		"narrow.stl":               window,
		"cube.stl":                 meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 20, 20)),
		"inside-out.stl":           meshtest.Flip(window),
		"metres.stl":               meshtest.Scale(doorway(120, 60), 0.001, 0.001, 0.001),
		"inches.stl":               meshtest.Scale(doorway(120, 60), 1/25.4, 1/25.4, 1/25.4),
		"Pegelgehäuse 潮位 шкаф.stl": doorway(120, 60),
		"lying.stl":                meshtest.Turn(doorway(120, 60), [3]float64{1, 0, 0}, -90),
		"-dash.stl":                window,
	}
	for name, m := range parts {
		if err := stl.WriteFile(ctx, filepath.Join(dir, name), m, stl.Source{}); err != nil {
			return err
		}
	}
	for name, m := range map[string]*mesh.Mesh{"doorway.3mf": parts["doorway.stl"], "narrow.3mf": window, "speck.3mf": parts["metres.stl"]} {
		if err := meshfile.Write(ctx, filepath.Join(dir, name), meshfile.Object{Name: "doorway", Mesh: m}); err != nil {
			return err
		}
	}
	packed, err := os.ReadFile(filepath.Join(dir, "narrow.3mf"))
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, "cut.3mf"), packed[:len(packed)-40], 0o666); err != nil {
		return err
	}
	whole, err := os.ReadFile(filepath.Join(dir, "narrow.stl"))
	if err != nil {
		return err
	}
	open := meshtest.Clone(window)
	open.Triangles = open.Triangles[:len(open.Triangles)-2]
	if err := stl.WriteFile(ctx, filepath.Join(dir, "open.stl"), open, stl.Source{}); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, "cut-short.stl"), whole[:len(whole)-70], 0o666)
}
