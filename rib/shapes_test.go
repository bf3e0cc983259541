package rib_test

import (
	"math"
	"testing"

	"falsework/mesh"
	mt "falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/union"
)

// A shape is a part that needs ribs, in one word and one solid.
type shape struct {
	name string
	make func() *mesh.Mesh
}

var shapes = []shape{
	{"lintel", func() *mesh.Mesh { // 160 x 105 in a wall of 3
		return mt.Blocks(mt.Add(0, 0, 0, 200, 3, 140), mt.Add(0, -20, 0, 200, 23, 3), mt.Cut(20, 0, 20, 180, 3, 125))
	}},
	{"doorway", func() *mesh.Mesh { // begins at the bed
		return mt.Blocks(mt.Add(0, 0, 0, 160, 3, 120), mt.Cut(20, 0, 0, 140, 3, 100))
	}},
	{"bowed wall", func() *mesh.Mesh {
		m := mt.Blocks(mt.Add(0, 0, 0, 200, 3, 140), mt.Cut(20, 0, 20, 180, 3, 125))
		return mt.Bow(mt.Subdivide(m, 3), 200, 25)
	}},
	{"bent wall", func() *mesh.Mesh { // an L in plan, one window round the corner
		return mt.Blocks(mt.Add(0, 0, 0, 120, 4, 100), mt.Add(0, 0, 0, 4, 120, 100),
			mt.Cut(0, 0, 20, 90, 4, 80), mt.Cut(0, 0, 20, 4, 90, 80))
	}},
	{"roof on two sides", func() *mesh.Mesh {
		return mt.Blocks(mt.Add(0, 0, 0, 120, 80, 63), mt.Cut(3, 0, 3, 117, 80, 60))
	}},
	{"roof on three sides", func() *mesh.Mesh {
		return mt.Blocks(mt.Add(0, 0, 0, 150, 90, 123), mt.Cut(3, 3, 3, 147, 90, 120))
	}},
	{"roof on four sides", func() *mesh.Mesh { // with windows in the walls below
		return mt.Blocks(mt.Add(0, 0, 0, 150, 110, 103), mt.Cut(3, 3, 3, 147, 107, 100),
			mt.Cut(50, 0, 30, 100, 3, 70), mt.Cut(40, 107, 40, 100, 110, 80))
	}},
	{"low roof", func() *mesh.Mesh {
		return mt.Blocks(mt.Add(0, 0, 0, 150, 90, 18), mt.Cut(3, 3, 3, 147, 90, 15))
	}},
	{"roof with a post", func() *mesh.Mesh {
		return mt.Blocks(mt.Add(0, 0, 0, 160, 160, 63), mt.Cut(3, 0, 3, 157, 157, 60), mt.Add(75, 75, 0, 85, 85, 62))
	}},
	{"L-shaped roof", func() *mesh.Mesh {
		return mt.Blocks(mt.Add(0, 0, 0, 160, 160, 63), mt.Cut(3, 3, 3, 157, 77, 60), mt.Cut(3, 3, 3, 77, 157, 60),
			mt.Cut(80, 80, 0, 160, 160, 63), mt.Cut(60, 0, 10, 110, 3, 50))
	}},
	{"round roof with a post", func() *mesh.Mesh {
		// The ring between post and wall is 75 wide: at 70 it would print as it is.
		return mt.Revolve(96, [2]float64{0, 0}, [2]float64{8, 0}, [2]float64{8, 70}, [2]float64{83, 70},
			[2]float64{83, 0}, [2]float64{86, 0}, [2]float64{86, 73}, [2]float64{0, 73})
	}},
	{"slope", func() *mesh.Mesh { // an underside 70 degrees from the vertical
		m := mt.PrismIn(mt.Upright(0, 0, 0), 0, 60, [][2]float64{{0, 0}, {120, 0}, {120, 90}, {0, 90}}, [][2]float64{{5, 5}, {115, 5}, {115, 40}, {5, 80}})
		return m
	}},
	{"shelf", func() *mesh.Mesh {
		return mt.Blocks(mt.Add(0, 0, 0, 120, 4, 80), mt.Add(0, 4, 0, 120, 30, 4), mt.Add(0, 4, 50, 120, 34, 54))
	}},
	{"corner plate", func() *mesh.Mesh {
		return mt.Blocks(mt.Add(0, 0, 0, 60, 4, 60), mt.Add(0, 0, 0, 4, 60, 60), mt.Add(4, 4, 40, 39, 39, 44))
	}},
	{"mushroom", func() *mesh.Mesh {
		return mt.Revolve(72, [2]float64{0, 0}, [2]float64{12, 0}, [2]float64{12, 40}, [2]float64{45, 40}, [2]float64{45, 46}, [2]float64{0, 46})
	}},
	{"balcony", func() *mesh.Mesh { // parallel ribs leave the tips along its free rim hanging
		var disc [][2]float64
		for i := range 49 {
			s, c := math.Sincos(math.Pi * float64(i) / 48)
			disc = append(disc, [2]float64{70 * c, 70 * s})
		}
		return mt.Join(mt.Blocks(mt.Add(-80, -5, 0, 80, 1, 60)), mt.Prism(40, 44, disc))
	}},
	{"round table", func() *mesh.Mesh { // on posts within its rim
		m := mt.Join(mt.Cylinder(60, 4, 72), mt.Move(mt.Cylinder(60, 4, 72), 0, 0, 60))
		for i := range 5 {
			s, c := math.Sincos(float64(i) * math.Pi / 2.5)
			m = mt.Join(m, mt.Move(mt.Cylinder(4, 60, 24), 45*c, 45*s, 2))
		}
		return m
	}},
	{"frame", frame}, // a flange round the opening of a box
	{"collar", func() *mesh.Mesh { // a flange round the outside of one
		return mt.Blocks(mt.Add(0, 0, 0, 100, 80, 80), mt.Add(-15, -15, 50, 115, 95, 54), mt.Cut(3, 3, 3, 97, 77, 80))
	}},
	{"round collar", func() *mesh.Mesh {
		return mt.Revolve(96, [2]float64{26, 0}, [2]float64{30, 0}, [2]float64{30, 50}, [2]float64{48, 50}, [2]float64{48, 55},
			[2]float64{30, 55}, [2]float64{30, 80}, [2]float64{26, 80})
	}},
	{"louvre", func() *mesh.Mesh { return louvre(15, 38) }},
	{"ring on posts", func() *mesh.Mesh { // both of its rims are free
		m := mt.Move(mt.Tube(50, 16, 5, 72), 0, 0, 25)
		for i := range 6 {
			s, c := math.Sincos(float64(i) * math.Pi / 3)
			m = mt.Join(m, mt.Move(mt.Cylinder(4, 26, 24), 43*c, 43*s, 0))
		}
		return m
	}},
	{"island", func() *mesh.Mesh { // a block hanging from a lintel
		return mt.Blocks(mt.Add(0, 0, 0, 80, 20, 90), mt.Cut(10, 0, 5, 70, 20, 80), mt.Add(30, 0, 40, 50, 20, 85))
	}},
	{"skirt", porch}, // hanging from a roof that it holds once it stands on ribs
	{"tall slot", func() *mesh.Mesh {
		return mt.Blocks(mt.Add(0, 0, 0, 120, 4, 230), mt.Add(0, -20, 0, 120, 24, 3), mt.Cut(15, 0, 10, 105, 4, 215))
	}},
	{"arch", func() *mesh.Mesh { // a segmental lintel, 120 wide, rise 15
		var hole [][2]float64
		hole = append(hole, [2]float64{20, 20}, [2]float64{140, 20})
		for i := 0; i <= 24; i++ {
			u := 140 - 5*float64(i)
			x := (u - 80) / 60
			hole = append(hole, [2]float64{u, 90 + 15*math.Sqrt(1-x*x)})
		}
		return mt.PrismIn(mt.Upright(0, 0, 0), 0, 4, [][2]float64{{0, 0}, {160, 0}, {160, 120}, {0, 120}}, hole)
	}},
	{"dome", func() *mesh.Mesh { // a round room under a dome, with a door
		var p [][2]float64
		p = append(p, [2]float64{0, 0}, [2]float64{60, 0}, [2]float64{60, 112}, [2]float64{0, 112})
		for i := 0; i <= 24; i++ {
			a := math.Pi / 2 * (1 - float64(i)/24)
			p = append(p, [2]float64{56 * math.Cos(a), 52 + 56*math.Sin(a)})
		}
		p[4][0] = 0
		p = append(p, [2]float64{56, 3}, [2]float64{0, 3})
		m := mt.Revolve(96, p...)
		r, err := union.Subtract(m, mt.Blocks(mt.Add(-20, -70, 3.1, 20, -30, 60)))
		if err != nil {
			panic(err)
		}
		return r.Mesh
	}},
}

func frame() *mesh.Mesh {
	return mt.Blocks(mt.Add(0, 0, 0, 120, 90, 60), mt.Cut(3, 3, 3, 117, 87, 57), mt.Cut(11, 11, 57, 109, 79, 60))
}

// Slats in a frame: ribs stand on the slope below.
func louvre(slats ...float64) *mesh.Mesh {
	m := mt.Blocks(mt.Add(0, 0, 0, 90, 30, 90), mt.Cut(6, 0, 6, 84, 30, 84))
	for _, z := range slats {
		m = mt.Join(m, mt.PrismIn(mt.Upright(45, 0, 90), -41, 41, [][2]float64{{1, z}, {29, z + 13}, {29, z + 16.2}, {1, z + 3.2}}))
	}
	return m
}

// What stands under a slope may stand on the low side of the slope below it, which
// lies lower than that slope's own highest underside.
func TestSlopesOverSlopes(t *testing.T) {
	p, _ := ribbed(t, louvre(15, 38), nil)
	if n := p.Ribbed(); n != 3 {
		t.Errorf("%d ceilings ribbed, want 3", n)
	}
}

// A flange is carried by short brackets from the wall behind it, not by legs: two to
// a side here, for bays of 40 at most. Each is the band under the flange and a half
// arch of 45 degrees: 8 x 2 + 8 x 8 / 2, by 0.5.
func TestFlangeOnBrackets(t *testing.T) {
	p, _ := ribbed(t, frame(), nil)
	if n := p.Ribbed(); n != 1 {
		t.Fatalf("%d ceilings ribbed, want 1", n)
	}
	for _, c := range p.Ceilings {
		if !c.Ribbed() {
			continue
		}
		if len(c.Ribs) != 8 {
			t.Errorf("%d ribs, want 8: %s", len(c.Ribs), c.Why)
		}
		volume := 0.0
		for _, r := range c.Ribs {
			if r.Legs > 0 || r.Top-r.Bottom > 14 {
				t.Errorf("a rib from %.1f to %.1f with %d legs", r.Bottom, r.Top, r.Legs)
			}
			volume += r.Volume
		}
		if most := 8 * 0.5 * (8*2 + 8*8/2) * 1.1; volume > most {
			t.Errorf("%.0f mm3 of ribs, want at most %.0f", volume, most)
		}
	}
}

// Every shape ends verified, as it is and turned: a few of them by default, all
// with FALSEWORK_LONG set.
func TestShapes(t *testing.T) {
	long := property.Long()
	quick := map[string]bool{"lintel": true, "doorway": true, "roof on three sides": true, "shelf": true, "bent wall": true, "balcony": true, "collar": true}
	for _, s := range shapes {
		if !long && !quick[s.name] {
			continue
		}
		t.Run(s.name, func(t *testing.T) {
			m := s.make()
			if p, _ := ribbed(t, m, nil); p.Ribbed() == 0 {
				t.Error("nothing is ribbed")
			}
			if long {
				t.Run("turned", func(t *testing.T) {
					if p, _ := ribbed(t, mt.TurnZ(m, 27), nil); p.Ribbed() == 0 {
						t.Error("nothing is ribbed")
					}
				})
			}
		})
	}
}
