package mesh_test

import (
	"context"
	"encoding/binary"
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
)

// records writes triangles as STL records with zero normals.
func records(m *mesh.Mesh) []byte {
	b := make([]byte, mesh.RecordSize*len(m.Triangles))
	for t := range m.Triangles {
		for c := range 3 {
			for i, x := range m.Corner(t, c) {
				binary.LittleEndian.PutUint32(b[t*mesh.RecordSize+12+12*c+4*i:], math.Float32bits(x))
			}
		}
	}
	return b
}

// plainWeld is Weld as one would write it at first: the twin it is held to.
func plainWeld(recs []byte) *mesh.Mesh {
	m := &mesh.Mesh{Triangles: make([][3]int32, len(recs)/mesh.RecordSize)}
	at := map[[3]float32]int32{} // as keys, -0 and 0 are equal
	for t := range m.Triangles {
		for c := range 3 {
			var p [3]float32
			for i := range p {
				p[i] = math.Float32frombits(binary.LittleEndian.Uint32(recs[t*mesh.RecordSize+12+12*c+4*i:])) + 0
			}
			v, ok := at[p]
			if !ok {
				v = int32(len(m.Vertices))
				at[p] = v
				m.Vertices = append(m.Vertices, p)
			}
			m.Triangles[t][c] = v
		}
	}
	return m
}

func same(a, b *mesh.Mesh) bool {
	return slices.Equal(a.Vertices, b.Vertices) && slices.Equal(a.Triangles, b.Triangles)
}

func TestWeldAgainstPlainWeld(t *testing.T) {
	property.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 400).Draw(t, "triangles")
		values := rapid.IntRange(1, 9).Draw(t, "values")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		recs := make([]byte, n*mesh.RecordSize)
		for i := range recs {
			recs[i] = byte(r.Uint32())
		}
		for i := range 9 * n { // few values, so that many corners meet
			x := math.Float32bits(float32(r.IntN(values)))
			if r.IntN(4) == 0 {
				x ^= 1 << 31
			}
			binary.LittleEndian.PutUint32(recs[i/9*mesh.RecordSize+12+i%9*4:], x)
		}
		got, err := mesh.Weld(context.Background(), recs)
		if err != nil {
			t.Fatal(err)
		}
		if !same(got, plainWeld(recs)) {
			t.Fatal("the two welds differ")
		}
	})
}

func TestWeldOnAnyNumberOfProcessors(t *testing.T) {
	m := meshtest.Subdivide(meshtest.Sphere(10, 64), 2)
	soup := meshtest.Soup(meshtest.Warp(m, func(p [3]float64) [3]float64 { return [3]float64{p[0] - 3, p[1], p[2]} }))
	for _, recs := range [][]byte{records(m), records(soup)} {
		want := plainWeld(recs)
		for _, n := range []int{1, 2, 3, 7} {
			old := runtime.GOMAXPROCS(n)
			got, err := mesh.Weld(context.Background(), recs)
			runtime.GOMAXPROCS(old)
			if err != nil || !same(got, want) {
				t.Errorf("%d processors: err %v, or another mesh", n, err)
			}
		}
	}
	got, _ := mesh.Weld(context.Background(), records(m))
	meshtest.Check(t, got)
}

func TestWeldOfScatteredTriangles(t *testing.T) { // the tables must grow
	m := &mesh.Mesh{}
	r := rand.New(rand.NewPCG(5, 6))
	for i := range 20000 {
		for range 3 {
			m.Vertices = append(m.Vertices, [3]float32{r.Float32(), r.Float32(), r.Float32()})
		}
		m.Triangles = append(m.Triangles, [3]int32{int32(3 * i), int32(3*i + 1), int32(3*i + 2)})
	}
	got, err := mesh.Weld(context.Background(), records(m))
	if err != nil || !same(got, plainWeld(records(m))) {
		t.Errorf("err %v, or another mesh", err)
	}
}

func TestWeldStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := mesh.Weld(ctx, records(meshtest.Sphere(1, 16))); !errors.Is(err, context.Canceled) {
		t.Errorf("err %v", err)
	}
}

// large is a housing of about 1.6 million triangles, made once.
var large *mesh.Mesh

func largeMesh() *mesh.Mesh {
	if large == nil {
		m := meshtest.RandomHouse(3).Mesh
		for len(m.Triangles) < 400_000 {
			m = meshtest.Subdivide(m, 1)
		}
		for len(m.Triangles) < 1_600_000 {
			m = meshtest.SubdivideTo(m, 0.75*longest(m))
		}
		large = m
	}
	return large
}

func longest(m *mesh.Mesh) float64 {
	l := 0.0
	for t := range m.Triangles {
		for c := range 3 {
			p, q := m.Corner(t, c), m.Corner(t, (c+1)%3)
			l = max(l, math.Hypot(math.Hypot(float64(p[0]-q[0]), float64(p[1]-q[1])), float64(p[2]-q[2])))
		}
	}
	return l
}

func BenchmarkWeld(b *testing.B) {
	recs := records(largeMesh())
	b.SetBytes(int64(len(recs)))
	b.ReportMetric(float64(len(recs)/mesh.RecordSize), "triangles")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := mesh.Weld(context.Background(), recs); err != nil {
			b.Fatal(err)
		}
	}
}
