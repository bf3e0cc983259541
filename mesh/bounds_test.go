package mesh

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// boundsOf is the box, corner by corner.
func boundsOf(m *Mesh) Box {
	b := Box{wide(m.Corner(0, 0)), wide(m.Corner(0, 0))}
	for t := range m.Triangles {
		for c := range 3 {
			b.grow(m.point(t, c))
		}
	}
	return b
}

func TestBounds(t *testing.T) {
	if b := (&Mesh{Vertices: [][3]float32{{1, 2, 3}}}).Bounds(); b != (Box{}) {
		t.Errorf("no triangles: %v", b)
	}
	r := rand.New(rand.NewPCG(2, 6))
	short := 0
	for trial := range 300 {
		m := &Mesh{Vertices: make([][3]float32, 3+r.IntN(40)), Triangles: make([][3]int32, 1+r.IntN(60))}
		if trial < 3 { // several stretches of each
			m = &Mesh{Vertices: make([][3]float32, 150000), Triangles: make([][3]int32, 300000)}
		}
		for i := range m.Vertices {
			for k := range 3 {
				m.Vertices[i][k] = float32(r.IntN(30) - 15)
			}
		}
		for i := range m.Triangles {
			for k := range 3 {
				m.Triangles[i][k] = int32(r.IntN(len(m.Vertices)))
			}
		}
		if _, ok := m.boundsByVertices(); ok {
			short++
		}
		if got, want := m.Bounds(), boundsOf(m); got != want {
			t.Fatalf("trial %d: %v, want %v", trial, got, want)
		}
	}
	if short < 100 || short > 290 {
		t.Errorf("%d of 300 the short way: both should be tried", short)
	}
}

// A number that is none shows, as long as a triangle has it first.
func TestBoundsOfNoNumbers(t *testing.T) {
	nan := float32(math.NaN())
	m := &Mesh{Vertices: [][3]float32{{nan, 0, 0}, {1, 0, 0}, {0, 1, 0}}, Triangles: [][3]int32{{0, 1, 2}}}
	if b := m.Bounds(); b.Min[0] == b.Min[0] {
		t.Errorf("%v", b)
	}
	m.Triangles[0] = [3]int32{1, 2, 1} // it is not used any more
	if got, want := m.Bounds(), (Box{[3]float64{0, 0, 0}, [3]float64{1, 1, 0}}); got != want {
		t.Errorf("%v, want %v", got, want)
	}
}

func BenchmarkBounds(b *testing.B) {
	for _, n := range []int{1 << 10, 1 << 20} {
		m := &Mesh{Vertices: make([][3]float32, n), Triangles: make([][3]int32, 2*n)}
		r := rand.New(rand.NewPCG(1, 1))
		for i := range m.Vertices {
			m.Vertices[i] = [3]float32{r.Float32(), r.Float32(), r.Float32()}
		}
		for i := range m.Triangles {
			// Near one another, as in files.
			m.Triangles[i] = [3]int32{int32(i / 2), int32((i/2 + 1) % n), int32((i/2 + 700) % n)}
		}
		b.Run(fmt.Sprint(2*n), func(b *testing.B) {
			for b.Loop() {
				m.Bounds()
			}
		})
	}
}
