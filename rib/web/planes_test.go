package web

import (
	"errors"
	"math"
	"testing"

	"falsework/mesh/section"
)

// turned is a roof whose wall stands oblique to the web: its face lies
// differently on the three planes.
func turned(degrees float64) Site {
	s := roof(80, 120)
	for k := range 3 {
		d := float64(k-1) * s.Settings.Width / 2 * math.Tan(degrees*math.Pi/180)
		d = snap(d)
		s.Sections[k] = section.Polygons{{{-5 + d, -3}, {80 + d, -3}, {80 + d, 0}, {d, 0}, {d, 120}, {80 + d, 120}, {80 + d, 123}, {-5 + d, 123}}}
	}
	return s
}

// Where a web holds on an oblique wall it enters it by the embed over its whole
// thickness; no face of it misses the wall by a hair.
func TestObliqueWall(t *testing.T) {
	for _, a := range []float64{0, 5, 27, 45, 60} {
		s := turned(a)
		s.Grounded = func(u, z float64) bool { return s.Sections[1].Contains(section.Point{u, z}) }
		w, err := Shape(s)
		if err != nil {
			t.Fatal(err)
		}
		if len(w.Springings) != 1 {
			t.Fatalf("%g degrees: %s", a, w.Scheme)
		}
		sp := w.Springings[0]
		for k := range 3 {
			face := snap(float64(k-1) * s.Settings.Width / 2 * math.Tan(a*math.Pi/180))
			row := crossings(w.Outline, (sp.Z[0]+sp.Z[1])/2, 1, 1, -100, 100)[0]
			if in := face - row[0]; in < s.Settings.Embed-2e-3 {
				t.Errorf("%g degrees: enters the wall by %.3f on plane %d", a, in, k)
			}
		}
		lo, _ := bounds(w.Outline)
		deep := snap(s.Settings.Width / 2 * math.Tan(a*math.Pi/180))
		if lo[0] < -deep-s.Settings.Embed-0.01 {
			t.Errorf("%g degrees: goes %.3f deep", a, -lo[0])
		}
	}
}

// A wall that runs beside the web, cut by one of its faces only, is kept off.
//
//	on the planes at -w/2 and 0       at +w/2
//	###########                       ###########
//	#                                 #  ########
//	#                                 #  ########
//	###########                       ###########
func TestParallelWallIsNotGrazed(t *testing.T) {
	s := roof(80, 120)
	wall := section.Union(s.Sections[2], section.Polygons{rect(40, -1, 70, 90)})
	s.Sections[2] = wall
	w, err := Shape(s)
	if err != nil {
		t.Fatal(err)
	}
	if a := section.Intersect(w.Outline, section.Polygons{rect(40, 0, 70, 90)}).Area(); a > 0 {
		t.Errorf("%.3f mm2 inside the wall beside it", a)
	}
	for _, l := range w.Landings {
		if l.Z > 1 {
			t.Errorf("lands on the edge of the wall beside it at %.1f %.1f", l.U[0], l.Z)
		}
	}
}

// A wall that ends within the thickness of the web holds nothing: the web would
// stick out of its end.
func TestWallEndHoldsNothing(t *testing.T) {
	s := roof(60, 80)
	s.Sections[2] = section.Polygons{rect(-3, -3, 60, 0), rect(-3, 80, 60, 83)}
	w, err := Shape(s)
	if err != nil {
		if !errors.Is(err, ErrStand) && !errors.Is(err, ErrGraze) {
			t.Fatal(err)
		}
		return
	}
	if len(w.Springings) > 0 {
		t.Errorf("springs from it: %s", w.Scheme)
	}
	if lo, _ := bounds(w.Outline); lo[0] < 0.3 {
		t.Errorf("comes to %.2f of its face", lo[0])
	}
}

// An oblique web stands on a floor that slopes across it: the floor's height on
// its own plane is lower than on the face uphill, and what is asked to be
// grounded must lie in the part.
//
//	######
//	    /   the floor rises 42 degrees, and a third of a millimetre more on
//	   /    each face than on the one before
func TestStandsOnAFloorThatSlopesAcross(t *testing.T) {
	var s Site
	for k := range 3 {
		d := 0.3 * float64(k-1)
		s.Sections[k] = section.Union(section.Polygons{rect(0, 45, 40, 48), {{-1, -3}, {30, -3}, {30, 30 + d + 13.5}, {15, 30 + d}, {-1, 30 + d}}}, nil)
	}
	s.Settings = DefaultSettings()
	s.Under = []Interval{iv(0, 29, 45, 45, false, false)}
	s.Grounded = func(u, z float64) bool { return s.Sections[1].Contains(section.Point{u, z}) }
	w, err := Shape(s)
	if err != nil {
		t.Fatal(err)
	}
	if len(w.Landings) == 0 {
		t.Errorf("%s lands nowhere", w.Scheme)
	}
}
