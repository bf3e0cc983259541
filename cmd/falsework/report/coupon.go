package report

import (
	"fmt"
	"io"
	"strings"

	"falsework/rib"
	"falsework/rib/coupon"
)

// CouponSchema is the version of the JSON form of a test piece.
const CouponSchema = "falsework/coupon/1"

// Coupon is the JSON form of a test piece. Lengths are millimetres, angles
// degrees from the vertical.
type Coupon struct {
	Schema   string     `json:"schema"`
	Written  string     `json:"written"`
	Bounds   Bounds     `json:"bounds"`
	Settings Settings   `json:"settings"`
	Bed      [3]float64 `json:"bed"`
	Spans    []float64  `json:"spans"`
	Slopes   []float64  `json:"slopes"`
	Opening  *Opening   `json:"opening"` // null without one
	Effort   Effort     `json:"effort"`
}

// Opening is the opening of a test piece that ribs carry.
type Opening struct {
	Width   float64 `json:"width"`
	Spacing float64 `json:"spacing"` // as asked for
	Bay     float64 `json:"bay"`     // as built
	Ribs    int     `json:"ribs"`
	Braces  int     `json:"braces"`
}

// Effort is what printing something takes, an estimate: cubic millimetres,
// grams, millimetres of filament, minutes.
type Effort struct {
	Volume   float64 `json:"volume"`
	Mass     float64 `json:"mass"`
	Filament float64 `json:"filament"`
	Minutes  float64 `json:"minutes"`
}

func effort(e rib.Effort) Effort {
	return Effort{round(e.Volume), round(e.Mass), round(e.Filament), round(e.Minutes)}
}

// NewCoupon puts a test piece into its JSON form.
func NewCoupon(written string, s coupon.Settings, p *coupon.Piece) Coupon {
	c := Coupon{Schema: CouponSchema, Written: written, Bounds: bounds(p.Mesh.Bounds()), Settings: settingsOf(s.Survey),
		Bed: s.Bed, Spans: p.Spans, Slopes: p.Slopes, Effort: effort(p.Effort)}
	if k := p.Opening(); k != nil {
		c.Opening = &Opening{p.Bay, round(s.Rib.Spacing), round(k.Bay), len(k.Ribs), len(k.Braces)}
	}
	return c
}

// WriteCoupon says what a test piece shows, what it takes, and what to do
// with it. Bed tells whether its size was given.
func WriteCoupon(w io.Writer, name string, s coupon.Settings, p *coupon.Piece, bed bool) {
	b := p.Mesh.Bounds()
	on := "as given"
	if !bed {
		on = "taken for want of another (--bed)"
	}
	say := func(first, format string, a ...any) { fmt.Fprintln(w, wrap(first, fmt.Sprintf(format, a...), reading)) }
	fmt.Fprintf(w, "Test piece: %s, %s\n", box(b.Min, b.Max), count(len(p.Mesh.Triangles), "triangle"))
	say("Bed:      ", "%s x %s x %s mm, %s", plain(s.Bed[0]), plain(s.Bed[1]), plain(s.Bed[2]), on)
	if len(p.Spans) > 0 {
		say("Bridges:  ", "%s mm, each 3 mm wide, laid along x, 10 mm above the plate", list(p.Spans))
	}
	if len(p.Slopes) > 0 {
		say("Steps:    ", "%s degrees from the vertical", list(p.Slopes))
	}
	if k := p.Opening(); k != nil {
		say("Opening:  ", "%s mm wide, carried by %s and %s in bays of %s mm; its figure is the spacing", plain(p.Bay), count(len(k.Ribs), "rib"), count(len(k.Braces), "brace"), length(k.Bay))
	}
	writeEffort(w, p.Effort, s)
	if name != "-" {
		say("Written:  ", "%s", name)
	}
	fmt.Fprintln(w, "\nPrint it as you print parts:")
	for _, t := range couponAdvice(s) {
		say("  - ", "%s", t)
	}
	fmt.Fprintln(w, "Then look at it from the side and from below, when it is cold:")
	for _, t := range lookAt(p) {
		say("  - ", "%s", t)
	}
	if len(p.Spans)+len(p.Slopes) > 0 {
		fmt.Fprintln(w, "And hand it on, for example:")
		fmt.Fprintln(w, "  "+calibrateExample(p))
	}
}

// lookAt says what to look at on a printed piece.
func lookAt(p *coupon.Piece) []string {
	var out []string
	if len(p.Spans) > 0 {
		out = append(out, "clean: the strands lie straight; sagging: they hang visibly; failed: some broke or fell.",
			"Or measure how far the middle of each bridge hangs below its ends, in mm.")
	}
	if len(p.Slopes) > 0 {
		out = append(out, "Steps: clean, or the underside curls and droops (sagging), or it came apart (failed).")
	}
	if p.Opening() != nil {
		out = append(out, "Cut the ribs out of the opening, away from the hand that holds it, with a cut-resistant glove and eye protection: what the knife leaves is what it will leave on the part.")
	}
	return out
}

// list writes numbers between commas.
func list(v []float64) string {
	words := make([]string, len(v))
	for i, x := range v {
		words[i] = plain(x)
	}
	return strings.Join(words, ", ")
}

// writeEffort says what a piece takes and what the estimate assumes.
func writeEffort(w io.Writer, e rib.Effort, s coupon.Settings) {
	WriteEffort(w, e, s.Rib.Material, rib.Assumed(s.Survey))
}

// WriteEffort says what printing a piece takes, and what that assumes.
func WriteEffort(w io.Writer, e rib.Effort, m rib.Material, assumed string) {
	fmt.Fprintln(w, wrap("Takes:    ", fmt.Sprintf("%s cm3, %s g, %s m of filament, about %s", amount(e.Volume/1000, 1), amount(e.Mass, 1), amount(e.Filament/1000, 2), duration(e.Minutes)), reading))
	fmt.Fprintln(w, wrap("          ", fmt.Sprintf("(estimate from %s, %s g/cm3, filament of %s mm, %s mm/s, %s mm/s travel)",
		assumed, plain(m.Density), plain(m.Diameter), plain(m.Speed), plain(m.Travel)), reading))
}

func couponAdvice(s coupon.Settings) []string {
	return []string{
		fmt.Sprintf("Layers of %s mm, the first of %s mm, a nozzle of %s mm; the same filament, speeds and cooling as for parts: the limit holds for these only.",
			plain(s.Survey.Layer), plain(s.Survey.FirstLayer), plain(s.Survey.Nozzle)),
		"No support from the slicing program, walls one bead thin printed; do not scale or turn the piece.",
		"Stay with the machine unless its maker and your local rules allow otherwise: a bridge that fails drags strands about. Let bed and nozzle cool before you reach in.",
	}
}

// calibrateExample is a command line that hands on what might have been seen.
func calibrateExample(p *coupon.Piece) string {
	words := []string{"falsework calibrate"}
	for _, t := range []struct {
		flag string
		v    []float64
	}{{"--bridges", p.Spans}, {"--steps", p.Slopes}} {
		if len(t.v) == 0 {
			continue
		}
		half := (len(t.v) + 1) / 2
		seen := ""
		for i, x := range t.v {
			seen += plain(x)
			switch {
			case i == half-1:
				seen += "=clean"
			case i == len(t.v)-1:
				seen += "=sagging"
			}
			if i < len(t.v)-1 {
				seen += ","
			}
		}
		words = append(words, t.flag, seen)
	}
	return strings.Join(append(words, "-o machine.toml"), " ")
}

// CouponNote is the line under a picture of a test piece.
func CouponNote(s coupon.Settings, p *coupon.Piece) string {
	var words []string
	if n := len(p.Spans); n > 0 {
		words = append(words, fmt.Sprintf("Bridges of %s to %s mm", plain(p.Spans[0]), plain(p.Spans[n-1])))
	}
	if n := len(p.Slopes); n > 0 {
		words = append(words, fmt.Sprintf("steps of %s to %s degrees", plain(p.Slopes[0]), plain(p.Slopes[n-1])))
	}
	if k := p.Opening(); k != nil {
		words = append(words, fmt.Sprintf("an opening of %s mm carried by %s", plain(p.Bay), count(len(k.Ribs), "rib")))
	}
	if len(words) == 0 {
		return ""
	}
	note := strings.Join(words, ", ")
	return strings.ToUpper(note[:1]) + note[1:] + "."
}
