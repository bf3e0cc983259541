package threemf

import (
	"os"
	"path/filepath"
	"testing"

	"falsework/mesh"
	"falsework/mesh/stl"
)

// Every real part, however broken, comes back from 3MF as the triangles it
// was, but for those that name a vertex twice.
func TestRealPartsComeBack(t *testing.T) {
	for name, m := range realParts(t) {
		f := parsed(t, written(t, Object{name, m}))
		if err := sameSoup(threeCornered(m), f.Mesh, 0); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The reference library takes them all, too, open or not.
func TestLibraryReadsRealParts(t *testing.T) {
	for name, m := range realParts(t) {
		data := written(t, Object{name, m})
		_, build, complaint := lib3mf(t, data)
		if complaint != "" {
			t.Errorf("%s: %s", name, complaint)
		} else if err := sameSoup(threeCornered(m), build, 0); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func realParts(t *testing.T) map[string]*mesh.Mesh {
	dir := os.Getenv("FALSEWORK_PARTS")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "parts")
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*.stl"))
	if len(files) == 0 {
		t.Skip("no folder of real parts; set FALSEWORK_PARTS to one")
	}
	out := map[string]*mesh.Mesh{}
	for _, file := range files {
		if f, err := stl.ReadFile(bg, file); err == nil {
			out[filepath.Base(file)] = f.Mesh
		}
	}
	return out
}

// threeCornered returns the triangles with three different corners.
func threeCornered(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{Vertices: m.Vertices}
	for _, t := range m.Triangles {
		if t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
			out.Triangles = append(out.Triangles, t)
		}
	}
	return out
}
