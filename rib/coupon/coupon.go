// Package coupon makes the test piece that shows what a machine can do:
// bridges of rising length, overhang steps of rising lean, each with its
// figure raised in front of it, and one opening carried by ribs as any part's,
// so that their spacing and how they break away are tried on the same print.
//
// What leaves [Make] is one closed solid that stands on z = 0; its survey
// finds every bridge at its length, and its ribbed opening has been proved as
// that of any part is. Start reading at [Make].
package coupon

import (
	"context"
	"fmt"
	"math"
	"slices"

	"falsework/mesh"
	"falsework/mesh/section"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// Settings say what the test piece shows. Lengths are mm, angles degrees from
// the vertical.
type Settings struct {
	Spans  []float64  // bridges
	Slopes []float64  // overhang steps
	Bed    [3]float64 // of the machine
	Ribbed bool       // with an opening carried by ribs
	Survey span.Settings
	Rib    rib.Settings
}

// Bed is the bed taken when none is given, mm.
var Bed = [3]float64{220, 220, 250}

// Spans and slopes that are printed when nothing else is asked for: common
// practice, no published source.
func spansAndSlopes() (spans, slopes []float64) {
	for l := 20.0; l <= 120; l += 10 {
		spans = append(spans, l)
	}
	for a := 35.0; a <= 70; a += 5 {
		slopes = append(slopes, a)
	}
	return spans, slopes
}

// Defaults returns bridges of 20 to 120 mm by 10, steps of 35 to 70 degrees
// by 5 and a ribbed opening, on a bed of 220 by 220 mm.
func Defaults() Settings {
	s := Settings{Bed: Bed, Ribbed: true, Survey: span.Defaults()}
	s.Rib = rib.DefaultSettings(s.Survey)
	s.Spans, s.Slopes = spansAndSlopes()
	return s
}

// A Piece is a made test piece.
type Piece struct {
	Mesh   *mesh.Mesh // one closed solid, ribs included
	Bare   *mesh.Mesh // without the ribs
	Spans  []float64  // as asked for, shortest first
	Slopes []float64
	Bay    float64      // clear width of the ribbed opening, 0 without one
	Survey *span.Survey // of Bare, nil without a ribbed opening
	Plan   *rib.Plan    // of the ribbed opening, nil without one
	Effort rib.Effort
}

// A SettingError says which setting cannot be used, and why.
type SettingError struct{ Reason string }

func (e *SettingError) Error() string { return e.Reason }

// A FitError says why a test piece does not fit the bed.
type FitError struct{ Reason string }

func (e *FitError) Error() string { return e.Reason }

// The bounds of what a test piece shows.
const (
	leastSpan, mostSpan   = 5, 400
	leastSlope, mostSlope = 10, 80
	mostOfEach            = 60
)

// check refuses settings that make no test piece, and sorts the rest.
func (s *Settings) check() error {
	wrong := func(format string, a ...any) error { return &SettingError{fmt.Sprintf(format, a...)} }
	if len(s.Spans)+len(s.Slopes) == 0 && !s.Ribbed {
		return wrong("nothing to print: give spans, slopes or a ribbed opening")
	}
	if len(s.Spans) > mostOfEach || len(s.Slopes) > mostOfEach {
		return wrong("%d spans and %d slopes are more than one piece shows: at most %d of each", len(s.Spans), len(s.Slopes), mostOfEach)
	}
	var err error
	if s.Spans, err = once(s.Spans, leastSpan, mostSpan, "a span of", "mm"); err != nil {
		return err
	}
	if s.Slopes, err = once(s.Slopes, leastSlope, mostSlope, "a slope of", "degrees"); err != nil {
		return err
	}
	for i, b := range s.Bed {
		if !(b > 0) || math.IsInf(b, 0) {
			return wrong("a bed of %g mm along %c cannot be", b, "xyz"[i])
		}
	}
	if err := s.Survey.Check(); err != nil {
		return wrong("%v", err)
	}
	return s.Rib.Check(s.Survey)
}

// once sorts values and refuses those out of bounds, given twice, or with more
// figures than a label holds.
func once(list []float64, least, most float64, what, unit string) ([]float64, error) {
	out := append([]float64(nil), list...)
	for i, v := range out {
		if !(v >= least && v <= most) {
			return nil, &SettingError{fmt.Sprintf("%s %g %s is outside %g to %g", what, v, unit, least, most)}
		}
		if r := math.Round(v*10) / 10; math.Abs(r-v) > 1e-9 {
			return nil, &SettingError{fmt.Sprintf("%s %g %s has more than one decimal: a label has no room for it", what, v, unit)}
		}
		for _, u := range out[:i] {
			if u == v {
				return nil, &SettingError{fmt.Sprintf("%s %g %s is given twice", what, v, unit)}
			}
		}
	}
	slices.Sort(out)
	return out, nil
}

// Make lays out the test piece, makes one closed solid of it, and carries its
// ribbed opening as any part's. Settings that make no piece are a
// [*SettingError] or a [*rib.SettingsError], a bed too small is a
// [*FitError].
func Make(ctx context.Context, s Settings) (*Piece, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	sh, err := layOut(s)
	if err != nil {
		return nil, err
	}
	m, err := sh.solid(ctx)
	if err != nil {
		return nil, err
	}
	p := &Piece{Mesh: m, Bare: m, Spans: s.Spans, Slopes: s.Slopes, Bay: sh.bay.width}
	if s.Ribbed {
		if err := p.carry(ctx, s, sh.bay); err != nil {
			return nil, err
		}
	}
	p.Effort = rib.Printing(p.Mesh, s.Survey, s.Rib.Material)
	return p, ctx.Err()
}

// xz is the frame of profiles that run along x; its normal is -y.
var xz = section.Frame{U: [3]float64{1, 0, 0}, V: [3]float64{0, 0, 1}, N: [3]float64{0, -1, 0}}

// solid makes one closed surface of the sheet. Bodies enter the plate and one
// another by some tenths, never flush.
func (sh *sheet) solid(ctx context.Context) (*mesh.Mesh, error) {
	base := section.Polygons{box(-margin, -margin, sh.width+margin, sh.depth+margin)}
	base = section.Subtract(base, sh.windows)
	var solids []*mesh.Mesh
	add := func(p section.Polygons, f section.Frame, t0, t1 float64) error {
		m, err := section.Prism(p, f, t0, t1)
		solids = append(solids, m)
		return err
	}
	err := add(base, section.Level(0), 0, sh.plate)
	for _, list := range [][]body{sh.posts, sh.steps, sh.portal} {
		for _, b := range list {
			if err == nil {
				err = add(b.profile, xz, -b.y1, -b.y0)
			}
		}
	}
	for _, r := range sh.rails {
		if err == nil {
			err = add(r, section.Level(0), sh.low, sh.high)
		}
	}
	if err == nil {
		err = add(sh.labels, section.Level(0), sh.plate-sink/2, sh.figures)
	}
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	return union.Combine(solids)
}
