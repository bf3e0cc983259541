package meshfile

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/stl"
)

var bg = context.Background()

func cube(at float64) *mesh.Mesh { return meshtest.Blocks(meshtest.Add(at, 0, 0, at+5, 5, 5)) }

func TestTheNameChoosesTheFormat(t *testing.T) {
	for _, c := range []struct {
		path string
		want Format
		ok   bool
	}{
		{"a.stl", STL, true}, {"a.STL", STL, true}, {"b/c.3mf", ThreeMF, true}, {"a.b.3Mf", ThreeMF, true},
		{"-", ThreeMF, true}, {"part", ThreeMF, true}, {"dir.x/part", ThreeMF, true}, {".hidden", ThreeMF, true},
		{"a.obj", 0, false}, {"a.stl.gz", 0, false}, {"a.", 0, false},
	} {
		got, err := FormatOf(c.path, ThreeMF)
		if got != c.want || (err == nil) != c.ok {
			t.Errorf("%s: %v, %v; want %v", c.path, got, err, c.want)
		}
	}
}

func TestWrite(t *testing.T) {
	dir := t.TempDir()
	objects := []Object{{Name: "left", Mesh: cube(0)}, {Name: "right", Mesh: cube(10)}}
	for _, name := range []string{"two.stl", "two.3mf", "two"} {
		if err := Write(bg, filepath.Join(dir, name), objects...); err != nil {
			t.Fatal(err)
		}
	}
	f, err := stl.ReadFile(bg, filepath.Join(dir, "two.stl"))
	if err != nil || len(f.Mesh.Triangles) != 24 {
		t.Fatalf("%v, %v", f, err)
	}
	if a, err := f.Mesh.Audit(bg); err != nil || len(a.Shells) != 2 || !a.Closed() {
		t.Errorf("two cubes have %d shells, %v", len(a.Shells), err)
	}
	plain, _ := os.ReadFile(filepath.Join(dir, "two"))
	named, _ := os.ReadFile(filepath.Join(dir, "two.stl"))
	if !bytes.Equal(plain, named) {
		t.Error("a name without an extension is not STL")
	}
	packed, _ := os.ReadFile(filepath.Join(dir, "two.3mf"))
	if !bytes.HasPrefix(packed, []byte("PK\x03\x04")) {
		t.Error("a name in 3mf is no package")
	}
	if err := Write(bg, filepath.Join(dir, "two.obj"), objects...); err == nil {
		t.Error("wrote a format that is not known")
	}
	if left, _ := os.ReadDir(dir); len(left) != 3 {
		t.Errorf("%d files, want 3", len(left))
	}
}
