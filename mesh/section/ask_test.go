package section

import (
	"math"
	"math/rand"
	"testing"
)

func TestSpans(t *testing.T) {
	frame := Subtract(rect(0, 0, 10, 10), rect(3, 3, 7, 7))
	for _, c := range []struct {
		l    Line
		want [][2]float64
	}{
		{Line{Point{0, 5}, Point{1, 0}}, [][2]float64{{0, 3}, {7, 10}}},
		{Line{Point{5, 5}, Point{0, 1}}, [][2]float64{{-5, -2}, {2, 5}}},
		{Line{Point{0, 1}, Point{1, 0}}, [][2]float64{{0, 10}}},
		{Line{Point{0, 11}, Point{1, 0}}, nil},
		// Along a side, the line passes just right of it.
		{Line{Point{10, 0}, Point{-1, 0}}, [][2]float64{{0, 10}}},
		{Line{Point{0, 0}, Point{1, 0}}, nil},
		{Line{Point{20, 3}, Point{1, 0}}, [][2]float64{{-20, -10}}},
		{Line{Point{20, 3}, Point{-1, 0}}, [][2]float64{{10, 13}, {17, 20}}},
	} {
		got := frame.Spans(c.l)
		if len(got) != len(c.want) {
			t.Errorf("%v: %v, want %v", c.l, got, c.want)
			continue
		}
		for i := range got {
			if got[i] != c.want[i] {
				t.Errorf("%v: %v, want %v", c.l, got, c.want)
			}
		}
	}
	// The middle of every span is inside, the middle of every gap outside.
	rng := rand.New(rand.NewSource(5))
	for range 500 {
		p := randomRings(rng, 3, 7, 20)
		a := rng.Float64() * 7
		l := Line{Point{rng.Float64() * 20, rng.Float64() * 20}, Point{math.Cos(a), math.Sin(a)}}
		end := math.Inf(-1)
		for _, s := range p.Spans(l) {
			if s[1]-s[0] > 1e-9 && !p.Contains(along(l.From, l.Dir, (s[0]+s[1])/2)) {
				t.Fatalf("%v: %v is not inside", p, s)
			}
			if s[0]-end > 1e-6 && end > -100 && p.Contains(along(l.From, l.Dir, (s[0]+end)/2)) {
				t.Fatalf("%v: inside before %v", p, s)
			}
			end = s[1]
		}
	}
}

func TestClipLine(t *testing.T) {
	frame := Subtract(rect(0, 0, 10, 10), rect(3, 3, 7, 7))
	got := frame.ClipLine([]Point{{-1, 1}, {1, 1}, {1, 5}, {20, 5}})
	want := [][]Point{{{0, 1}, {1, 1}, {1, 5}, {3, 5}}, {{7, 5}, {10, 5}}}
	if len(got) != len(want) {
		t.Fatalf("%v", got)
	}
	for i := range want {
		if len(got[i]) != len(want[i]) {
			t.Fatalf("part %d: %v", i, got[i])
		}
		for k := range want[i] {
			if got[i][k] != want[i][k] {
				t.Errorf("part %d: %v", i, got[i])
			}
		}
	}
}

func TestNearestAndInside(t *testing.T) {
	frame := Subtract(rect(0, 0, 10, 10), rect(3, 3, 7, 7))
	if at, d := frame.Nearest(Point{5, 4}); d != 1 || at != (Point{5, 3}) {
		t.Errorf("nearest %v at %g", at, d)
	}
	if _, d := (Polygons)(nil).Nearest(Point{}); !math.IsInf(d, 1) {
		t.Errorf("nothing is %g away", d)
	}
	q, ok := frame.Inside()
	if _, d := frame.Nearest(q); !ok || !frame.Contains(q) || d < 1 {
		t.Errorf("inside point %v, %g from the border", q, d)
	}
	if _, ok := (Polygons)(nil).Inside(); ok {
		t.Error("a point inside nothing")
	}
	if n := len(frame.Sample(0.5)); n < 320 || n > 370 { // 84 mm2 in quarters, and the borders
		t.Errorf("%d samples", n)
	}
}

func TestComponents(t *testing.T) {
	// A frame, a smaller frame in its hole, a block in that, and one apart.
	p := UnionAll(Subtract(rect(0, 0, 20, 20), rect(2, 2, 18, 18)),
		Subtract(rect(4, 4, 16, 16), rect(6, 6, 14, 14)), rect(8, 8, 12, 12), rect(30, 0, 31, 1))
	parts := p.Components()
	want := []float64{400 - 256, 144 - 64, 16, 1}
	if len(parts) != len(want) {
		t.Fatalf("%d parts", len(parts))
	}
	for i, c := range parts {
		near(t, "part", c.Area(), want[i], 1e-9)
	}
	// A hole that touches the border from inside belongs to its ring; a bar
	// from border to border makes two parts.
	if c := Subtract(rect(0, 0, 4, 4), Polygons{{{0, 2}, {1, 1}, {1, 3}}}).Components(); len(c) != 1 || len(c[0]) != 2 {
		t.Errorf("touching hole: %v", c)
	}
	if c := Subtract(rect(0, 0, 4, 4), Polygons{{{0, 2}, {2, 1}, {4, 2}, {2, 3}}}).Components(); len(c) != 2 {
		t.Errorf("a hole from border to border: %v", c)
	}
}

func TestSimplify(t *testing.T) {
	var r Path
	for i := range 2000 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 2000)
		r = append(r, Point{50 * c, 50 * s})
	}
	p := Polygons{r}
	s := Simplify(p, 0.01)
	if len(s) != 1 || len(s[0]) > 300 {
		t.Errorf("%d points left", s.Points())
	}
	for _, q := range r {
		if _, d := s.Nearest(q); d > 0.0101 {
			t.Fatalf("%v is %g off", q, d)
		}
	}
	near(t, "area", s.Area(), p.Area(), 0.01*p.Perimeter())
	// A long sliver and points on straight sides are nothing to keep.
	step := GridFor(100).Step()
	c := Clean(Union(Polygons{{{0, 0}, {50, step / 2}, {100, 0}, {100, 100}, {0, 100}}}, rect(200, 0, 200+step, 50)))
	if len(c) != 1 || len(c[0]) != 4 {
		t.Errorf("cleaned: %v", c)
	}
}

func TestRasterAgainstContains(t *testing.T) {
	rng := rand.New(rand.NewSource(6))
	for range 300 {
		p := randomRings(rng, 1+rng.Intn(4), 3+rng.Intn(8), 30)
		bounds := Rect{Point{rng.Float64()*10 - 5, rng.Float64()*10 - 5}, Point{20 + rng.Float64()*15, 20 + rng.Float64()*15}}
		m := Raster(p, 0.1+rng.Float64(), bounds)
		for j := range m.H {
			for i := range m.W {
				if q := m.Middle(i, j); m.At(i, j) != p.Contains(q) {
					t.Fatalf("%v: cell %d, %d at %v is %v", p, i, j, q, m.At(i, j))
				}
			}
		}
	}
}

func TestRasterBorders(t *testing.T) {
	// Middles on the borders of a unit square: left and lower are inside.
	m := Raster(rect(0.5, 0.5, 2.5, 2.5), 1, Rect{Point{0, 0}, Point{4, 4}})
	if m.Count() != 4 || !m.At(0, 0) || !m.At(1, 1) || m.At(2, 2) {
		t.Errorf("%d cells", m.Count())
	}
	if m := Raster(rect(0, 0, 200, 200), 1, Rect{Point{0, 0}, Point{200, 200}}); m.Count() != 40000 {
		t.Errorf("%d of 40000 cells", m.Count())
	}
	if m := NewMask(Rect{Point{0, 0}, Point{1e9, 1e9}}, 0.001); m.W != 0 || m.At(0, 0) {
		t.Error("a mask beyond all bounds")
	}
}

func TestSlicerRaster(t *testing.T) {
	m := join(sphere([3]float64{0, 0, 0}, 10, 12), box(-20, -3, -5, 20, 3, 30))
	s := NewSlicer(m)
	bounds := Rect{Point{-21, -11}, Point{21, 11}}
	for _, z := range []float64{-9.7, -3.1, 0.02, 4, 8.8, 20} {
		a, b := s.Raster(z, 0.1, bounds), Raster(mustAt(t, s, z), 0.1, bounds)
		off := 0
		for j := range a.H {
			for i := range a.W {
				if a.At(i, j) != b.At(i, j) {
					// Rounding to the grid may move a border past a middle.
					if _, d := mustAt(t, s, z).Nearest(a.Middle(i, j)); d > 1e-5 {
						off++
					}
				}
			}
		}
		if off > 0 {
			t.Errorf("z = %g: %d cells differ", z, off)
		}
	}
}
