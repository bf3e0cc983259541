package section

import (
	"errors"
	"math"
	"math/rand"
	"sync"
	"testing"

	"falsework/mesh"
)

// box returns a closed box.
func box(x0, y0, z0, x1, y1, z1 float32) *mesh.Mesh {
	return &mesh.Mesh{
		Vertices: [][3]float32{{x0, y0, z0}, {x1, y0, z0}, {x1, y1, z0}, {x0, y1, z0},
			{x0, y0, z1}, {x1, y0, z1}, {x1, y1, z1}, {x0, y1, z1}},
		Triangles: [][3]int32{{0, 2, 1}, {0, 3, 2}, {4, 5, 6}, {4, 6, 7}, {0, 1, 5}, {0, 5, 4},
			{1, 2, 6}, {1, 6, 5}, {2, 3, 7}, {2, 7, 6}, {3, 0, 4}, {3, 4, 7}},
	}
}

func join(ms ...*mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{}
	for _, m := range ms {
		n := int32(len(out.Vertices))
		out.Vertices = append(out.Vertices, m.Vertices...)
		for _, t := range m.Triangles {
			out.Triangles = append(out.Triangles, [3]int32{t[0] + n, t[1] + n, t[2] + n})
		}
	}
	return out
}

func flip(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{Vertices: m.Vertices}
	for _, t := range m.Triangles {
		out.Triangles = append(out.Triangles, [3]int32{t[0], t[2], t[1]})
	}
	return out
}

// sphere returns a ball of radius r about c, its poles on the z axis.
func sphere(c [3]float64, r float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	add := func(lat, lon float64) {
		m.Vertices = append(m.Vertices, [3]float32{
			float32(c[0] + r*math.Sin(lat)*math.Cos(lon)),
			float32(c[1] + r*math.Sin(lat)*math.Sin(lon)),
			float32(c[2] - r*math.Cos(lat))})
	}
	add(0, 0)
	for i := 1; i < n; i++ {
		for j := range 2 * n {
			add(math.Pi*float64(i)/float64(n), math.Pi*float64(j)/float64(n))
		}
	}
	add(math.Pi, 0)
	at := func(i, j int) int32 {
		switch i {
		case 0:
			return 0
		case n:
			return int32(len(m.Vertices) - 1)
		}
		return int32(1 + (i-1)*2*n + j%(2*n))
	}
	for i := range n {
		for j := range 2 * n {
			a, b, c, d := at(i, j), at(i, j+1), at(i+1, j+1), at(i+1, j)
			if a != b {
				m.Triangles = append(m.Triangles, [3]int32{a, b, c})
			}
			if c != d {
				m.Triangles = append(m.Triangles, [3]int32{a, c, d})
			}
		}
	}
	return m
}

func mustAt(t *testing.T, s *Slicer, z float64) Polygons {
	t.Helper()
	p, err := s.At(z)
	if err != nil {
		t.Fatalf("at %g: %v", z, err)
	}
	return p
}

func TestSliceBoxes(t *testing.T) {
	s := NewSlicer(join(
		box(0, 0, 0, 10, 20, 5),
		flip(box(2, 2, 1, 8, 18, 4)), // a cavity
		box(9, 0, 0, 15, 20, 5),      // overlaps the first
		flip(box(30, 0, 0, 40, 10, 5)),
	))
	near(t, "area", mustAt(t, s, 2.5).Area(), 15*20-6*16+100, 1e-9)
	near(t, "below the cavity", mustAt(t, s, 0.5).Area(), 400, 1e-9)
	// A vertex on the plane is above it: nothing at the foot, everything at
	// the top.
	near(t, "foot", mustAt(t, s, 0).Area(), 0, 0)
	near(t, "top", mustAt(t, s, 5).Area(), 400, 1e-9)
	near(t, "floor of the cavity", mustAt(t, s, 1).Area(), 400, 1e-9)
	near(t, "above", mustAt(t, s, 5.0001).Area(), 0, 0)
	if p := mustAt(t, s, 2.5); len(p) != 3 {
		t.Errorf("%d rings", len(p))
	}
}

func TestSliceOpen(t *testing.T) {
	m := box(0, 0, 0, 10, 10, 10)
	m.Triangles = m.Triangles[:10] // one wall missing
	p, err := NewSlicer(m).At(5)
	var open *OpenError
	if !errors.As(err, &open) || open.Gaps != 1 {
		t.Fatalf("error %v", err)
	}
	near(t, "width", open.Width, 10, 1e-9)
	near(t, "place", open.At[0], 0, 1e-9)
	near(t, "closed area", p.Area(), 100, 1e-9)
}

// bruteAt cuts every triangle, without the index.
func bruteAt(m *mesh.Mesh, pl plane) (Polygons, error) {
	var ps []piece
	for t := range m.Triangles {
		ps = cutTriangle(ps, m, t, pl)
	}
	_, far := extent(m)
	return assemble(m, ps, pl, Precision(far))
}

func same(p, q Polygons) bool {
	if len(p) != len(q) {
		return false
	}
	for i := range p {
		if len(p[i]) != len(q[i]) {
			return false
		}
		for j := range p[i] {
			if p[i][j] != q[i][j] {
				return false
			}
		}
	}
	return true
}

func TestIndexAgainstBruteForce(t *testing.T) {
	rng := rand.New(rand.NewSource(2))
	m := join(sphere([3]float64{0, 0, 0}, 10, 12), box(-20, -3, -5, 20, 3, 30), sphere([3]float64{15, 5, 9}, 4, 30))
	s, c := NewSlicer(m), NewCutter(m)
	for i := range 300 {
		z := rng.Float64()*45 - 12
		if i%3 == 0 {
			z = float64(m.Vertices[rng.Intn(len(m.Vertices))][2])
		}
		want, _ := bruteAt(m, level(z))
		if got := mustAt(t, s, z); !same(got, want) {
			t.Fatalf("z = %g: %d rings, want %d", z, len(got), len(want))
		}
		a := rng.Float64() * 7
		if i%4 == 0 {
			a = float64(rng.Intn(4)) * math.Pi / 2
		}
		l := Line{Point{rng.Float64()*40 - 20, rng.Float64()*20 - 10}, Point{math.Cos(a), math.Sin(a)}}
		if i%5 == 0 {
			v := m.Vertices[rng.Intn(len(m.Vertices))]
			l = Line{Point{float64(v[0]), float64(v[1])}, Point{0, 1}}
		}
		want, _ = Vertical(m, l)
		got, err := c.At(l)
		if err != nil || !same(got, want) {
			t.Fatalf("line %v: %d rings, want %d (%v)", l, len(got), len(want), err)
		}
		half := rng.Float64()
		off := half * float64(rng.Intn(3)-1)
		beside := Line{Point{l.From[0] - off*l.Dir[1], l.From[1] + off*l.Dir[0]}, l.Dir}
		want, _ = Vertical(m, beside)
		if got, err := c.Slab(l, half).At(beside); err != nil || !same(got, want) {
			t.Fatalf("line %v, %g beside: %d rings, want %d (%v)", l, off, len(got), len(want), err)
		}
	}
}

func TestVerticalOrientation(t *testing.T) {
	p, err := Vertical(box(0, 0, 0, 10, 4, 3), Line{Point{0, 1}, Point{1, 0}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "area", p.Area(), 30, 1e-9)
	b, _ := p.Bounds()
	if b != (Rect{Point{0, 0}, Point{10, 3}}) {
		t.Errorf("bounds %v", b)
	}
}

func TestVolumeFromSections(t *testing.T) {
	const r, n = 10.0, 400
	s := NewSlicer(sphere([3]float64{1, 2, 3}, r, 60))
	v := 0.0
	for i := range n {
		v += mustAt(t, s, 3-r+(float64(i)+0.5)*2*r/n).Area() * 2 * r / n
	}
	near(t, "volume over the ball's", v/(4*math.Pi/3*r*r*r), 1, 0.003)
}

// Many goroutines may cut at once and get what one gets.
func TestConcurrentCuts(t *testing.T) {
	m := sphere([3]float64{0, 0, 0}, 10, 30)
	s, c := NewSlicer(m), NewCutter(m)
	l := Line{Point{1, 2}, Point{0.6, 0.8}}
	wantAt, _ := s.At(3)
	wantCut, _ := c.At(l)
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for range 5 {
				if p, _ := s.At(3); !same(p, wantAt) {
					t.Error("another section at the same height")
				}
				if p, _ := c.At(l); !same(p, wantCut) {
					t.Error("another section by the same plane")
				}
			}
		})
	}
	wg.Wait()
}
