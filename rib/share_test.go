package rib

import (
	"math"
	"math/rand"
	"testing"

	"falsework/mesh/section"
)

// Two regions share area exactly when their overlay has some: apart, crossing,
// one in the other or in its hole, corner on side, side on side, off by less than
// the grid.
func TestShareIsWhatTheOverlaySays(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	rect := func(x0, y0, x1, y1 float64) section.Polygons {
		return section.Polygons{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}}
	}
	frame := section.Subtract(rect(0, 0, 100, 100), rect(20, 20, 80, 80))
	count := map[bool]int{}
	check := func(p, q section.Polygons) {
		t.Helper()
		want := len(section.Intersect(p, q)) > 0
		count[want]++
		if share(p, q) != want || share(q, p) != want {
			t.Fatalf("%v and %v: share %v and %v, want %v", p, q, share(p, q), share(q, p), want)
		}
	}
	for _, q := range []section.Polygons{rect(30, 30, 70, 70), rect(-9, -9, 109, 109), rect(5, 5, 15, 15), rect(20, 20, 80, 80),
		rect(100, 0, 110, 50), rect(100-1e-7, 0, 110, 50), rect(100-1e-5, 0, 110, 50), rect(100+1e-8, 0, 110, 50), rect(40, -5, 60, 105)} {
		check(frame, q)
	}
	for range 4000 {
		a := heading(rng.Float64() * 2 * math.Pi)
		if rng.Intn(3) == 0 {
			a = section.Point{1, 0}
		}
		from := section.Point{math.Round(140*rng.Float64() - 20), math.Round(140*rng.Float64() - 20)}
		q := section.Polygons{bar(axis{from, a}, stretch{0, 1 + math.Round(40*rng.Float64())}, 1+math.Round(6*rng.Float64()))}
		check(frame, q)
		check(section.Offset(q, 1, section.Miter), section.Polygons{bar(axis{from, heading(rng.Float64() * 6)}, stretch{3, 30}, 3.5)})
	}
	if count[true] < 500 || count[false] < 500 {
		t.Errorf("%v", count)
	}
}
