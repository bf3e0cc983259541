package web

import (
	"math"
	"testing"

	"falsework/mesh/section"
)

// Every underside in the open leans at least a degree less than the slope
// limit: flanks at the very limit would be found again by the next survey.
func TestFlanksKeepAMargin(t *testing.T) {
	for _, slope := range []float64{45, 40, 50} {
		for _, sc := range scenes() {
			sc.site.Settings.Slope = slope
			w, err := Shape(sc.site)
			if err != nil {
				continue
			}
			in := section.Offset(sc.site.Sections[1], 0.05, section.Miter)
			for _, r := range w.Outline {
				for i, a := range r {
					b := r[(i+1)%len(r)]
					run, rise := b[0]-a[0], math.Abs(b[1]-a[1])
					mid := section.Point{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
					if run <= 2e-3 || in.Contains(mid) || mid[1] <= sc.site.Settings.Bed {
						continue // not an underside, or one that rests
					}
					if lean := math.Atan2(run, rise) * 180 / math.Pi; lean > slope-1+0.3 {
						t.Errorf("%s at %g: underside from %.3f to %.3f leans %.2f", sc.name, slope, a, b, lean)
					}
				}
			}
		}
	}
}

// Springings and landings are in the part, by the embed, not beside it by a
// hair.
func TestContactsAreContacts(t *testing.T) {
	for _, sc := range scenes() {
		w := shape(t, sc.site)
		part := sc.site.Sections[1]
		for _, s := range w.Springings {
			rows := crossings(section.Intersect(w.Outline, part), s.Z[0]+0.5, 1, 1, -1e3, 1e3)[0]
			if len(rows) < 2 {
				t.Errorf("%s: no contact at the foot of the springing %.2f %.2f", sc.name, s.U, s.Z[0])
			}
		}
		for _, l := range w.Landings {
			if l.Bed {
				if w.Bottom != sc.site.Settings.Bed {
					t.Errorf("%s: bottom at %.3f hovers over the bed", sc.name, w.Bottom)
				}
				continue
			}
			mid := (l.U[0] + l.U[1]) / 2
			on := section.Intersect(section.Intersect(w.Outline, part), section.Polygons{rect(mid-0.1, -1e3, mid+0.1, 1e3)})
			if on.Area() < 0.2*sc.site.Settings.Embed*0.9 {
				t.Errorf("%s: the landing at %.2f %.2f hovers", sc.name, mid, l.Z)
			}
		}
	}
}

// A landing on a face steeper than the slope limit is a springing: the leg's
// far side is cut back to a point in the face.
//
//	|   |
//	\  /       a face 30 degrees from the vertical
//	 \/
func TestSteepFloor(t *testing.T) {
	fall := 1 / math.Tan(30*math.Pi/180)
	ramp := section.Path{{-1, 0}, {41, 0}, {41, 1}, {40, 1}, {0, 1 + 40*fall}, {-1, 1 + 40*fall}}
	s := bay(iv(0, 40, 110, 110, false, false), ramp, rect(0, 110, 40, 113))
	w := shape(t, s)
	steep := 0
	for _, l := range w.Landings {
		if l.Steep {
			steep++
		}
	}
	if steep == 0 {
		t.Fatalf("%s: no landing is called steep: %v", w.Scheme, w.Landings)
	}
	// The taper: right above the lowest point the web is narrow and widens no
	// faster than a flank.
	row := func(z float64) float64 {
		x := crossings(section.Subtract(w.Outline, s.Sections[1]), z, 1, 1, -1e3, 1e3)[0]
		if len(x) < 2 {
			return 0
		}
		return x[1] - x[0]
	}
	z := w.Landings[0].Z
	for _, l := range w.Landings {
		z = math.Min(z, l.Z)
	}
	low := w.Bottom + 0.3
	if a, b := row(low), row(low+1); a > 1.2 || b-a > math.Tan(30*math.Pi/180)+math.Tan(44*math.Pi/180)+0.05 {
		t.Errorf("%.2f wide at the foot, %.2f a millimetre higher", a, b)
	}
}

// No leg stands in a forbidden box, such as the opening of another ceiling.
func TestForbidden(t *testing.T) {
	s := roof(147, 254)
	free := shape(t, s)
	leg := free.Legs[0]
	box := Box{U: [2]float64{leg.U[0] - 10, leg.U[1] + 10}, Z: [2]float64{50, 100}}
	s.Forbidden = []Box{box}
	w := shape(t, s)
	area := section.Intersect(w.Outline, section.Polygons{rect(box.U[0], box.Z[0], box.U[1], box.Z[1])}).Area()
	if area > 1e-6 {
		t.Errorf("%.3f mm2 in the box, %s", area, w.Scheme)
	}
	if w.cost < free.cost-1 {
		t.Errorf("cheaper with a box in the way: %.1f against %.1f", w.cost, free.cost)
	}
	s.Forbidden = []Box{{U: [2]float64{-10, 200}, Z: [2]float64{100, 250}}}
	if w, err := Shape(s); err == nil {
		t.Errorf("%s through a box as wide as the room", w.Scheme)
	}
}

// Where a wall has a window the corbel in front of it stays back from the
// wall's face.
func TestSetbackBeforeAWindow(t *testing.T) {
	s := bay(iv(0, 40, 100, 100, true, false),
		rect(-3, 0, 0, 78), rect(-3, 86, 0, 103), rect(-3, 100, 40, 103), rect(-3, 0, 40, 3))
	s.Forbidden = []Box{{U: [2]float64{1, 40}, Z: [2]float64{3, 50}}} // no legs
	w := shape(t, s)
	if w.Scheme != "one corbel" {
		t.Fatal(w.Scheme)
	}
	for _, z := range []float64{78.5, 82, 85.9} {
		if x := crossings(w.Outline, z, 1, 1, -1e3, 1e3)[0]; len(x) != 2 || x[0] < 0.4-0.011 {
			t.Errorf("at %.1f in the window the web begins at %.3f", z, x)
		}
	}
}
