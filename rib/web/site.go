package web

import (
	"errors"
	"fmt"

	"falsework/mesh/section"
)

// A Site is the place where one web shall stand: the part cut by the web's
// plane, and what is asked of the web there. Points are (run u, height z) in
// millimetres.
type Site struct {
	// Sections of the part by the planes at -Width/2, 0 and +Width/2 across
	// the web. All three share the same run u.
	Sections [3]section.Polygons
	// Under lists the stretches of run where the web hangs under the ceiling,
	// by ascending run, not overlapping.
	Under []Interval
	// Grounded says whether the web may stand on or spring from the material
	// at a point just inside the part. Nil means that all material will do.
	Grounded func(u, z float64) bool
	// Forbidden are boxes that legs and corbels keep out of, such as the
	// openings of other ceilings. The crest alone may touch them.
	Forbidden []Box
	// Column asks for a plain column from floor to ceiling, as in an opening
	// of a thin wall.
	Column bool
	// Jamb, if given, is the section of the part by a parallel plane through
	// the wall beside the opening. A column then follows its profile.
	Jamb section.Polygons

	// Rough, where it is not zero, says that the sections are good for an estimate
	// only: made of pieces side by side, all three alike, upright borders off by
	// as much as this in run. They are taken as they are.
	Rough float64

	// Legs are runs at which the web shall have a leg, as its neighbours do
	// that are to be braced to it: it gets as many, as near to them as may be.
	Legs []float64

	Settings Settings

	planes planes
}

// An Interval is one stretch of run under the ceiling.
type Interval struct {
	From, To float64    // about 0.5 mm exact; the section decides
	Z        [2]float64 // lowest and highest underside of the ceiling between them
	// Hold says of each end, From first, whether the web may enter a wall
	// there. An end that does not hold is free or visible: the web stays back
	// from it by the setback.
	Hold [2]bool
}

// A Box is a range of run and height.
type Box struct{ U, Z [2]float64 }

// Settings are the measures a web obeys. Lengths are millimetres, angles
// degrees.
type Settings struct {
	Width       float64 // thickness of the web, across its plane
	Slope       float64 // largest lean from the vertical that prints on its own
	Slenderness float64 // free length over Width
	Setback     float64 // from free ends and visible faces
	Embed       float64 // how deep a holding web enters the part, 0.05 to 0.2
	Spacing     float64 // widest bay to the next web: the length of a brace
	BracePitch  float64 // clear gap between the braces of a column
	BraceLayers int     // layers of a brace
	Bed         float64 // height of the bed
	First       float64 // height of the first layer
	Layer       float64 // height of the others
	Notched     bool    // crest of nibs and gaps instead of full contact
}

// DefaultSettings are those of a 0.4 nozzle, layers of 0.2 and a limit of 70.
func DefaultSettings() Settings {
	return Settings{Width: 0.5, Slope: 45, Slenderness: 70, Setback: 0.4, Embed: 0.1,
		Spacing: 40, BracePitch: 35, BraceLayers: 2, First: 0.2, Layer: 0.2}
}

// A Web is the shape found. Lengths are millimetres, areas square millimetres,
// volumes cubic millimetres.
type Web struct {
	Outline    section.Polygons // (u, z), micron-snapped, embeds included
	Legs       []Leg
	Landings   []Landing
	Springings []Springing
	Braces     []Brace // the least set, from the bottom up
	Cuts       []Cut   // crests, springings and landings, not the braces
	Area       float64 // of the outline
	Volume     float64 // Area x Width
	Crest      float64 // contact length under the ceiling
	Sheet      float64 // area of the full sheet in the same place
	Scheme     string  // in words: "two corbels and one leg"
	Why        string  // the estimate beside that of the runner-up
	Bottom     float64 // lowest and highest point of the outline
	Top        float64

	settings Settings
	holds    *holds
	ceilings []profile
	column   bool
	cost     float64
}

// A Leg goes straight down from the crest or from between two arches.
type Leg struct {
	U [2]float64 // its sides
	Z [2]float64 // lowest point, and the height from where it widens
}

// Depth is the leg's extent along the run.
func (l Leg) Depth() float64 { return l.U[1] - l.U[0] }

// A Landing is where a leg stands.
type Landing struct {
	U     [2]float64
	Z     float64 // the highest point of contact
	Bed   bool    // on the bed; else on the part
	Steep bool    // springs from a face too steep to stand on
}

// A Springing is where a corbel meets its wall.
type Springing struct {
	U    float64    // run of the wall's face at the foot of the corbel
	Z    [2]float64 // foot of the corbel, and underside of the crest
	Left bool       // the wall is on the side of the smaller run
}

// A Cut is one pass of the knife to free the web.
type Cut struct {
	What   string     // "crest", "springing" or "landing"
	From   [2]float64 // (u, z)
	To     [2]float64
	Length float64 // of contact to be cut; less than the distance where notched
}

// A Brace is a height at which the web must be held across its plane.
type Brace struct {
	U  float64    // middle of the strip along the run
	Z  [2]float64 // bottom and top, on layer boundaries
	On string     // "leg", "corbel", "arch" or "column"
}

// Errors that say why a web cannot stand. They are wrapped with a place.
var (
	ErrThin    = errors.New("too little depth for one bead")
	ErrCeiling = errors.New("no ceiling found there")
	ErrStand   = errors.New("nothing to stand on or spring from")
	ErrGraze   = errors.New("the web grazes a wall beside it")
	ErrSteady  = errors.New("no height left for a brace")
)

// A PlaceError says where in the web's plane a rule could not be kept.
type PlaceError struct {
	U, Z float64
	Side int // -1 or +1 when one face of the web is meant
	Err  error
}

// Error names the rule and the place.
func (e *PlaceError) Error() string {
	return fmt.Sprintf("%v at run %.1f, height %.1f", e.Err, e.U, e.Z)
}

// Unwrap returns the rule.
func (e *PlaceError) Unwrap() error { return e.Err }

func at(err error, u, z float64) error { return &PlaceError{U: u, Z: z, Err: err} }
