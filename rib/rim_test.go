package rib

import (
	"math"
	"testing"

	"falsework/mesh/section"
)

// Chords stay within what they may stray to either side, and are few: on a
// circle each spans what the sagitta allows (sagitta = chord^2 / 8 radius, nearly).
func TestCornersOfRims(t *testing.T) {
	const radius, stray = 60.0, 1.0
	for _, side := range []float64{1, -1} { // the ceiling within the bend, and around it
		var run []section.Point
		for i := range 181 {
			s, c := math.Sincos(math.Pi * float64(i) / 180)
			run = append(run, section.Point{radius * c, side * radius * s})
		}
		left, right := 0.0, 0.0
		if side > 0 {
			left = stray
		} else {
			right = stray
		}
		at := evenCorners(run, left+1e-9, right+1e-9)
		want := math.Ceil(math.Pi * radius / math.Sqrt(8*radius*stray))
		if n := float64(len(at) - 1); n < want || n > want+1 {
			t.Errorf("side %g: %g chords, not %g", side, n, want)
		}
		for k := 1; k < len(at); k++ {
			d, _ := unit(run[at[k-1]], run[at[k]])
			for i := at[k-1]; i <= at[k]; i++ {
				if x := (axis{run[at[k-1]], d}).left(run[i]) * -side; x > stray+1e-6 || x < -1e-6 {
					t.Fatalf("side %g: point %d is %g beside its chord", side, i, x)
				}
			}
		}
		if got := evenCorners(run, 0.01, 0.01); len(got) < 10*len(at)/2 {
			t.Errorf("a hundredth of the way to stray takes %d chords", len(got)-1)
		}
	}
}
