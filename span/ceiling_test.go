package span

import (
	"math"
	"testing"

	"falsework/mesh/section"
)

// Rounding leaves sides of a micron at corners, and they lie anyhow.
func TestOutwardOfSidesShorterThanAHair(t *testing.T) {
	square := section.Path{{0, 0}, {10, 0}, {10 + 1e-6, 1e-6}, {10, 2e-6}, {10, 10}, {0, 10}}
	for _, c := range []struct {
		side int
		want Point
	}{
		{0, Point{0, -1}},
		{1, Point{math.Sqrt2 / 2, -math.Sqrt2 / 2}},
		{2, Point{math.Sqrt2 / 2, -math.Sqrt2 / 2}},
		{3, Point{1, 0}},
		{5, Point{-1, 0}},
	} {
		if n := outward(square, c.side); distance(n, c.want) > 1e-3 {
			t.Errorf("side %d looks to %v, want %v", c.side, n, c.want)
		}
	}
	// A fine curve keeps its own directions.
	var disc section.Path
	for i := range 2000 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 2000)
		disc = append(disc, Point{2 * c, 2 * s})
	}
	for i := range disc {
		s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / 2000)
		if n := outward(disc, i); distance(n, Point{c, s}) > 1e-6 {
			t.Fatalf("side %d of a disc looks to %v, want %v", i, n, Point{c, s})
		}
	}
}
