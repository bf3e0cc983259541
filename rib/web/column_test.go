package web

import (
	"math"
	"testing"

	"falsework/mesh/section"
)

// A column follows the wall: here one that leans outwards by 20 over 100, with
// an opening from 30 to 80, then bows back.
//
//	   / /   lintel
//	  .       the opening; the jamb beside it goes on
//	/ /      sill
func TestColumnFollowsTheJamb(t *testing.T) {
	jamb := section.Polygons{{{0, 0}, {3, 0}, {13, 50}, {23, 100}, {20, 100}, {10, 50}}}
	hole := section.Polygons{rect(-10, 30, 40, 80)}
	s := flat(section.Subtract(jamb, hole), iv(16, 19, 80, 80, false, false))
	s.Column = true
	upright := shape(t, s)
	if lo, _ := bounds(upright.Outline); lo[0] < 16 {
		t.Errorf("without a jamb the column leans to %.2f", lo[0])
	}
	for _, off := range []float64{0, 2.5} { // the jamb's plane need not share the run
		s.Jamb = nil
		for _, r := range jamb {
			s.Jamb = append(s.Jamb, shifted(r, off))
		}
		w := shape(t, s)
		if w.Scheme != "column" || len(w.Landings) != 1 || math.Abs(w.Landings[0].Z-30) > 0.02 {
			t.Fatalf("%s landing %v", w.Scheme, w.Landings)
		}
		// Set back 0.4 at right angles to the faces: by Pythagoras 0.408 along
		// the run, less where the jamb's rings were rounded to the micron.
		deep := 3 - 2*0.4*math.Hypot(1, 0.2)
		if want := deep * 50.2; math.Abs(w.Area-want) > 0.1 {
			t.Errorf("area %.3f, want %.3f", w.Area, want)
		}
		face := section.Intersect(w.Outline, section.Subtract(section.Polygons{rect(-100, -10, 200, 200)}, section.Offset(jamb, -0.35, section.Miter)))
		if a := face.Area(); a > 1e-3 {
			t.Errorf("%.4f mm2 nearer than the setback to the wall's faces", a)
		}
		if len(w.Braces) != 1 {
			t.Errorf("%d braces, want 1", len(w.Braces))
		}
		for _, b := range w.Braces {
			if !w.Outline.Contains(section.Point{b.U, b.Z[0]}) {
				t.Errorf("brace at %.2f %.2f is not in the column", b.U, b.Z[0])
			}
		}
	}
}

// A jamb that is another wall altogether is not followed.
func TestColumnBesideAnotherWall(t *testing.T) {
	s := lintel(50)
	s.Jamb = section.Polygons{rect(-100, 0, 3, 200)}
	w := shape(t, s)
	if lo, hi := bounds(w.Outline); lo[0] < 0 || hi[0] > 3 {
		t.Errorf("from %.2f to %.2f", lo[0], hi[0])
	}
}
