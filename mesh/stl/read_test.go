package stl

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"github.com/google/go-cmp/cmp"
)

var bg = context.Background()

// binaryOf returns m as a file with the given header.
func binaryOf(m *mesh.Mesh, head string) []byte {
	var b bytes.Buffer
	if err := Write(bg, &b, m, Source{}); err != nil {
		panic(err)
	}
	copy(b.Bytes()[:80], head+strings.Repeat(" ", 80))
	return b.Bytes()
}

// asciiOf returns m as text with the given line ends.
func asciiOf(m *mesh.Mesh, name, eol string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "solid %s%s", name, eol)
	for t := range m.Triangles {
		b.WriteString("  facet normal 0 0 0" + eol + "    outer loop" + eol)
		for c := range 3 {
			p := m.Corner(t, c)
			fmt.Fprintf(&b, "      vertex %g %g %g%s", p[0], p[1], p[2], eol)
		}
		b.WriteString("    endloop" + eol + "  endfacet" + eol)
	}
	fmt.Fprintf(&b, "endsolid %s%s", name, eol)
	return b.String()
}

func utf16Of(s string) string {
	b := []byte("\xff\xfe")
	for _, u := range utf16.Encode([]rune(s)) {
		b = binary.LittleEndian.AppendUint16(b, u)
	}
	return string(b)
}

func cube() *mesh.Mesh { return meshtest.Blocks(meshtest.Add(0, 0, 0, 10, 20, 30)) }

// goodFiles are files that must read as the cube above, however they look.
func goodFiles() map[string]string {
	m := cube()
	bin, txt := string(binaryOf(m, "")), asciiOf(m, "cube", "\n")
	two := &mesh.Mesh{Vertices: m.Vertices, Triangles: m.Triangles[:5]}
	rest := &mesh.Mesh{Vertices: m.Vertices, Triangles: m.Triangles[5:]}
	one := asciiOf(m, "", "\n")
	return map[string]string{
		"binary":                      bin,
		"binary that says solid":      string(binaryOf(m, "solid cube\nfacet normal 0 0 0")),
		"binary with mark":            string(binaryOf(m, "\xef\xbb\xbfsolid")),
		"ascii":                       txt,
		"ascii, CRLF":                 asciiOf(m, "cube", "\r\n"),
		"ascii, CR":                   asciiOf(m, "cube", "\r"),
		"ascii, no name":              one,
		"ascii, name of keywords":     asciiOf(m, "endsolid facet normal solid", "\n"),
		"ascii, name in other script": asciiOf(m, "\u6f6e\u4f4d", "\n"),
		"ascii, upper case":           strings.ToUpper(txt),
		"ascii, mixed case":           strings.ReplaceAll(strings.ReplaceAll(txt, "facet", "FaceT"), "vertex", "Vertex"),
		"ascii, leading blanks":       " \t\r\n\n " + txt,
		"ascii, leading mark":         "\xef\xbb\xbf" + txt,
		"ascii, UTF-16":               utf16Of(txt),
		"ascii, no final line end":    strings.TrimSpace(txt),
		"ascii, trailing blanks":      txt + "\n\n \t\x00\x00",
		"ascii, tabs":                 strings.ReplaceAll(txt, " ", "\t"),
		"ascii, no indent":            strings.ReplaceAll(txt, "  ", ""),
		"ascii, exponents":            strings.ReplaceAll(strings.ReplaceAll(txt, " 10", " +1.0E+01"), " 20", " 2000e-2"),
		"ascii, odd normals":          strings.ReplaceAll(txt, "normal 0 0 0", "normal nan -nan(ind) 1.#QNAN"),
		"ascii, minus zero":           strings.ReplaceAll(txt, "vertex 0", "vertex -0.0"),
		"ascii, two solids":           asciiOf(two, "a", "\n") + asciiOf(rest, "b", "\n"),
		"ascii, empty solid too":      "solid x\nendsolid x\n" + txt,
	}
}

func TestReadsWhatIsGood(t *testing.T) {
	want := cube()
	for name, data := range goodFiles() {
		f, err := Parse(bg, []byte(data), "x.stl")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		meshtest.Check(t, f.Mesh)
		if got, want := meshtest.Soup(f.Mesh), meshtest.Soup(want); !slices.Equal(got.Vertices, want.Vertices) {
			t.Errorf("%s: another mesh", name)
		}
		if len(f.Records) != mesh.RecordSize*len(want.Triangles) {
			t.Errorf("%s: %d bytes of records", name, len(f.Records))
		}
		if ascii := strings.HasPrefix(name, "ascii"); ascii != (f.Format == ASCII) {
			t.Errorf("%s: read as %v", name, f.Format)
		}
	}
}

func TestSolidsOfASCII(t *testing.T) {
	f, err := Parse(bg, []byte(goodFiles()["ascii, two solids"]), "")
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff([]Solid{{"a", 0, 5}, {"b", 5, 7}}, f.Solids); d != "" {
		t.Error(d)
	}
}

// A badFile is a file to be refused, the kind of reason, and words of it.
type badFile struct {
	name, data string
	kind       Kind
	words      string
}

func badFiles() []badFile {
	m := cube()
	bin, txt := string(binaryOf(m, "")), asciiOf(m, "cube", "\n")
	count := func(n uint32) string {
		b := []byte(bin)
		binary.LittleEndian.PutUint32(b[80:], n)
		return string(b)
	}
	number := func(x float32) string {
		b := []byte(bin)
		binary.LittleEndian.PutUint32(b[84+3*50+12+12+4:], math.Float32bits(x))
		return string(b)
	}
	nan := float32(math.NaN())
	inf := float32(math.Inf(-1))
	return []badFile{
		{"nothing", "", Empty, "is empty"},
		{"blanks", " \n\r\n\t", Empty, "is empty"},
		{"mark only", "\xef\xbb\xbf", Empty, "is empty"},
		{"binary without triangles", bin[:80] + "\x00\x00\x00\x00", Empty, "no triangles"},
		{"ascii without triangles", "solid Empty\nendsolid Empty", Empty, "no triangles"},
		{"short header", "\x00\x01binary", Truncated, "8 bytes"},
		{"binary cut in a record", bin[:len(bin)-7], Mismatch, "declares 12 triangles (684 bytes) but has 677 bytes"},
		{"binary cut at a record", bin[:len(bin)-50], Mismatch, "room for 11; it is cut short"},
		{"binary with bytes to spare", bin + "xy", Mismatch, "declares 12 triangles (684 bytes) but has 686 bytes"},
		{"count one too many", count(13), Mismatch, "declares 13 triangles"},
		{"count of four thousand millions", count(math.MaxUint32), Mismatch, "declares 4294967295 triangles"},
		{"binary that says solid, cut", string(binaryOf(m, "solid cube"))[:600], Mismatch, "has 600 bytes"},
		{"not a number", number(nan), BadNumber, "triangle 4: coordinate NaN"},
		{"infinite", number(inf), BadNumber, "triangle 4: coordinate -Inf"},
		{"huge", number(-1e10), BadNumber, "triangle 4: coordinate -1e+10"},
		{"prose", "Dear reader, this is no part at all.", Foreign, "no STL file"},
		{"zip", "PK\x03\x04" + strings.Repeat("x\x00", 100), Foreign, "no STL file"},
		{"picture", "\x89PNG\r\n\x1a\n" + strings.Repeat("\x00", 20), Truncated, "28 bytes"},
		{"solidarity", "solidarity facet\n", Foreign, "no STL file"},
		{"ascii cut after a facet", txt[:strings.LastIndex(txt, "endsolid")], Truncated, "ends after 12 triangles without the endsolid"},
		{"ascii cut in a facet", txt[:strings.LastIndex(txt, "endloop")], Truncated, "endloop should follow"},
		{"ascii cut in a vertex", txt[:strings.LastIndex(txt, "vertex")+6], Truncated, "a number should follow"},
		{"ascii cut after solid", "solid cube", Truncated, "ends after 0 triangles"},
		{"ascii without outer", strings.Replace(txt, "outer", "inner", 1), Syntax, `line 3: "inner" where outer should be`},
		{"ascii of four corners", strings.Replace(txt, "    endloop", "vertex 1 2 3\n    endloop", 1), Syntax, "line 7: a fourth vertex"},
		{"ascii of two corners", strings.Replace(txt, "vertex", "endloop", 1), Syntax, `"endloop" where vertex should be`},
		{"ascii followed by prose", txt + "and more", Syntax, `"and" where solid should be`},
		{"ascii, not a number", strings.Replace(txt, "vertex 0", "vertex nan", 1), BadNumber, `line 4: coordinate "nan"`},
		{"ascii, infinite", strings.Replace(txt, "vertex 0", "vertex -inf", 1), BadNumber, `coordinate "-inf"`},
		{"ascii, out of range", strings.Replace(txt, "vertex 0", "vertex 1e99", 1), BadNumber, `coordinate "1e99"`},
		{"ascii, huge", strings.Replace(txt, "vertex 0", "vertex 1e12", 1), BadNumber, `coordinate "1e12"`},
		{"ascii, comma", strings.Replace(txt, "vertex 0", "vertex 0,5", 1), BadNumber, "not a comma"},
		{"ascii, word", strings.Replace(txt, "vertex 0", "vertex zero", 1), Syntax, `"zero" where a number should be`},
		{"ascii, long word", strings.Replace(txt, "vertex 0", "vertex "+strings.Repeat("z", 999), 1), Syntax, `zzz"... where a number`},
	}
}

func TestRefusesWhatIsBad(t *testing.T) {
	for _, b := range badFiles() {
		f, err := Parse(bg, []byte(b.data), "x.stl")
		var e *Error
		if !errors.As(err, &e) || f != nil {
			t.Errorf("%s: file %v, error %v, want an *Error", b.name, f, err)
			continue
		}
		if e.Kind != b.kind || !strings.Contains(err.Error(), b.words) || !strings.HasPrefix(err.Error(), "x.stl: ") {
			t.Errorf("%s: %v: %q, want %v with %q", b.name, e.Kind, err, b.kind, b.words)
		}
		if s := err.Error(); strings.ContainsAny(s, "\n\r") || len(s) > 250 {
			t.Errorf("%s: not one readable line: %q", b.name, s)
		}
	}
}

// Every file cut anywhere is refused, but for cuts that only take blanks.
func TestEveryCutIsRefused(t *testing.T) {
	bin := binaryOf(cube(), "")
	for n := range bin {
		if _, err := Parse(bg, bin[:n], ""); err == nil {
			t.Errorf("binary cut to %d bytes is accepted", n)
		}
	}
	txt := strings.TrimSpace(asciiOf(cube(), "", "\n"))
	for n := range txt {
		if _, err := Parse(bg, []byte(txt[:n]), ""); err == nil {
			t.Errorf("ascii cut to %d bytes is accepted", n)
		}
	}
}

func TestReadFileAndRead(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a cube.stl")
	data := binaryOf(cube(), "")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := ReadFile(bg, path)
	if err != nil || len(f.Mesh.Triangles) != 12 {
		t.Fatalf("%v, error %v", f, err)
	}
	g, err := Read(bg, bytes.NewReader(data), "-")
	if err != nil || !cmp.Equal(f.Mesh, g.Mesh) {
		t.Errorf("read from a stream: error %v, or another mesh", err)
	}
	var e *Error
	if _, err := ReadFile(bg, dir); !errors.As(err, &e) || e.Kind != Unreadable {
		t.Errorf("directory: %v", err)
	}
	if _, err := ReadFile(bg, filepath.Join(dir, "none.stl")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("missing: %v", err)
	}
	ctx, cancel := context.WithCancel(bg)
	cancel()
	if _, err := ReadFile(ctx, path); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	if _, err := Read(ctx, bytes.NewReader(data), "-"); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled stream: %v", err)
	}
}
