package rib

import (
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
	Setback     float64 // from visible faces; what hangs there must stay within the ledge
	Foot        float64 // width of a foot on each side
	Crest       Crest
	Sealed      bool            // rib sealed cavities too
	Only, Skip  []int           // ceiling numbers
	Refused     []int           // ceilings whose ribs did not pass the proof of an earlier plan; they are left
	Closer      map[int]float64 // bays of ceilings that did not pass the proof at Spacing, by number
	Own         []int           // ceilings that get ribs even if those of islands below carry them
	Bed         [3]float64      // zero: not given
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
// Slenderness and spacing are common practice, no published source. Ribs stay a
// nozzle behind visible faces, but never more than half of what may hang.
func DefaultSettings(s span.Settings) Settings {
	width := 1.25 * s.Nozzle
	return Settings{Spacing: s.Limit * 4 / 7, Width: width, Slenderness: 70, BraceLayers: 2,
		BracePitch: 70 * width, Setback: min(s.Nozzle, s.Ledge/2), Foot: 4,
		Material: Material{Density: 1.24, Diameter: 1.75, Speed: 40, Travel: 120, Support: 0.15}}
}

// A Rib is one web under a ceiling.
type Rib struct {
	From, To    section.Point    // centre line in plan
	Outline     section.Polygons // in its own plane: run from From, z
	Bottom, Top float64
	Legs        int
	Scheme      string // of the web, in words: "two corbels and one leg"
	Volume      float64
	Crest       Crest

	axis    axis
	contact []stretch // of the run under the ceiling
}

// A Brace is a horizontal strip tying webs to each other and to the part.
type Brace struct {
	From, To section.Point
	Depth    float64 // across, in plan
	Z        [2]float64
	Outline  section.Polygons // in plan
	Ties     int              // webs it holds
	Volume   float64          // of what lies between the webs
}

// A Foot is a pad on the bed under a web.
type Foot struct {
	Outline section.Polygons // in plan
	Z       [2]float64
}

// A Cut is one pass of the knife when the ribs come off, in order.
type Cut struct {
	What   string // "brace end", "brace", "foot", "springing", "landing", "crest"
	At     [3]float64
	Length float64
	Thick  float64
	Reach  float64 // how deep inside the opening the blade must go; +Inf when no side is open
}

// A CeilingPlan is what is built under one ceiling, or why nothing is.
type CeilingPlan struct {
	ID     int
	Layout string // in words: "4 ribs, bays of 31.6 mm"
	Bay    float64
	Why    string // why this layout, with the runner-up
	Left   string // reason nothing is built: "skipped", "low", "small", "sealed", "carried", ...; empty when ribbed
	Fault  bool   // left although it needs ribs and nobody asked to leave it
	Spared bool   // left because the ribs of islands below carry it too
	Ribs   []Rib
	Braces []Brace
	Feet   []Foot
	Cuts   []Cut
	Volume float64 // of what is added, mm3
	Sheets float64 // volume of full-height sheets for comparison
	// Unsteady names the ribs that no brace found room to hold as the
	// stability rule asks; nothing steadier carried the ceiling.
	Unsteady []Unsteady
}

// An Unsteady is a rib that may work loose.
type Unsteady struct {
	Rib int        // index in Ribs
	At  [3]float64 // where it misses its first brace
	Why string     // what is in the way of one
}

// Ribbed tells whether something is built under the ceiling.
func (c *CeilingPlan) Ribbed() bool { return len(c.Ribs) > 0 }

// Totals are sums over the plan; estimates say so where they are printed.
type Totals struct {
	Volume, Mass, Filament, Minutes float64 // mm3, g, mm, min
	CutLength                       float64
	Cuts                            int
	SupportVolume, SupportMinutes   float64 // ordinary full support for the same ceilings
	Sheets                          float64 // full-height sheets in the same places, mm3
}

// A Plan is everything that will be added to a part.
type Plan struct {
	Settings Settings
	Survey   *span.Survey
	Ceilings []CeilingPlan // every ceiling of the survey, in its order
	Totals   Totals
	Warnings []string
	Verified *Verification // nil until [Verify] was asked
}

// Ribbed is the number of ceilings that get ribs.
func (p *Plan) Ribbed() int {
	n := 0
	for i := range p.Ceilings {
		if p.Ceilings[i].Ribbed() {
			n++
		}
	}
	return n
}

// Solids returns the ribs, braces and feet as closed meshes, in plan order.
func (p *Plan) Solids() []*mesh.Mesh {
	var out []*mesh.Mesh
	for _, c := range p.Ceilings {
		for _, r := range c.Ribs {
			out = append(out, r.solid(p.Settings.Width))
		}
		for _, b := range c.Braces {
			out = append(out, upright(b.Outline, b.Z))
		}
		for _, f := range c.Feet {
			out = append(out, upright(f.Outline, f.Z))
		}
	}
	return out
}

// Zones returns the ribbed ceilings for the second survey, judged at spacing.
func (p *Plan) Zones() []span.Zone {
	var out []span.Zone
	step := max(p.Survey.Settings.Layer, p.Survey.Settings.FirstLayer)
	for i, c := range p.Ceilings {
		if !c.Ribbed() {
			continue
		}
		of := p.Survey.Ceilings[i]
		out = append(out, span.Zone{
			Footprint: section.Offset(of.Footprint, p.Settings.Width, section.Miter),
			Z:         [2]float64{of.Z[0] - 2*step, of.Z[1] + 2*step},
			Limit:     p.Settings.Spacing,
		})
	}
	return out
}

// OnRib tells whether a point lies in what the plan adds, or within a tenth of
// a millimetre of it: undersides there are the rib's own, not the part's.
func (p *Plan) OnRib(q [3]float64) bool {
	const near = 0.1
	at := section.Point{q[0], q[1]}
	for i := range p.Ceilings {
		c := &p.Ceilings[i]
		for k := range c.Ribs {
			r := &c.Ribs[k]
			if d := r.axis.left(at); d > p.Settings.Width/2+near || d < -p.Settings.Width/2-near {
				continue
			}
			if q[2] < r.Bottom-near || q[2] > r.Top+near {
				continue
			}
			if nearRegion(r.Outline, section.Point{r.axis.run(at), q[2]}, near) {
				return true
			}
		}
		for _, b := range c.Braces {
			if q[2] > b.Z[0]-near && q[2] < b.Z[1]+near && nearRegion(b.Outline, at, near) {
				return true
			}
		}
		for _, f := range c.Feet {
			if q[2] > f.Z[0]-near && q[2] < f.Z[1]+near && nearRegion(f.Outline, at, near) {
				return true
			}
		}
	}
	return false
}

// nearRegion tells whether a point lies in a region or within near of it.
func nearRegion(p section.Polygons, q section.Point, near float64) bool {
	if inside(p, q) {
		return true
	}
	for _, ring := range p {
		for i, a := range ring {
			d, l := unit(a, ring[(i+1)%len(ring)])
			x := axis{a, d}
			u := min(max(x.run(q), 0), l)
			if dist(x.at(u), q) <= near {
				return true
			}
		}
	}
	return false
}
