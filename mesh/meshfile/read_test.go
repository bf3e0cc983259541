package meshfile

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"falsework/mesh/stl"
	"falsework/mesh/threemf"
)

func encoded(t *testing.T, f Format) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Encode(bg, &b, f, Object{Name: "cube", Mesh: cube(0)}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestBytesTellTheFormat(t *testing.T) {
	dir := t.TempDir()
	odd := encoded(t, STL) // a binary STL whose free header begins as a package does
	copy(odd, "PK\x03\x04")
	text := "solid a\nfacet normal 0 0 0\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid a\n"
	for _, c := range []struct {
		name   string
		data   []byte
		format Format
		unit   string
	}{
		{"plain.stl", encoded(t, STL), STL, ""},
		{"plain.3mf", encoded(t, ThreeMF), ThreeMF, "millimeter"},
		{"package.stl", encoded(t, ThreeMF), ThreeMF, "millimeter"},
		{"surface.3mf", encoded(t, STL), STL, ""},
		{"noname", encoded(t, ThreeMF), ThreeMF, "millimeter"},
		{"odd.stl", odd, STL, ""},
		{"text.3mf", []byte(text), STL, ""},
	} {
		path := filepath.Join(dir, c.name)
		if err := os.WriteFile(path, c.data, 0o666); err != nil {
			t.Fatal(err)
		}
		f, err := ReadFile(bg, path)
		if err != nil || f.Format != c.format || f.Unit != c.unit || len(f.Mesh.Triangles) == 0 {
			t.Errorf("%s: %+v, %v; want %v", c.name, f, err, c.format)
			continue
		}
		if (f.Records != nil) != (c.format == STL) {
			t.Errorf("%s: %d bytes of records", c.name, len(f.Records))
		}
		g, err := Read(bg, bytes.NewReader(c.data), c.name)
		if err != nil || g.Format != c.format || !slices.Equal(g.Mesh.Vertices, f.Mesh.Vertices) {
			t.Errorf("%s through a stream: %v", c.name, err)
		}
		if got := FormatOfFile(path); got != c.format {
			t.Errorf("%s looks like %v at its start", c.name, got)
		}
	}
	if FormatOfFile(filepath.Join(dir, "none")) != STL || FormatOfFile(dir) != STL {
		t.Error("what cannot be read should be taken for STL, to be refused later")
	}
}

func TestWhatIsNoPartIsRefused(t *testing.T) {
	dir := t.TempDir()
	var s *stl.Error
	if _, err := ReadFile(bg, dir); !errors.As(err, &s) || s.Kind != stl.Unreadable || !strings.Contains(err.Error(), "name an STL or 3MF file") {
		t.Errorf("a folder: %v", err)
	}
	var p *threemf.Error
	if _, err := Parse(bg, encoded(t, ThreeMF)[:200], "cut.3mf"); !errors.As(err, &p) || p.Kind != threemf.Damaged {
		t.Errorf("a cut package: %v", err)
	}
	if _, err := Parse(bg, []byte("neither"), "x"); !errors.As(err, &s) || s.Kind != stl.Foreign {
		t.Errorf("text: %v", err)
	}
	if _, err := ReadFile(bg, filepath.Join(dir, "none.stl")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no file: %v", err)
	}
}
