package span

import (
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/section"
)

// winding is a post of radius 5 with stairs round it out to radius 20: steps of
// 18 degrees, each 2 thick and 1 above the one before, beginning at each of the
// directions given, under a lid.
func winding(steps int, from ...float64) *mesh.Mesh {
	all := []*mesh.Mesh{meshtest.Prism(0, 14+float64(steps), meshtest.Circle(0, 0, 5, 64))}
	at := func(r, deg float64) [2]float64 {
		a := deg * math.Pi / 180
		return [2]float64{r * math.Cos(a), r * math.Sin(a)}
	}
	for _, f := range from {
		for i := range steps {
			var w [][2]float64
			for k := range 7 {
				w = append(w, at(20, f+18*float64(i)-0.1+18.2*float64(k)/6))
			}
			for k := 6; k >= 0; k-- {
				w = append(w, at(4, f+18*float64(i)-0.1+18.2*float64(k)/6))
			}
			z := 10 + float64(i)
			all = append(all, meshtest.Prism(z, z+2, w))
		}
	}
	return meshtest.Join(all...)
}

// The first step of a winding stair stands out as far as the stair is wide. Of
// each further one the step before carries 1, its rise, so that the outer corner
// in front is the furthest: as far from the post's edge on the step before, less
// that. A chart of a whole turn has a first step, too. Every ceiling hangs together.
func TestWindingCeilings(t *testing.T) {
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		most int // ceilings: a turn or so each
	}{
		{"less than a turn", winding(15, 0), 1},
		{"two turns", winding(40, 0), 3},
		{"two turns and a half", winding(50, 0), 4},
		{"two stairs under one lid", meshtest.Join(winding(20, 0, 180), meshtest.Prism(31, 34, meshtest.Circle(0, 0, 20, 64))), 6},
	} {
		for _, turn := range []float64{0, 40} {
			s := survey(t, meshtest.TurnZ(c.m, turn), coarse())
			if n := len(s.Ceilings); n < 1 || n > c.most {
				t.Errorf("%s: %d ceilings:%s", c.name, n, list(s))
			}
			for _, x := range s.Ceilings {
				least, most := math.Sqrt(20*20+5*5-2*20*5*math.Cos(18*math.Pi/180))-1, 15.0
				if x.Z[0] < 10.1 {
					least = most
				}
				if !x.NeedsRibs || x.Kind != Ledge || x.Reach < least-0.3 || x.Reach > most+0.1 {
					t.Errorf("%s: ceiling %d:%s", c.name, x.ID, list(s))
				}
				together(t, c.name, x)
			}
		}
	}
}

// together holds a ceiling to be one piece in plan.
func together(t *testing.T, name string, c Ceiling) {
	t.Helper()
	n := 0
	for _, p := range components(section.Offset(c.Footprint, 0.2, section.Miter)) {
		if p.Area() > 0.2 {
			n++
		}
	}
	if n != 1 {
		t.Errorf("%s: ceiling %d is %d pieces apart", name, c.ID, n)
	}
}
