package web

import (
	"math"
	"testing"

	"falsework/mesh/section"
)

// A notched crest leaves exactly one printed layer empty between its nibs,
// wherever the ceiling lies on the layer grid, and the nibs reach the ceiling.
// A layer is printed where its mid-plane is in the body.
func TestNotchesOnTheGrid(t *testing.T) {
	for _, first := range []float64{0.2, 0.3} {
		for _, z := range []float64{60, 60.04, 60.1, 60.11, 60.15, 60.199} {
			s := roof(80, z)
			s.Settings.Notched, s.Settings.Bed, s.Settings.First = true, -3, first
			w := shape(t, s)
			k := 0 // first printed layer of the ceiling
			for s.Settings.mid(k) < z-1e-9 {
				k++
			}
			ends, _ := bounds(w.Outline)
			open, nibs := 0.0, 0
			full := section.Union(w.Outline, s.Sections[1])
			at := func(k int) []float64 {
				return crossings(section.Intersect(w.Outline, section.Polygons{rect(ends[0]+0.2, -10, 79.5, 100)}), s.Settings.mid(k), 1, 1, -1e3, 1e3)[0]
			}
			row := at(k - 1)
			for i := 0; i+1 < len(row); i += 2 {
				nibs++
				if wide := row[i+1] - row[i]; wide > 1.01 {
					t.Errorf("z %g: a nib %.3f wide", z, wide)
				}
				if i > 0 {
					gap := row[i] - row[i-1]
					open += gap
					if gap > 3.01 {
						t.Errorf("z %g: a gap of %.3f", z, gap)
					}
				}
			}
			if nibs < 15 || open < 40 {
				t.Errorf("first %g, z %g: %d nibs, %.1f mm open in the layer under the ceiling", first, z, nibs, open)
			}
			if below := at(k - 2); len(below) != 2 {
				t.Errorf("z %g: the layer below the gaps has %d pieces", z, len(below)/2)
			}
			if above := crossings(full, s.Settings.mid(k)+1e-6, 1, 1, 1, 79)[0]; len(above) != 2 || above[1]-above[0] < 77.9 {
				t.Errorf("z %g: the ceiling's first layer is not whole: %v", z, above)
			}
			if math.Abs(w.Crest-(79.6-open)) > 1.5 {
				t.Errorf("z %g: contact %.2f, %.2f open", z, w.Crest, open)
			}
		}
	}
}

// Nibs are no shorter than a wide rib's bead, or no such rib could be notched.
func TestNibsOfWideRibs(t *testing.T) {
	for _, width := range []float64{0.5, 1, 1.2, 1.6} {
		s := roof(80, 60)
		s.Settings.Notched, s.Settings.Width = true, width
		w := shape(t, s)
		nibs := 0
		row := crossings(w.Outline, 59.9, 1, 1, 2, 78)[0]
		for i := 2; i+3 < len(row); i += 2 {
			nibs++
			if wide := row[i+1] - row[i]; wide < math.Max(1, width)-0.002 || wide > math.Max(1, width)+0.002 {
				t.Errorf("width %g: a nib %.3f long", width, wide)
			}
		}
		if nibs < 10 {
			t.Errorf("width %g: %d nibs", width, nibs)
		}
	}
}

// mid is the middle of layer k, counted from 0 at the bed.
func (s *Settings) mid(k int) float64 {
	if k == 0 {
		return s.Bed + s.First/2
	}
	return s.Bed + s.First + s.Layer*(float64(k)-0.5)
}

// The lower boundary of a ceiling's first layer: that whose mid-plane is the
// first not below it.
func TestLayerBottom(t *testing.T) {
	s := DefaultSettings()
	s.First = 0.3
	for _, c := range []struct{ z, want float64 }{{0, 0}, {0.15, 0}, {0.16, 0.3}, {0.4, 0.3}, {0.41, 0.5}, {60.3, 60.3}, {60.35, 60.3}, {60.4, 60.3}, {60.41, 60.5}} {
		if got := s.layerBottom(c.z); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%g: %g, want %g", c.z, got, c.want)
		}
	}
}

// Under a sloping ceiling the gaps follow the stairs that the layers make of
// it: nowhere is a gap lower than one layer and the stair's own rounding.
func TestNotchesUnderASlope(t *testing.T) {
	s := bay(iv(0, 60, 60, 70, true, false),
		rect(-3, 0, 0, 63), section.Path{{-3, 60}, {0, 60}, {60, 70}, {60, 73}, {-3, 63}}, rect(-3, 0, 60, 3))
	s.Settings.Notched = true
	w := shape(t, s)
	if w.Crest > 30 {
		t.Fatalf("contact %.1f", w.Crest)
	}
	empty := 0
	for k := 250; k < 350; k++ {
		z := s.Settings.mid(k) + 1e-7
		part := crossings(s.Sections[1], z+s.Settings.Layer, 1, 1, -1e3, 1e3)[0]
		web := crossings(w.Outline, z, 1, 1, -1e3, 1e3)[0]
		// Just under the first printed layer of the ceiling there is a gap or a nib.
		here := crossings(s.Sections[1], z, 1, 1, -1e3, 1e3)[0]
		for u := 1.5; u < 59; u += 0.25 {
			if overlaps(part, u, u+1e-9) && !overlaps(here, u, u+1e-9) && !overlaps(web, u, u+1e-9) {
				empty++
			}
		}
	}
	if share := float64(empty) / (57.5 / 0.25); share < 0.6 || share > 0.85 {
		t.Errorf("%.2f of the run is open under the ceiling's first layers", share)
	}
}

// Nibs and gaps are as wide as said, from end to end.
func TestNotchPitch(t *testing.T) {
	s := roof(80, 60)
	s.Settings.Notched = true
	notched := shape(t, s)
	s.Settings.Notched = false
	solid := shape(t, s)
	if solid.Crest < 79 || notched.Crest > 0.31*solid.Crest {
		t.Errorf("contact solid %.1f, notched %.1f", solid.Crest, notched.Crest)
	}
	// The gaps take away one layer under the ceiling, and the embed above it.
	taken := solid.Area - notched.Area
	if want := (solid.Crest - notched.Crest) * (0.2 + 0.1); math.Abs(taken-want) > 0.5 {
		t.Errorf("gaps take %.2f mm2, want %.2f", taken, want)
	}
}
