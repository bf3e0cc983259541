package report

import (
	"falsework/mesh"
	"falsework/rib"
	"falsework/span"
)

// A Part is what the reports say of the part itself.
type Part struct {
	Name      string
	Triangles int
	Closed    bool
	Notes     []string // mends and defects, in words
}

// The versions of the JSON forms.
const (
	SurveySchema = "falsework/survey/1"
	PlanSchema   = "falsework/plan/1"
)

// Survey is the JSON form of a survey. Lengths are millimetres; null stands
// for infinite.
type Survey struct {
	Schema    string    `json:"schema"`
	Part      string    `json:"part"`
	Triangles int       `json:"triangles"`
	Closed    bool      `json:"closed"`
	Notes     []string  `json:"notes,omitempty"`
	Bounds    Bounds    `json:"bounds"`
	Settings  Settings  `json:"settings"`
	Ceilings  []Ceiling `json:"ceilings"`
}

// Bounds is a box in space.
type Bounds struct {
	Min [3]float64 `json:"min"`
	Max [3]float64 `json:"max"`
}

// Bounds2 is a box in plan.
type Bounds2 struct {
	Min [2]float64 `json:"min"`
	Max [2]float64 `json:"max"`
}

// Settings are what a survey was made with.
type Settings struct {
	Limit      float64 `json:"limit"`
	Slope      float64 `json:"slope"`
	Ledge      float64 `json:"ledge"`
	Layer      float64 `json:"layer"`
	FirstLayer float64 `json:"first_layer"`
	Nozzle     float64 `json:"nozzle"`
}

// Ceiling is one ceiling of a survey.
type Ceiling struct {
	ID        int        `json:"id"`
	Kind      string     `json:"kind"`
	Span      *float64   `json:"span"`
	Reach     *float64   `json:"reach"`
	Area      float64    `json:"area"`
	Z         [2]float64 `json:"z"`
	Bounds    Bounds2    `json:"bounds"`
	NeedsRibs bool       `json:"needs_ribs"`
	AtLimit   bool       `json:"at_limit"`
	Low       bool       `json:"low"`
	Small     bool       `json:"small"`
	On        string     `json:"on"`
	Why       string     `json:"why"`
}

// NewSurvey puts a survey into its JSON form.
func NewSurvey(p Part, s *span.Survey) Survey {
	return Survey{
		Schema: SurveySchema, Part: p.Name, Triangles: p.Triangles, Closed: p.Closed, Notes: p.Notes,
		Bounds: bounds(s.Bounds), Settings: settingsOf(s.Settings), Ceilings: ceilings(s.Ceilings),
	}
}

func bounds(b mesh.Box) Bounds { return Bounds{round3(b.Min), round3(b.Max)} }

func settingsOf(s span.Settings) Settings {
	return Settings{s.Limit, s.Slope, s.Ledge, s.Layer, s.FirstLayer, s.Nozzle}
}

func ceilings(list []span.Ceiling) []Ceiling {
	out := make([]Ceiling, 0, len(list))
	for _, c := range list {
		out = append(out, Ceiling{
			ID: c.ID, Kind: kind(c.Kind), Span: finite(c.Span), Reach: finite(c.Reach), Area: round(c.Area),
			Z: round2(c.Z), Bounds: Bounds2{round2(c.Min), round2(c.Max)},
			NeedsRibs: c.NeedsRibs, AtLimit: c.AtLimit, Low: c.Low, Small: c.Small, On: onWhat(c.On), Why: c.Why,
		})
	}
	return out
}

func kind(k span.Kind) string {
	switch k {
	case span.Ledge:
		return "ledge"
	case span.Island:
		return "island"
	}
	return "bridge"
}

func onWhat(on string) string {
	if on == "" {
		return "part"
	}
	return on
}

// Plan is the JSON form of a plan and of its verification.
type Plan struct {
	Schema   string        `json:"schema"`
	Survey   Survey        `json:"survey"`
	Settings RibSettings   `json:"settings"`
	Ceilings []CeilingPlan `json:"ceilings"`
	Totals   Totals        `json:"totals"`
	Warnings []string      `json:"warnings"`
	Slicing  []string      `json:"slicing"` // what the slicing program must be told
	Verified *Verified     `json:"verified"`
	Written  []string      `json:"written"`
}

// RibSettings are what a plan was made with. Spool is grams, 0 when not
// given; the bed is null when not given.
type RibSettings struct {
	Spacing        float64     `json:"spacing"`
	RibWidth       float64     `json:"rib_width"`
	Slenderness    float64     `json:"slenderness"`
	BraceLayers    int         `json:"brace_layers"`
	BracePitch     float64     `json:"brace_pitch"`
	Setback        float64     `json:"setback"`
	Foot           float64     `json:"foot"`
	Crest          string      `json:"crest"`
	Sealed         bool        `json:"sealed"`
	Only           []int       `json:"only,omitempty"`
	Skip           []int       `json:"skip,omitempty"`
	Bed            *[3]float64 `json:"bed"`
	Density        float64     `json:"density"`
	Diameter       float64     `json:"diameter"`
	Speed          float64     `json:"speed"`
	Travel         float64     `json:"travel"`
	SupportDensity float64     `json:"support_density"`
	Spool          float64     `json:"spool"`
}

// CeilingPlan is what is built under one ceiling, or why nothing is.
type CeilingPlan struct {
	ID     int     `json:"id"`
	Layout string  `json:"layout,omitempty"`
	Bay    float64 `json:"bay,omitempty"`
	Why    string  `json:"why,omitempty"`
	Left   string  `json:"left,omitempty"`
	Fault  bool    `json:"fault,omitempty"`
	Sheets float64 `json:"sheets,omitempty"`
	Ribs   []Rib   `json:"ribs"`
	Braces []Brace `json:"braces"`
	Feet   []Foot  `json:"feet"`
	Cuts   []Cut   `json:"cuts"`
}

// Rib is one web: its line in plan, heights, legs and volume.
type Rib struct {
	From   [2]float64 `json:"from"`
	To     [2]float64 `json:"to"`
	Bottom float64    `json:"bottom"`
	Top    float64    `json:"top"`
	Legs   int        `json:"legs"`
	Volume float64    `json:"volume"`
	Crest  string     `json:"crest"`
	// Unsteady says what is in the way of the brace that a rib misses.
	Unsteady string `json:"unsteady,omitempty"`
}

// Brace is a horizontal strip.
type Brace struct {
	From  [2]float64 `json:"from"`
	To    [2]float64 `json:"to"`
	Depth float64    `json:"depth"`
	Z     [2]float64 `json:"z"`
}

// Foot is a pad on the bed, by its bounds in plan.
type Foot struct {
	Bounds Bounds2    `json:"bounds"`
	Z      [2]float64 `json:"z"`
}

// Cut is one pass of the knife.
type Cut struct {
	What   string     `json:"what"`
	At     [3]float64 `json:"at"`
	Length float64    `json:"length"`
	Thick  float64    `json:"thick"`
	Reach  *float64   `json:"reach"` // null where no side of the ceiling is open
}

// Totals are sums over a plan: mm3, g, mm, min. They are estimates from the
// settings of the plan.
type Totals struct {
	Ribs           int     `json:"ribs"`
	Braces         int     `json:"braces"`
	Feet           int     `json:"feet"`
	Unsteady       int     `json:"unsteady"` // ribs that miss a brace, and may work loose
	Volume         float64 `json:"volume"`
	Mass           float64 `json:"mass"`
	Filament       float64 `json:"filament"`
	Minutes        float64 `json:"minutes"`
	CutLength      float64 `json:"cut_length"`
	Cuts           int     `json:"cuts"`
	SupportVolume  float64 `json:"support_volume"`
	SupportMinutes float64 `json:"support_minutes"`
}

// Verified is what the second survey and the union found.
type Verified struct {
	OK         bool      `json:"ok"` // nothing is written otherwise
	Closed     bool      `json:"closed"`
	Triangles  int       `json:"triangles"`
	PartVolume float64   `json:"part_volume"`
	RibVolume  float64   `json:"rib_volume"`
	Overlap    float64   `json:"overlap"`
	Volume     float64   `json:"volume"`
	Reach      float64   `json:"reach"` // greatest under a ribbed ceiling
	Notes      []string  `json:"notes"`
	Ceilings   []Ceiling `json:"ceilings"`
}

// NewPlan puts a plan into its JSON form. verified is nil before there was a
// second survey.
func NewPlan(p Part, plan *rib.Plan, verified *Verified, written []string) Plan {
	out := Plan{
		Schema: PlanSchema, Survey: NewSurvey(p, plan.Survey), Settings: ribSettings(plan.Settings),
		Ceilings: make([]CeilingPlan, 0, len(plan.Ceilings)), Totals: totals(plan),
		Warnings: append([]string{}, plan.Warnings...), Slicing: Slicing(plan.Settings, plan.Survey.Settings),
		Verified: verified, Written: append([]string{}, written...),
	}
	for i := range plan.Ceilings {
		out.Ceilings = append(out.Ceilings, ceilingPlan(&plan.Ceilings[i]))
	}
	return out
}

// NewVerified puts a verification, and the second survey it rests on, into
// JSON form.
func NewVerified(v *rib.Verification, second *span.Survey, triangles int, notes []string) *Verified {
	return &Verified{
		OK: v.Verified, Closed: v.Closed, Triangles: triangles, PartVolume: round(v.Part), RibVolume: round(v.Ribs),
		Overlap: round(v.Overlap), Volume: round(v.Ribbed), Reach: round(v.Reach),
		Notes: append(append([]string{}, v.Reasons...), notes...), Ceilings: ceilings(second.Ceilings),
	}
}

func ribSettings(s rib.Settings) RibSettings {
	m := s.Material
	out := RibSettings{
		Spacing: round(s.Spacing), RibWidth: round(s.Width), Slenderness: s.Slenderness, BraceLayers: s.BraceLayers,
		BracePitch: round(s.BracePitch), Setback: round(s.Setback), Foot: s.Foot, Crest: s.Crest.String(), Sealed: s.Sealed,
		Only: s.Only, Skip: s.Skip, Density: m.Density, Diameter: m.Diameter, Speed: m.Speed, Travel: m.Travel,
		SupportDensity: m.Support, Spool: m.Spool,
	}
	if s.Bed != [3]float64{} {
		out.Bed = &s.Bed
	}
	return out
}

func ceilingPlan(c *rib.CeilingPlan) CeilingPlan {
	out := CeilingPlan{
		ID: c.ID, Layout: c.Layout, Bay: round(c.Bay), Why: c.Why, Left: c.Left, Fault: c.Fault, Sheets: round(c.Sheets),
		Ribs: []Rib{}, Braces: []Brace{}, Feet: []Foot{}, Cuts: []Cut{},
	}
	for _, r := range c.Ribs {
		out.Ribs = append(out.Ribs, Rib{round2(r.From), round2(r.To), round(r.Bottom), round(r.Top), r.Legs, round(r.Volume), r.Crest.String(), ""})
	}
	for _, u := range c.Unsteady {
		out.Ribs[u.Rib].Unsteady = u.Why
	}
	for _, b := range c.Braces {
		out.Braces = append(out.Braces, Brace{round2(b.From), round2(b.To), round(b.Depth), round2(b.Z)})
	}
	for _, f := range c.Feet {
		lo, hi := [2]float64{}, [2]float64{}
		first := true
		for _, ring := range f.Outline {
			for _, q := range ring {
				for i := range q {
					if first || q[i] < lo[i] {
						lo[i] = q[i]
					}
					if first || q[i] > hi[i] {
						hi[i] = q[i]
					}
				}
				first = false
			}
		}
		out.Feet = append(out.Feet, Foot{Bounds2{round2(lo), round2(hi)}, round2(f.Z)})
	}
	for _, k := range c.Cuts {
		out.Cuts = append(out.Cuts, Cut{k.What, round3(k.At), round(k.Length), round(k.Thick), finite(k.Reach)})
	}
	return out
}

func totals(p *rib.Plan) Totals {
	t := p.Totals
	out := Totals{
		Volume: round(t.Volume), Mass: round(t.Mass), Filament: round(t.Filament), Minutes: round(t.Minutes),
		CutLength: round(t.CutLength), Cuts: t.Cuts, SupportVolume: round(t.SupportVolume), SupportMinutes: round(t.SupportMinutes),
	}
	for _, c := range p.Ceilings {
		out.Ribs += len(c.Ribs)
		out.Braces += len(c.Braces)
		out.Feet += len(c.Feet)
		out.Unsteady += len(c.Unsteady)
	}
	return out
}
