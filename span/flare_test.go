package span

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// flareOf is a block that flares out all round by so many degrees from the
// vertical, its corners rounded to a micron as files have them.
func flareOf(r *rand.Rand, foot, lean float64, sides int) *mesh.Mesh {
	const rise = 4.0
	m := meshtest.Revolve(sides, [2]float64{0, 0}, [2]float64{foot, 0}, [2]float64{foot, 3},
		[2]float64{foot + rise*math.Tan(lean*math.Pi/180), 3 + rise}, [2]float64{0, 3 + rise})
	m = meshtest.TurnZ(m, 90*r.Float64())
	return meshtest.Warp(m, func(p [3]float64) [3]float64 {
		return [3]float64{math.Round(p[0]*1e3) / 1e3, math.Round(p[1]*1e3) / 1e3, p[2]}
	})
}

// A flare of just the slope that prints needs no look, however rounding has bent
// it; one that leans more needs one in all of its layers.
func TestFlaresAreNotCut(t *testing.T) {
	s := Defaults()
	r := rand.New(rand.NewPCG(4, 1))
	for _, lean := range []float64{40, 44.9, 45, 45.5, 50} {
		m := flareOf(r, 100, lean, 96)
		st := newStack(m.Bounds(), s)
		a, err := findActivity(t.Context(), m, m.Bounds(), st, s.Slope)
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for k := st.of(3) + 2; k < st.of(7)-1; k++ {
			if a.hang[k] {
				n++
			}
		}
		if lean <= 45 && n > 0 || lean > 45 && n < 15 {
			t.Errorf("%g degrees: %d layers are looked at", lean, n)
		}
	}
}

// What is passed over hangs nowhere: edges that are hardly keels, some of them
// swallowed by a block.
func TestFlaresSkippedChangeNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 2))
	at := func(far float64) float64 { return far * (2*r.Float64() - 1) }
	for i := range 24 {
		m := flareOf(r, 8, 44.8+0.5*r.Float64(), 6+r.IntN(60))
		if i%2 == 1 {
			x, y := at(9), at(9)
			m = meshtest.Join(m, meshtest.TurnZ(meshtest.Blocks(add(x, y, 0, x+1+4*r.Float64(), y+1+4*r.Float64(), 2+5*r.Float64())), at(90)))
		}
		if i%3 == 0 {
			m = meshtest.Turn(m, [3]float64{at(1), at(1), 0}, 0.2*r.Float64())
		}
		agree(t, fmt.Sprint("flare ", i), survey(t, m, Defaults()), plain(t, m, Defaults()))
	}
}
