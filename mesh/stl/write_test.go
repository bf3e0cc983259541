package stl

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

func written(t *testing.T, m *mesh.Mesh, from Source) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(bg, &b, m, from); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestRoundTrip(t *testing.T) {
	for _, m := range []*mesh.Mesh{cube(), meshtest.Turn(meshtest.Ring(10, 3, 40), [3]float64{1, 2, 3}, 50), meshtest.RandomHouse(1).Mesh} {
		data := written(t, m, Source{})
		f, err := Parse(bg, data, "")
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(meshtest.Soup(f.Mesh).Vertices, meshtest.Soup(m).Vertices) {
			t.Error("read back as another mesh")
		}
		if again := written(t, f.Mesh, Source{Records: f.Records}); !bytes.Equal(again, data) {
			t.Error("written again as other bytes")
		}
		if bytes.HasPrefix(bytes.ToLower(data), []byte("solid")) {
			t.Error("header begins as an ASCII file does")
		}
	}
}

// Memory with room to spare is written in place, with a little room or none as any
// writer is: the bytes are the same, whatever lay there.
func TestWriteInPlace(t *testing.T) {
	m := meshtest.SubdivideTo(cube(), 0.2)
	var want []byte
	w := writerFunc(func(p []byte) (int, error) { want = append(want, p...); return len(p), nil })
	if err := Write(bg, w, m, Source{}); err != nil {
		t.Fatal(err)
	}
	if len(m.Triangles) < 1<<14 {
		t.Fatalf("%d triangles: one block", len(m.Triangles))
	}
	for _, spare := range []int{0, 1000, 500_000, len(want)} {
		room := bytes.Repeat([]byte{0xff}, spare)
		b := bytes.NewBuffer(room[:0])
		if err := Write(bg, b, m, Source{}); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(b.Bytes(), want) {
			t.Errorf("other bytes with %d to spare", spare)
		}
		if spare == len(want) && &b.Bytes()[0] != &room[0] {
			t.Error("not written in place")
		}
	}
}

type writerFunc func(p []byte) (int, error)

func (f writerFunc) Write(p []byte) (int, error) { return f(p) }

func TestRecordsAreCopiedAsRead(t *testing.T) {
	data := binaryOf(cube(), "")
	rec := func(b []byte, i int) []byte { return b[84+50*i : 84+50*(i+1)] }
	for i := range 12 { // normals that no program would compute, and attributes
		binary.LittleEndian.PutUint32(rec(data, i), math.Float32bits(float32(i)+0.5))
		rec(data, i)[48], rec(data, i)[49] = byte(i), 0xaa
	}
	binary.LittleEndian.PutUint32(rec(data, 0)[12:], 1<<31) // a corner at -0
	f, err := Parse(bg, data, "")
	if err != nil {
		t.Fatal(err)
	}
	if got := written(t, f.Mesh, Source{Records: f.Records}); !bytes.Equal(got[84:], data[84:]) {
		t.Error("nil Of: records were not copied as read")
	}
	// Triangles 4, none, 2, 9 turned so that its corners begin elsewhere, and a number out of range.
	m := &mesh.Mesh{Vertices: f.Mesh.Vertices, Triangles: [][3]int32{f.Mesh.Triangles[4], f.Mesh.Triangles[3], f.Mesh.Triangles[2], f.Mesh.Triangles[9], f.Mesh.Triangles[1]}}
	tr := &m.Triangles[3]
	tr[0], tr[1], tr[2] = tr[1], tr[2], tr[0]
	got := written(t, m, Source{Records: f.Records, Of: []int32{4, -1, 2, 9, 99}})
	for i, copied := range []int{4, -1, 2, -1, -1} {
		if copied >= 0 {
			if !bytes.Equal(rec(got, i), rec(data, copied)) {
				t.Errorf("triangle %d was not copied", i)
			}
		} else if rec(got, i)[49] != 0 {
			t.Errorf("triangle %d was copied", i)
		}
	}
}

func TestNormals(t *testing.T) {
	b := written(t, cube(), Source{})
	for i := range 12 {
		var n [3]float32
		for j := range n {
			n[j] = math.Float32frombits(binary.LittleEndian.Uint32(b[84+50*i+4*j:]))
		}
		ones := 0
		for _, x := range n {
			if x == 1 || x == -1 {
				ones++
			} else if x != 0 || math.Signbit(float64(x)) {
				t.Errorf("triangle %d: normal %v", i, n)
			}
		}
		if ones != 1 {
			t.Errorf("triangle %d: normal %v", i, n)
		}
	}
	if n := normal([3]float32{1, 1, 1}, [3]float32{2, 2, 2}, [3]float32{3, 3, 3}); n != [3]float32{} {
		t.Errorf("normal of a triangle without area: %v", n)
	}
}

func TestSameBytesOnAnyNumberOfProcessors(t *testing.T) {
	m := meshtest.Subdivide(meshtest.Sphere(10, 64), 3)
	var want []byte
	for _, n := range []int{1, 2, 5} {
		old := runtime.GOMAXPROCS(n)
		got := written(t, m, Source{})
		runtime.GOMAXPROCS(old)
		if want == nil {
			want = got
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%d processors: other bytes", n)
		}
	}
}

// failing is a writer that fails after n bytes.
type failing struct{ n int }

var errDisk = errors.New("no space left")

func (f *failing) Write(p []byte) (int, error) {
	if f.n -= len(p); f.n < 0 {
		return 0, errDisk
	}
	return len(p), nil
}

func TestWriteReportsEveryError(t *testing.T) {
	m := meshtest.Sphere(10, 16)
	for _, n := range []int{0, 83, 84, 200} {
		if err := Write(bg, &failing{n}, m, Source{}); !errors.Is(err, errDisk) {
			t.Errorf("writer failing after %d bytes: %v", n, err)
		}
	}
}

func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "out.stl")
	if err := WriteFile(bg, path, cube(), Source{}); err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(path)
	if err != nil || !bytes.Equal(got, written(t, cube(), Source{})) {
		t.Errorf("error %v, or other bytes", err)
	}
	ctx, cancel := context.WithCancel(bg)
	cancel()
	if err := WriteFile(ctx, path, meshtest.Sphere(1, 8), Source{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	if now, _ := os.ReadFile(path); !bytes.Equal(now, got) {
		t.Error("a cancelled write changed the file")
	}
	if es, _ := os.ReadDir(dir); len(es) != 1 {
		t.Errorf("%d files left, want 1", len(es))
	}
}

func benchMesh() *mesh.Mesh {
	return meshtest.Subdivide(meshtest.Turn(meshtest.Sphere(100, 300), [3]float64{1, 2, 3}, 1), 2)
}

func BenchmarkParse(b *testing.B) {
	data := written(&testing.T{}, benchMesh(), Source{})
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse(bg, data, ""); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadFile(b *testing.B) {
	path := filepath.Join(b.TempDir(), "b.stl")
	if err := WriteFile(bg, path, benchMesh(), Source{}); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Load(bg, path); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParseASCII(b *testing.B) {
	data := []byte(asciiOf(meshtest.Sphere(100, 300), "", "\n"))
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse(bg, data, ""); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	m := benchMesh()
	f, err := Parse(bg, written(&testing.T{}, m, Source{}), "")
	if err != nil {
		b.Fatal(err)
	}
	for _, c := range []struct {
		name string
		from Source
	}{{"computed", Source{}}, {"copied", Source{Records: f.Records}}} {
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(f.Records)))
			b.ReportAllocs()
			for b.Loop() {
				if err := Write(bg, io.Discard, f.Mesh, c.from); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("memory", func(b *testing.B) {
		b.SetBytes(int64(len(f.Records)))
		b.ReportAllocs()
		for b.Loop() {
			w := bytes.NewBuffer(make([]byte, 0, HeadSize+len(f.Records)))
			if err := Write(bg, w, f.Mesh, Source{Records: f.Records}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("file", func(b *testing.B) {
		path := filepath.Join(b.TempDir(), "b.stl")
		for b.Loop() {
			if err := WriteFile(bg, path, f.Mesh, Source{Records: f.Records}); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// FuzzParse: whatever the bytes, an answer without a panic; what is accepted
// survives writing and reading.
func FuzzParse(f *testing.F) {
	n := 0
	for _, s := range goodFiles() {
		f.Add([]byte(s))
		n++
	}
	for _, b := range badFiles() {
		f.Add([]byte(b.data))
		n++
	}
	if n < 40 {
		f.Fatalf("%d seeds", n)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := Parse(bg, data, "x")
		if err != nil {
			if s := err.Error(); s == "" || strings.ContainsAny(s, "\n\r") {
				t.Errorf("not one line: %q", s)
			}
			return
		}
		if len(file.Records) != mesh.RecordSize*len(file.Mesh.Triangles) || len(file.Records) > len(data)*4 {
			t.Errorf("%d triangles and %d bytes of records from %d bytes", len(file.Mesh.Triangles), len(file.Records), len(data))
		}
		var b bytes.Buffer
		if err := Write(bg, &b, file.Mesh, Source{Records: file.Records}); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(b.Bytes()[84:], file.Records) {
			t.Error("records did not survive")
		}
	})
}
