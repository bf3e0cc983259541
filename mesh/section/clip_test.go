package section

import (
	"math"
	"math/rand"
	"testing"
)

func rect(x0, y0, x1, y1 float64) Polygons {
	return Polygons{Rect{Point{x0, y0}, Point{x1, y1}}.Ring()}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g (within %g)", what, got, want, tol)
	}
}

func TestClipSquares(t *testing.T) {
	a, b := rect(0, 0, 4, 4), rect(2, 1, 6, 3)
	near(t, "union", Union(a, b).Area(), 20, 0)
	near(t, "intersection", Intersect(a, b).Area(), 4, 0)
	near(t, "difference", Subtract(a, b).Area(), 12, 0)
	near(t, "xor", Xor(a, b).Area(), 16, 0)
	if u := Union(a, rect(4, 0, 8, 4)); len(u) != 1 || len(u[0]) != 4 {
		t.Errorf("squares side by side give %v", u)
	}
	if d := Subtract(a, rect(1, 1, 2, 2)); len(d) != 2 {
		t.Errorf("a hole gives %d rings", len(d))
	}
	if d := Subtract(a, a); len(d) != 0 {
		t.Errorf("a minus a = %v", d)
	}
	if d := Subtract(a, rect(0, 1, 2, 2)); len(d) != 1 || len(d[0]) != 8 {
		t.Errorf("a notch gives %v", d)
	}
	// Corner to corner: two rings that touch.
	if d := Union(a, rect(4, 4, 5, 5)); len(d) != 2 {
		t.Errorf("squares corner to corner give %v", d)
	}
	// A hole that touches the border in one point stays a ring of its own.
	if d := Subtract(a, Polygons{{{0, 2}, {1, 1}, {1, 3}}}); len(d) != 2 {
		t.Errorf("a hole on the border gives %v", d)
	}
}

// randomRings makes crossing rings with corners on a coarse grid, where
// degeneracy is everywhere.
func randomRings(rng *rand.Rand, rings, points, size int) Polygons {
	var p Polygons
	for range rings {
		var r Path
		for range points {
			r = append(r, Point{float64(rng.Intn(size)), float64(rng.Intn(size))})
		}
		p = append(p, r)
	}
	return p
}

func TestClipAgainstPointTests(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 600 {
		a := randomRings(rng, 1+rng.Intn(2), 3+rng.Intn(6), 4+rng.Intn(6))
		b := randomRings(rng, 1+rng.Intn(2), 3+rng.Intn(6), 4+rng.Intn(6))
		results := []struct {
			name string
			p    Polygons
			in   func(x, y bool) bool
		}{
			{"union", Union(a, b), func(x, y bool) bool { return x || y }},
			{"intersect", Intersect(a, b), func(x, y bool) bool { return x && y }},
			{"subtract", Subtract(a, b), func(x, y bool) bool { return x && !y }},
			{"xor", Xor(a, b), func(x, y bool) bool { return x != y }},
		}
		for range 40 {
			// An irrational offset keeps the probes off every border.
			q := Point{float64(rng.Intn(60))/6 + 0.0317, float64(rng.Intn(60))/6 + 0.0713}
			x, y := a.Contains(q), b.Contains(q)
			for _, r := range results {
				if got := r.p.Contains(q); got != r.in(x, y) {
					t.Fatalf("%s of %v and %v at %v: %v\nresult %v", r.name, a, b, q, got, r.p)
				}
			}
		}
		for _, r := range results {
			validate(t, r.name, r.p)
		}
		ai, bi := Union(a, nil).Area(), Union(b, nil).Area()
		near(t, "inclusion and exclusion", results[0].p.Area()+results[1].p.Area(), ai+bi, 1e-5)
	}
}

// validate checks the promises of Polygons: oriented simple rings that do not
// cross. It looks at every pair of sides.
func validate(t *testing.T, what string, p Polygons) {
	t.Helper()
	g := GridFor(reach(p))
	scale := 1 / g.Step()
	type seg struct{ a, b ipt }
	var all []seg
	for i, r := range p {
		if len(r) < 3 {
			t.Fatalf("%s: ring %d has %d points", what, i, len(r))
		}
		seen := map[Point]bool{}
		for k, q := range r {
			if seen[q] {
				t.Fatalf("%s: ring %d comes twice to %v", what, i, q)
			}
			seen[q] = true
			all = append(all, seg{g.snap(q, scale), g.snap(r[next(k, len(r))], scale)})
		}
		// A point just left of the first side is inside, just right outside.
		if r.Area() == 0 {
			t.Fatalf("%s: ring %d has no area", what, i)
		}
	}
	for i := range all {
		for j := range i {
			e, f := edge{a: all[i].a, b: all[i].b}, edge{a: all[j].a, b: all[j].b}
			if _, ok := crossing(&e, &f); ok {
				t.Fatalf("%s: sides cross in %v", what, p)
			}
		}
	}
	w := Nonzero(p)
	if math.Abs(w.Area()-p.Area()) > 1e-6*(1+math.Abs(p.Area())) {
		t.Fatalf("%s: area %g, by winding %g", what, p.Area(), w.Area())
	}
}

func TestOffsetSteiner(t *testing.T) {
	sq := rect(0, 0, 30, 20)
	for _, r := range []float64{0.1, 1, 5} {
		grown := Offset(sq, r, Round)
		want := 600 + 100*r + math.Pi*r*r
		near(t, "round", grown.Area(), want, 2*math.Pi*r*ArcTolerance)
		near(t, "miter", Offset(sq, r, Miter).Area(), (30+2*r)*(20+2*r), 1e-4)
		near(t, "shrunk", Offset(sq, -r, Miter).Area(), (30-2*r)*(20-2*r), 1e-4)
		near(t, "shrunk round", Offset(sq, -r, Round).Area(), (30-2*r)*(20-2*r), 1e-4)
	}
	if s := Offset(sq, -10.0001, Miter); len(s) != 0 {
		t.Errorf("shrunk away leaves %v", s)
	}
	ring := Subtract(rect(0, 0, 30, 20), rect(5, 5, 25, 15))
	near(t, "frame grown", Offset(ring, 1, Miter).Area(), 32*22-18*8, 1e-4)
	near(t, "frame shrunk", Offset(ring, -1, Miter).Area(), 28*18-22*12, 1e-4)
	near(t, "frame closed", Offset(ring, 5.1, Miter).Area(), 40.2*30.2, 1e-4)
	// Opening by a disc of radius r rounds four corners and drops a tongue
	// of height h, but for the segment of the disc that pokes into its root.
	r, h := 0.2, 0.3
	poke := r*r*math.Asin(h/2/r) - h/2*math.Sqrt(r*r-h*h/4)
	near(t, "opened", OpenBy(Union(sq, rect(30, 5, 40, 5+h)), 2*r).Area(), 600-(4-math.Pi)*r*r+poke, 0.001)
}

// Regions that share many borders, some of them only in part.
func TestGrowthIsSubtract(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	for i := range 400 {
		a := Nonzero(randomRings(rng, 1+i%4, 3+i%6, 12))
		more := Nonzero(randomRings(rng, 1+i%3, 3+i%3, 12))
		for _, b := range []Polygons{more, Union(a, more), Subtract(a, more), Intersect(a, more), a, nil} {
			got, want := Growth(a, b), Subtract(a, b)
			if d := Xor(got, want).Area(); !(d < 1e-4) || math.Abs(got.Area()-want.Area()) > 1e-4 {
				t.Fatalf("%d: growth of area %g, difference %g", i, got.Area(), want.Area())
			}
		}
	}
}
