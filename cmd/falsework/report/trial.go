package report

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"falsework/rib"
	"falsework/rib/trial"
	"falsework/span"
)

// TrialSchema is the version of the JSON form of a proof piece.
const TrialSchema = "falsework/trial/1"

// Trial is the JSON form of a proof piece. Lengths are millimetres.
type Trial struct {
	Schema    string     `json:"schema"`
	Part      string     `json:"part"`
	Written   string     `json:"written"`
	Kept      string     `json:"kept"` // in words
	Heights   [2]float64 `json:"heights"`
	Bounds    Bounds     `json:"bounds"`
	Triangles int        `json:"triangles"`
	Ceilings  int        `json:"ceilings"`
	Reach     float64    `json:"reach"`  // greatest distance under a ceiling to what holds it
	Crumbs    int        `json:"crumbs"` // left out because too thin to print
	Loose     int        `json:"loose"`  // left out because the cut leaves them in mid-air
	Hanging   []Hanging  `json:"hanging"`
	Effort    Effort     `json:"effort"`
	Whole     Effort     `json:"whole"` // of the part
}

// Hanging is a ceiling that the cut leaves hanging.
type Hanging struct {
	Height float64 `json:"height"` // in the piece
	On     float64 `json:"on"`     // on the part
	Bounds Bounds2 `json:"bounds"` // in plan
	Why    string  `json:"why"`
}

// Words says what hangs, and where.
func (h Hanging) Words() string {
	return fmt.Sprintf("the piece hangs %s mm above its foot (%s mm on the part), x %s to %s, y %s to %s: %s; the cut took away what held it: cut lower or wider, or expect it to fail there",
		length(h.Height), length(h.On), length(h.Bounds.Min[0]), length(h.Bounds.Max[0]),
		length(h.Bounds.Min[1]), length(h.Bounds.Max[1]), h.Why)
}

// NewTrial puts a proof piece into its JSON form.
func NewTrial(part, written, kept string, p *trial.Piece) Trial {
	t := Trial{Schema: TrialSchema, Part: part, Written: written, Kept: kept, Heights: round2([2]float64{p.From, p.To}),
		Bounds: bounds(p.Mesh.Bounds()), Triangles: len(p.Mesh.Triangles), Ceilings: len(p.Survey.Ceilings), Reach: round(p.Reach()),
		Crumbs: p.Crumbs, Loose: p.Loose, Hanging: []Hanging{}, Effort: effort(p.Effort), Whole: effort(p.Whole)}
	for _, c := range p.Hanging() {
		t.Hanging = append(t.Hanging, Hanging{round(c.Z[0]), round(c.Z[0] + p.From), Bounds2{round2(c.Min), round2(c.Max)}, c.Why})
	}
	return t
}

// WriteTrial says what a piece shows and what it takes.
func WriteTrial(w io.Writer, t Trial, s span.Settings, m rib.Material) {
	say := func(first, format string, a ...any) { fmt.Fprintln(w, wrap(first, fmt.Sprintf(format, a...), reading)) }
	say("Piece:    ", "%s, %s; of %s: %s", box(t.Bounds.Min, t.Bounds.Max), count(t.Triangles, "triangle"), t.Part, t.Kept)
	shows := fmt.Sprintf("the part from %s to %s mm above the bed, with %s", length(t.Heights[0]), length(t.Heights[1]), count(t.Ceilings, "ceiling"))
	if t.Ceilings == 0 {
		shows = fmt.Sprintf("the part from %s to %s mm above the bed, without a ceiling: how ribs stand and come off below", length(t.Heights[0]), length(t.Heights[1]))
	} else if t.Reach > 0 {
		shows += fmt.Sprintf("; no point there is further than %s mm from what holds it", length(t.Reach))
	}
	say("Shows:    ", "%s", shows)
	if t.Heights[0] > s.FirstLayer {
		say("          ", "Not shown: how steady the ribs are that stand below; here they begin on the bed.")
	}
	if t.Crumbs > 0 {
		say("          ", "Left out: %s of the cut, too thin for any printer.", count(t.Crumbs, "crumb"))
	}
	if t.Loose > 0 {
		say("          ", "Left out: %s that the cut leaves in mid-air by itself.", count(t.Loose, "piece"))
	}
	for _, h := range t.Hanging {
		say("Hangs:    ", "%s", h.Words())
	}
	e := rib.Effort{Volume: t.Effort.Volume, Mass: t.Effort.Mass, Filament: t.Effort.Filament, Minutes: t.Effort.Minutes}
	WriteEffort(w, e, m, rib.Assumed(s))
	say("          ", "The whole part takes %.1f g and about %s by the same estimate.", t.Whole.Mass, duration(t.Whole.Minutes))
	if t.Written != "-" {
		say("Written:  ", "%s", t.Written)
	}
	fmt.Fprintln(w, "\nPrint it as the part is to be printed:")
	for _, a := range []string{
		fmt.Sprintf("Layers of %s mm, the first of %s mm, the same filament, speeds and cooling; walls one bead thin printed; no support from the slicing program; do not scale, turn or lift it.", plain(s.Layer), plain(s.FirstLayer)),
		"Look at the ceilings from below when it is cold, then cut the ribs out as you will on the part.",
	} {
		say("  - ", "%s", a)
	}
	for _, a := range Cautions() {
		say("  - ", "%s", a)
	}
}

// Place says what a ceiling is and where: bed is the height of the part's
// lowest point.
func (c Ceiling) Place(bed float64) string {
	size := ""
	if c.Span != nil {
		size = fmt.Sprintf(" of %s mm", length(*c.Span))
	} else if c.Reach != nil {
		size = fmt.Sprintf(" of %s mm", length(*c.Reach))
	}
	return fmt.Sprintf("%s%s at %s mm above the bed, x %s to %s, y %s to %s", c.Kind, size, length(c.Z[0]-bed),
		length(c.Bounds.Min[0]), length(c.Bounds.Max[0]), length(c.Bounds.Min[1]), length(c.Bounds.Max[1]))
}

// ReadSurvey reads back the survey that survey --json wrote, or the one in a
// plan of rib.
func ReadSurvey(data []byte) (*Survey, error) {
	var head struct {
		Schema string  `json:"schema"`
		Survey *Survey `json:"survey"`
	}
	if err := json.Unmarshal(data, &head); err != nil {
		return nil, err
	}
	switch head.Schema {
	case PlanSchema:
		if head.Survey == nil || head.Survey.Schema != SurveySchema {
			return nil, fmt.Errorf("the plan holds no survey")
		}
		return head.Survey, nil
	case SurveySchema:
		var s Survey
		if err := json.Unmarshal(data, &s); err != nil {
			return nil, err
		}
		return &s, nil
	}
	return nil, fmt.Errorf("schema %q is neither %s nor %s", strings.ToValidUTF8(head.Schema, "?"), SurveySchema, PlanSchema)
}
