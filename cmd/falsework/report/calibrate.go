package report

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"falsework/span"
)

// CalibrationSchema is the version of the JSON form of a calibration.
const CalibrationSchema = "falsework/calibration/1"

// Calibration is what a test piece showed, and the profile it went to.
type Calibration struct {
	Schema  string   `json:"schema"`
	Accept  float64  `json:"accept"`  // mm
	Limit   *Limit   `json:"limit"`   // mm, null when no bridges were given
	Slope   *Limit   `json:"slope"`   // degrees from the vertical, null when no steps were given
	Profile *Profile `json:"profile"` // null when none was written
}

// Limit is a limit and what it follows from.
type Limit struct {
	Value float64  `json:"value"` // rounded down to a tenth
	Why   string   `json:"why"`
	Was   string   `json:"was,omitempty"` // in the profile before
	Notes []string `json:"notes,omitempty"`
	Fit   *Fit     `json:"fit"` // null when it was read from words
	Seen  []Seen   `json:"seen"`
}

// Fit is a power law through sags; see span.Fit.
type Fit struct {
	Factor  float64 `json:"factor"`
	Power   float64 `json:"power"`
	R2      float64 `json:"r2"`
	Spread  float64 `json:"spread"`
	Points  int     `json:"points"`
	Quality string  `json:"quality"`
}

// Seen is what was seen at one place, mm or degrees. Sag and Fitted are mm and
// null where none was measured or fitted.
type Seen struct {
	At     float64  `json:"at"`
	Seen   string   `json:"seen"`
	Sag    *float64 `json:"sag"`
	Fitted *float64 `json:"fitted"`
}

// Profile says what became of a profile.
type Profile struct {
	File  string   `json:"file"`
	Began bool     `json:"began"`          // it was not there before
	From  string   `json:"from,omitempty"` // begun from this profile
	Kept  []string `json:"kept,omitempty"` // keys left as they were
}

// NewLimit puts a calibration into its JSON form; value is its limit as it is
// written down.
func NewLimit(seen []span.Observation, c span.Calibration, value float64) *Limit {
	l := &Limit{Value: value, Why: c.Why, Notes: c.Notes}
	if f := c.Fit; f != nil {
		l.Fit = &Fit{figures(f.Factor), figures(f.Power), round(f.R2), round(f.Spread), f.Points, f.Quality}
	}
	for _, o := range seen {
		s := Seen{At: o.At, Seen: o.Seen.String()}
		if o.Seen == span.Measured {
			s.Sag = finite(o.Sag)
		}
		if c.Fit != nil {
			s.Fitted = finite(c.Fit.Sag(o.At))
		}
		l.Seen = append(l.Seen, s)
	}
	return l
}

// WriteCalibration says which limits follow, from what, and where they went.
func WriteCalibration(w io.Writer, r *Calibration) {
	say := func(first, format string, a ...any) { fmt.Fprintln(w, wrap(first, fmt.Sprintf(format, a...), reading)) }
	for _, k := range []struct {
		first, unit, x string
		l              *Limit
	}{{"Limit:    ", "mm", "length", r.Limit}, {"Slope:    ", "degrees from the vertical", "tan(lean)", r.Slope}} {
		if k.l == nil {
			continue
		}
		was := ""
		if k.l.Was != "" && k.l.Was != plain(k.l.Value) {
			was = fmt.Sprintf("; the profile said %s", k.l.Was)
		}
		say(k.first, "%s %s: %s%s", plain(k.l.Value), k.unit, k.l.Why, was)
		if f := k.l.Fit; f != nil {
			say("          ", "Fit through %s: sag = %.3g x %s^%.2f; R2 %.3f, scatter a factor of %.2f: a %s fit", count(f.Points, "sag"), f.Factor, k.x, f.Power, f.R2, f.Spread, f.Quality)
			writeSags(w, k.l)
		}
		for _, n := range k.l.Notes {
			say("          ", "%s", n)
		}
	}
	p := r.Profile
	switch {
	case p == nil:
		fmt.Fprintln(w, "Nothing was written: -o F.toml keeps it in a profile.")
		return
	case p.From != "":
		say("Profile:  ", "%s, begun from %s%s", p.File, p.From, keptWords(p.Kept))
	case p.Began:
		say("Profile:  ", "%s, new", p.File)
	default:
		say("Profile:  ", "%s, brought up to date%s", p.File, keptWords(p.Kept))
	}
	if p.File != "-" {
		say("          ", "Give it to any command: falsework survey PART --profile %s", p.File)
	}
	say("          ", "It holds for this machine, filament, nozzle, cooling and layer height; print the test piece again when one of them changes.")
}

func keptWords(kept []string) string {
	if len(kept) == 0 {
		return ""
	}
	return "; kept as they were: " + strings.Join(kept, ", ")
}

// writeSags sets the measured sags beside the fitted ones.
func writeSags(w io.Writer, l *Limit) {
	t := grid(Look{}, "Place", "Measured", "Fitted")
	var right []table.ColumnConfig
	for n := 1; n <= 3; n++ {
		right = append(right, table.ColumnConfig{Number: n, Align: text.AlignRight, AlignHeader: text.AlignRight})
	}
	t.SetColumnConfigs(right)
	for _, s := range l.Seen {
		measured := s.Seen
		if s.Sag != nil {
			measured = fmt.Sprintf("%.2f", *s.Sag)
		}
		fitted := "-"
		if s.Fitted != nil {
			fitted = fmt.Sprintf("%.2f", *s.Fitted)
		}
		t.AppendRow(table.Row{plain(s.At), measured, fitted})
	}
	var b strings.Builder
	flush(&b, t)
	for _, row := range strings.SplitAfter(b.String(), "\n") {
		if row != "" {
			fmt.Fprint(w, strings.Repeat(" ", 10), row)
		}
	}
}

// figures keeps six significant figures, more than a sag can be measured to.
func figures(x float64) float64 {
	y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
	if err != nil {
		return x
	}
	return y
}
