package web

import (
	"errors"
	"math"
	"testing"

	"falsework/mesh/section"
)

func shape(t *testing.T, site Site) *Web {
	t.Helper()
	w, err := Shape(site)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range judge(site, w) {
		t.Error(b)
	}
	return w
}

func TestScenes(t *testing.T) {
	for _, sc := range scenes() {
		for _, notched := range []bool{false, true} {
			name := sc.name
			if notched {
				name += " notched"
			}
			t.Run(name, func(t *testing.T) {
				sc.site.Settings.Notched = notched
				w := shape(t, sc.site)
				if sc.scheme != "" && w.Scheme != sc.scheme {
					t.Errorf("scheme %q, want %q", w.Scheme, sc.scheme)
				}
				if slack, u, z := w.Slack(w.Braces); slack < 0 {
					t.Errorf("its own braces leave it %.2f short at %.1f %.1f", -slack, u, z)
				}
				if outer := rings(w.Outline); outer != len(w.ceilings) {
					t.Errorf("%d pieces under %d stretches of ceiling", outer, len(w.ceilings))
				}
				if w.Area > w.Sheet*1.05+5 {
					t.Errorf("area %.1f, more than the full sheet's %.1f", w.Area, w.Sheet)
				}
			})
		}
	}
}

func rings(p section.Polygons) int {
	n := 0
	for _, r := range p {
		if r.Area() > 0 {
			n++
		}
	}
	return n
}

// Seen from behind, a web is the same.
func TestMirrored(t *testing.T) {
	for _, sc := range scenes() {
		a, b := shape(t, sc.site), shape(t, mirrored(sc.site))
		if math.Abs(a.cost-b.cost) > 0.03*a.cost {
			t.Errorf("%s: cost %.1f, from behind %.1f (%s; %s)", sc.name, a.cost, b.cost, a.Scheme, b.Scheme)
		}
	}
}

// The same site gives the same bytes.
func TestSameBytes(t *testing.T) {
	for _, sc := range scenes()[5:9] {
		a, b := shape(t, sc.site), shape(t, sc.site)
		if len(a.Outline) != len(b.Outline) || a.Area != b.Area || len(a.Braces) != len(b.Braces) {
			t.Errorf("%s: two runs differ", sc.name)
		}
		for i, r := range a.Outline {
			for j := range r {
				if r[j] != b.Outline[i][j] {
					t.Fatalf("%s: point %d of ring %d differs", sc.name, j, i)
				}
			}
		}
	}
}

// A roof of 234 x 147 held on three sides, 254 above the floor, is carried by
// five ribs across the short way, bays of 39. With what braces need they must
// cost less than a quarter of full-height sheets.
func TestRoofUnderAQuarter(t *testing.T) {
	w := shape(t, roof(147, 254))
	s := w.settings
	brace := 39 * braceDepth * float64(s.BraceLayers) * s.Layer // mm3, one bay
	// Six bays and five ribs: each height of each leg or flank is one strip.
	braces := float64(len(w.Braces)) * brace * 6
	sheets := 5 * w.Sheet * s.Width
	share := (5*w.Volume + braces) / sheets
	t.Logf("%s, %d braces a rib: %.1f %% of sheets of %.1f cm3; %.1f %% without braces",
		w.Scheme, len(w.Braces), 100*share, sheets/1000, 100*5*w.Volume/sheets)
	if share >= 0.25 {
		t.Errorf("%.1f %% of full sheets", 100*share)
	}
}

// The full sheet, the corbel and the column have areas in closed form.
func TestClosedForms(t *testing.T) {
	e := 0.1
	t.Run("sheet", func(t *testing.T) {
		// 40 x 2 with nothing to open: from the setback at either end, into
		// floor and ceiling by the embed.
		site := roof(40, 2)
		w := shape(t, site)
		want := (40 - 0.8) * (2 + 2*e)
		if math.Abs(w.Area-want) > 0.01 || w.Scheme != "full sheet" {
			t.Errorf("area %.3f, want %.3f (%s)", w.Area, want, w.Scheme)
		}
	})
	t.Run("corbel", func(t *testing.T) {
		// A triangle with a band on top: 20 deep at 44 degrees.
		site := roof(20, 100)
		w := shape(t, site)
		rise := 1 / math.Tan(44*math.Pi/180)
		b := 20 - 0.4
		want := b*2 + b*b*rise/2 + b*e + e*(2+b*rise) + e*e + e*e*rise/2
		if math.Abs(w.Area-want) > 0.02 || w.Scheme != "one corbel" {
			t.Errorf("area %.3f, want %.3f (%s)", w.Area, want, w.Scheme)
		}
	})
	t.Run("column", func(t *testing.T) {
		w := shape(t, lintel(105))
		want := (3 - 0.8) * (105 + 2*e)
		if math.Abs(w.Area-want) > 0.01 || w.Scheme != "column" {
			t.Errorf("area %.3f, want %.3f", w.Area, want)
		}
		if math.Abs(w.Volume-want*0.5) > 0.01 {
			t.Errorf("volume %.3f", w.Volume)
		}
	})
}

// lintel is an opening of a height in a wall 3 thick, across the wall:
//
//	#  lintel
//	|
//	#  sill at 30
func lintel(height float64) Site {
	s := flat(section.Polygons{rect(0, 0, 3, 30), rect(0, 30+height, 3, 50+height)}, iv(0, 3, 30+height, 30+height, false, false))
	s.Column = true
	return s
}

// An opening about 105 high gets two cross strips, three spaces of about 35
// (common practice, no published source).
func TestColumnBraces(t *testing.T) {
	for _, c := range []struct {
		height float64
		braces int
	}{{30, 0}, {35, 0}, {36, 1}, {70, 1}, {105, 2}, {110, 3}, {200, 5}} {
		w := shape(t, lintel(c.height))
		if len(w.Braces) != c.braces {
			t.Errorf("%g high: %d braces, want %d", c.height, len(w.Braces), c.braces)
		}
		if s, _, _ := w.Slack(w.Braces); s < 0 {
			t.Errorf("%g high: a gap %.2f wider than the pitch", c.height, -s)
		}
	}
}

func TestErrors(t *testing.T) {
	hanging := roof(60, 100)
	hanging.Grounded = func(u, z float64) bool { return false }
	hanging.Settings.Bed = -10 // the bed is below the floor, which is not grounded
	thin := lintel(50)
	thin.Sections = [3]section.Polygons{}
	for k := range 3 {
		thin.Sections[k] = section.Polygons{rect(0, 0, 0.4, 30), rect(0, 80, 0.4, 90)}
	}
	thin.Under[0] = iv(0, 0.4, 80, 80, false, false)
	nowhere := roof(60, 100)
	nowhere.Under[0].Z = [2]float64{50, 50}
	for _, c := range []struct {
		name string
		site Site
		want error
	}{{"nothing grounded", hanging, ErrStand}, {"thin", thin, ErrThin}, {"no ceiling", nowhere, ErrCeiling}} {
		_, err := Shape(c.site)
		var place *PlaceError
		if !errors.Is(err, c.want) || !errors.As(err, &place) {
			t.Errorf("%s: %v, want %v with a place", c.name, err, c.want)
		}
	}
}
