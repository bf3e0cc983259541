package rib

import (
	"context"
	"errors"

	"falsework/mesh"
	"falsework/mesh/section"
	"falsework/span"
)

// Crest says how a rib meets its ceiling.
type Crest int

// The crests.
const (
	CrestAuto    Crest = iota // solid where a blade reaches easily, notched beyond
	CrestSolid                // full contact
	CrestNotched              // nibs with gaps between them
)

// Settings are what the planner needs to know. Lengths are millimetres.
type Settings struct {
	Spacing     float64 // widest bay
	Width       float64 // rib thickness
	Slenderness float64 // free length over thickness
	BraceLayers int     // layers of a brace
	BracePitch  float64 // clear gap between braces in a thin wall's opening
	Setback     float64 // from visible faces
	Foot        float64 // width of a foot on each side
	Crest       Crest
	Sealed      bool       // rib sealed cavities too
	Only, Skip  []int      // ceiling numbers
	Bed         [3]float64 // zero: not given
	Material    Material
}

// Material is what the estimates assume of filament and machine.
type Material struct {
	Density  float64 // g/cm3
	Diameter float64 // of the filament, mm
	Speed    float64 // mm/s while laying ribs
	Travel   float64 // mm/s between them
	Support  float64 // density of ordinary full support, 0 to 1
	Spool    float64 // grams left, 0: not given
}

// DefaultSettings returns the built-in settings that follow from the survey's.
func DefaultSettings(s span.Settings) Settings {
	width := 1.25 * s.Nozzle
	return Settings{Spacing: s.Limit * 4 / 7, Width: width, Slenderness: 70, BraceLayers: 2,
		BracePitch: 70 * width, Setback: s.Nozzle, Foot: 4,
		Material: Material{Density: 1.24, Diameter: 1.75, Speed: 40, Travel: 120, Support: 0.15}}
}

// A Rib is one web under a ceiling.
type Rib struct {
	From, To    section.Point    // centre line in plan
	Outline     section.Polygons // in its own plane: run from From, z
	Bottom, Top float64
	Legs        int
	Volume      float64
	Crest       Crest
}

// A Brace is a horizontal strip tying webs to each other and to the part.
type Brace struct {
	From, To section.Point
	Depth    float64 // across, in plan
	Z        [2]float64
}

// A Foot is a pad on the bed under a web.
type Foot struct {
	Outline section.Polygons // in plan
	Z       [2]float64
}

// A Cut is one pass of the knife when the ribs come off, in order.
type Cut struct {
	What   string // "brace end", "brace", "foot", "springing", "crest"
	At     [3]float64
	Length float64
	Thick  float64
	Reach  float64 // how deep inside the opening the blade must go
}

// A CeilingPlan is what is built under one ceiling, or why nothing is.
type CeilingPlan struct {
	ID     int
	Layout string // in words: "4 ribs, bays of 31.6 mm"
	Bay    float64
	Why    string // why this layout, with the runner-up
	Left   string // reason nothing is built: "skipped", "low", "small", "sealed", ...; empty when ribbed
	Fault  bool   // left although it needs ribs and nobody asked to leave it
	Ribs   []Rib
	Braces []Brace
	Feet   []Foot
	Cuts   []Cut
	Sheets float64 // volume of full-height sheets for comparison
}

// Totals are sums over the plan; estimates say so where they are printed.
type Totals struct {
	Volume, Mass, Filament, Minutes float64 // mm3, g, mm, min
	CutLength                       float64
	Cuts                            int
	SupportVolume, SupportMinutes   float64 // ordinary full support for the same ceilings
}

// A Plan is everything that will be added to a part.
type Plan struct {
	Settings Settings
	Survey   *span.Survey
	Ceilings []CeilingPlan
	Totals   Totals
	Warnings []string
}

// Make plans the ribs for every ceiling of the survey that needs them.
func Make(ctx context.Context, part *mesh.Mesh, survey *span.Survey, s Settings) (*Plan, error) {
	return nil, errors.New("not yet")
}

// Solids returns the ribs, braces and feet as closed meshes, in plan order.
func (p *Plan) Solids() []*mesh.Mesh { return nil }

// Zones returns the ribbed ceilings for the second survey, judged at spacing.
func (p *Plan) Zones() []span.Zone { return nil }
