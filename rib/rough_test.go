package rib

import (
	"math"
	"testing"

	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/section"

	"pgregory.net/rapid"
)

// A rail passes within its tolerance of every point it was given, and begins
// and ends with the first and the last.
func TestRailKeepsNearItsPoints(t *testing.T) {
	property.Check(t, func(t *rapid.T) {
		var l rail
		var given section.Path
		u, z := 0.0, 0.0
		for range rapid.IntRange(2, 40).Draw(t, "points") {
			given = append(given, section.Point{u, z})
			l.add(given[len(given)-1])
			u += rapid.Float64Range(0.1, 2).Draw(t, "run")
			z += rapid.SampledFrom([]float64{0, 0, 0.03, -0.05, 0.7, -1}).Draw(t, "rise")
		}
		got := l.points()
		if got[0] != given[0] || got[len(got)-1] != given[len(given)-1] {
			t.Fatalf("%v of %v", got, given)
		}
		k := 0
		for _, q := range given {
			for got[k+1][0] < q[0] {
				k++
			}
			a, b := got[k], got[k+1]
			if at := a[1] + (b[1]-a[1])*(q[0]-a[0])/(b[0]-a[0]); math.Abs(at-q[1]) > roughTol+1e-9 {
				t.Fatalf("%v is passed at %v by %v", q, at, got)
			}
		}
	})
}

// A rough section differs from the exact one by less than a cell along its
// upright borders and a tenth of a millimetre along the others.
func TestRoughSectionIsNearTheExactOne(t *testing.T) {
	part := meshtest.Blocks(meshtest.Add(0, 0, 0, 130, 90, 70), meshtest.Cut(3, 3, 3, 127, 87, 67), meshtest.Cut(20, -1, 10, 105, 4, 50),
		meshtest.Add(60, 40, 2, 70, 50, 30), meshtest.Add(2, 60, 40, 20, 88, 44))
	for _, m := range []struct {
		name string
		deg  float64
	}{{"straight", 0}, {"turned", 31}} {
		part := meshtest.TurnZ(part, m.deg)
		p := newProbes(part, 0.5)
		c := section.NewCutter(part)
		for _, v := range []float64{8, 30, 44.7, 62} {
			d := heading(m.deg * math.Pi / 180)
			a := axis{section.Point{3*d[0] - v*d[1], 3*d[1] + v*d[0]}, d}
			r := ribLine{axis: a, under: stretch{0, 124}}
			exact, err := c.At(a.line())
			if err != nil {
				t.Fatal(err)
			}
			window := section.Polygons{{{-roughWay, -1}, {124 + roughWay, -1}, {124 + roughWay, 71}, {-roughWay, 71}}}
			exact = section.Intersect(exact, window)
			upright, level := 0.0, 0.0
			for _, ring := range exact {
				for i, q := range ring {
					r := ring[(i+1)%len(ring)]
					upright, level = upright+math.Abs(r[1]-q[1]), level+math.Abs(r[0]-q[0])
				}
			}
			off := section.Xor(section.Nonzero(p.rough(r)), exact).Area()
			if most := upright*p.cell + level*roughTol; off > most {
				t.Errorf("%s at %g: %.1f mm2 off, at most %.1f of %.0f", m.name, v, off, most, exact.Area())
			}
			if len(exact) == 0 {
				t.Errorf("%s at %g: nothing is cut", m.name, v)
			}
		}
	}
}
