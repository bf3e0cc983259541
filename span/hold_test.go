package span

import (
	"math"
	"testing"
)

// row makes the rims of a square ring of 10 mm whose first side is held in the
// given stretches.
func row(held ...[2]float64) []rim {
	var out []rim
	at := 0.0
	for _, h := range held {
		if h[0] > at {
			out = append(out, rim{a: Point{at, 0}, b: Point{h[0], 0}})
		}
		out = append(out, rim{a: Point{h[0], 0}, b: Point{h[1], 0}, held: true})
		at = h[1]
	}
	return append(out, rim{a: Point{at, 0}, b: Point{10, 0}}, rim{a: Point{10, 0}, b: Point{10, 10}},
		rim{a: Point{10, 10}, b: Point{0, 10}}, rim{a: Point{0, 10}, b: Point{0, 0}})
}

// Half a bead holds nothing by itself; a bead does, and so does a row of short
// steps.
func TestTicksHoldNothing(t *testing.T) {
	const bead = 0.4
	for _, c := range []struct {
		name string
		held [][2]float64
		left float64
	}{
		{"a tick", [][2]float64{{5, 5.1}}, 0},
		{"less than a bead", [][2]float64{{5, 5.3}}, 0},
		{"a bead", [][2]float64{{5, 5.4}}, 0.4},
		{"a tick at the corner", [][2]float64{{0, 0.2}}, 0},
		{"ticks far apart", [][2]float64{{2, 2.1}, {4, 4.2}, {6, 6.3}}, 0},
		{"a tick beside a wall", [][2]float64{{1, 1.1}, {1.4, 5}}, 3.7},
		{"a row of steps", [][2]float64{{2, 2.25}, {2.45, 2.7}, {2.9, 3.15}}, 0.75},
		{"a sparse row", [][2]float64{{2, 2.1}, {2.4, 2.5}, {2.8, 2.9}}, 0},
		{"a long hold", [][2]float64{{1, 9}}, 8},
	} {
		for turn := range 3 {
			rims := row(c.held...)
			k := turn * len(rims) / 3
			rims = append(rims[k:len(rims):len(rims)], rims[:k]...)
			dropTicks(rims, bead)
			left := 0.0
			for _, r := range rims {
				if r.held {
					left += r.length()
				}
			}
			if math.Abs(left-c.left) > 1e-9 {
				t.Errorf("%s, begun at rim %d: %.2f mm are held, want %.2f", c.name, k, left, c.left)
			}
		}
	}
}
