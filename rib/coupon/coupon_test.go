package coupon

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"falsework/mesh/meshtest"
	"falsework/mesh/section"
	"falsework/rib"
	"falsework/span"
)

var ctx = context.Background()

func make1(t *testing.T, s Settings) *Piece {
	t.Helper()
	p, err := Make(ctx, s)
	if err != nil {
		t.Fatal(err)
	}
	meshtest.Check(t, p.Mesh)
	if n := meshtest.Shells(p.Mesh); n != 1 {
		t.Errorf("%d shells", n)
	}
	b := p.Mesh.Bounds()
	if b.Min[2] != 0 {
		t.Errorf("stands at z = %v", b.Min[2])
	}
	for i := range 3 {
		if size := b.Max[i] - b.Min[i]; size > s.Bed[i] {
			t.Errorf("%.1f mm along %c on a bed of %g", size, "xyz"[i], s.Bed[i])
		}
	}
	return p
}

func bare() Settings {
	s := Defaults()
	s.Ribbed = false
	return s
}

// The survey names exactly the bridges over the limit, whatever the limit, and
// every bridge at its length.
func TestSurveyNamesTheBridgesOverTheLimit(t *testing.T) {
	s := bare()
	p := make1(t, s)
	for _, limit := range []float64{15, 25, 70, 95, 120} {
		set := s.Survey
		set.Limit = limit
		survey, err := span.Run(ctx, p.Mesh, set, span.Options{})
		if err != nil {
			t.Fatal(err)
		}
		found := map[float64]bool{}
		for _, c := range survey.Ceilings {
			if c.Kind != span.Bridge {
				continue // a step, see below
			}
			l := math.Round(c.Span)
			if math.Abs(c.Span-l) > 0.1 || found[l] {
				t.Errorf("a bridge of %v", c.Span)
			}
			found[l] = true
			if c.NeedsRibs != (l > limit) {
				t.Errorf("limit %g: bridge of %g needs ribs: %v", limit, l, c.NeedsRibs)
			}
		}
		for _, l := range s.Spans {
			if !found[l] {
				t.Errorf("limit %g: no bridge of %g", limit, l)
			}
		}
		if len(found) != len(s.Spans) {
			t.Errorf("bridges found: %v", found)
		}
	}
}

// Steps are flagged where their lean passes the slope limit by more than a
// ledge's depth over their rise.
func TestSurveyNamesTheStepsOverTheSlope(t *testing.T) {
	s := bare()
	s.Spans = nil
	p := make1(t, s)
	survey, err := span.Run(ctx, p.Mesh, s.Survey, span.Options{})
	if err != nil {
		t.Fatal(err)
	}
	flagged := 0
	for _, c := range survey.Ceilings {
		if c.NeedsRibs {
			flagged++
		}
	}
	want := 0
	for _, a := range s.Slopes {
		rise, run := step(a)
		if run-rise*math.Tan(s.Survey.Slope*math.Pi/180) > s.Survey.Ledge {
			want++
		}
	}
	if flagged != want || want != 4 {
		t.Errorf("%d steps flagged, want %d (55, 60, 65 and 70 degrees)", flagged, want)
	}
}

// The whole piece: ribs stand in its opening, at the spacing, with a brace.
func TestRibbedOpening(t *testing.T) {
	s := Defaults()
	p := make1(t, s)
	c := p.Opening()
	if len(c.Ribs) == 0 || len(c.Braces) == 0 {
		t.Errorf("%d ribs and %d braces in the opening", len(c.Ribs), len(c.Braces))
	}
	if c.Bay > s.Rib.Spacing {
		t.Errorf("bays of %g at a spacing of %g", c.Bay, s.Rib.Spacing)
	}
	if p.Plan.Ribbed() != 1 {
		t.Errorf("%d ceilings ribbed", p.Plan.Ribbed())
	}
	added := p.Mesh.Volume() - p.Bare.Volume()
	if added <= 0 || added > p.Plan.Totals.Volume {
		t.Errorf("the ribs add %.2f mm3, planned are %.2f", added, p.Plan.Totals.Volume)
	}
	if p.Effort.Minutes < 10 || p.Effort.Minutes > 300 || p.Effort.Volume > p.Mesh.Volume() {
		t.Errorf("effort %+v of %.0f mm3", p.Effort, p.Mesh.Volume())
	}
}

// Other machines: layers that no height is a multiple of, wide nozzles, small
// beds, short limits.
func TestOtherMachines(t *testing.T) {
	cases := []struct {
		name string
		edit func(*Settings)
	}{
		{"thick layers", func(s *Settings) {
			s.Survey.Nozzle, s.Survey.Layer, s.Survey.FirstLayer = 0.8, 0.45, 0.6
			s.Spans = []float64{30, 60}
			s.Slopes = []float64{45}
		}},
		{"fine layers", func(s *Settings) { s.Survey.Layer, s.Survey.FirstLayer = 0.07, 0.13; s.Spans = []float64{12.5} }},
		{"small bed", func(s *Settings) {
			s.Bed = [3]float64{120, 120, 120}
			s.Spans = []float64{20, 40, 60, 80}
			s.Slopes = []float64{40, 50}
		}},
		{"one slope only", func(s *Settings) { s.Spans = nil; s.Slopes = []float64{80} }},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := bare()
			c.edit(&s)
			s.Rib = rib.DefaultSettings(s.Survey)
			p := make1(t, s)
			if len(p.Spans) == 0 {
				return
			}
			survey, err := span.Run(ctx, p.Mesh, s.Survey, span.Options{})
			if err != nil {
				t.Fatal(err)
			}
			n := 0
			for _, k := range survey.Ceilings {
				if k.Kind == span.Bridge {
					n++
				}
			}
			if n != len(p.Spans) {
				t.Errorf("%d bridges, want %d", n, len(p.Spans))
			}
		})
	}
}

func TestMakeRefuses(t *testing.T) {
	var fit *FitError
	var setting *SettingError
	cases := []struct {
		name string
		edit func(*Settings)
		as   any
		want string
	}{
		{"nothing", func(s *Settings) { s.Spans, s.Slopes, s.Ribbed = nil, nil, false }, &setting, "nothing to print"},
		{"too long for the bed", func(s *Settings) { s.Spans = []float64{215} }, &fit, "take 231 mm, the bed only 220"},
		{"bed too shallow", func(s *Settings) { s.Bed[1] = 60 }, &fit, "mm deep"},
		{"bed too low", func(s *Settings) { s.Bed[2] = 6 }, &fit, "mm high"},
		{"bed too narrow for a step", func(s *Settings) { s.Spans = nil; s.Bed[0] = 30 }, &fit, "a step of"},
		{"bed too narrow for the opening", func(s *Settings) { s.Spans, s.Ribbed = nil, true; s.Bed[0] = 90 }, &fit, "carried by ribs"},
		{"span not a number", func(s *Settings) { s.Spans = []float64{math.NaN()} }, &setting, "outside"},
		{"span twice", func(s *Settings) { s.Spans = []float64{30, 30} }, &setting, "twice"},
		{"span too fine", func(s *Settings) { s.Spans = []float64{30.25} }, &setting, "one decimal"},
		{"slope too flat", func(s *Settings) { s.Slopes = []float64{89} }, &setting, "outside"},
		{"no bed", func(s *Settings) { s.Bed[0] = 0 }, &setting, "cannot be"},
	}
	for _, c := range cases {
		s := bare()
		c.edit(&s)
		_, err := Make(ctx, s)
		if err == nil || !strings.Contains(err.Error(), c.want) || !errors.As(err, c.as) {
			t.Errorf("%s: %v, want an error with %q", c.name, err, c.want)
		}
	}
}

func TestInterrupted(t *testing.T) {
	gone, stop := context.WithCancel(ctx)
	stop()
	if _, err := Make(gone, Defaults()); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}

// No two figures look alike, and strokes of one do not run together: between
// them stays more than a bead.
func TestFiguresDiffer(t *testing.T) {
	for _, nozzle := range []float64{0.25, 0.4, 0.8} {
		p := penFor(nozzle)
		if p.stroke < 2*nozzle {
			t.Errorf("a stroke of %g for a nozzle of %g", p.stroke, nozzle)
		}
		if eye := (p.width - p.stroke) - p.stroke; eye < 1.5*nozzle {
			t.Errorf("the eye of a figure is %g wide for a nozzle of %g", eye, nozzle)
		}
		const all = "0123456789.on"
		for i, a := range all {
			one := p.draw(string(a), 0, 0)
			if one.Area() < p.stroke*p.stroke*0.99 {
				t.Errorf("figure %q is not drawn", a)
			}
			for _, b := range all[:i] {
				other := p.draw(string(b), 0, 0)
				if d := section.Xor(one, other).Area(); d < p.stroke*p.stroke {
					t.Errorf("%q and %q differ by %g mm2 only", a, b, d)
				}
			}
		}
	}
}
