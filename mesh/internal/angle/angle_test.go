package angle

import (
	"math"
	"testing"
)

func TestSincos(t *testing.T) {
	quarters := [][2]float64{{0, 1}, {1, 0}, {0, -1}, {-1, 0}}
	for k := -9; k < 10; k++ {
		want := quarters[((k%4)+4)%4]
		if s, c := Sincos(90 * float64(k)); s != want[0] || c != want[1] {
			t.Errorf("%d right angles: %v, %v, want %v exactly", k, s, c, want)
		}
	}
	for _, deg := range []float64{-721.5, -30, 1e-9, 27, 359.999, 1e6 + 0.25} {
		s, c := Sincos(deg)
		if ws, wc := math.Sincos(deg * math.Pi / 180); math.Abs(s-ws) > 1e-9 || math.Abs(c-wc) > 1e-9 {
			t.Errorf("%v degrees: %v, %v, want %v, %v", deg, s, c, ws, wc)
		}
	}
}
