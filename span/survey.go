package span

import (
	"context"
	"errors"

	"falsework/mesh"
	"falsework/mesh/section"
)

// Settings are what the survey needs to know of machine and filament.
// Lengths are millimetres, angles degrees measured from the vertical.
type Settings struct {
	Limit      float64 // longest bridge laid cleanly
	Slope      float64 // largest lean that prints on its own
	Ledge      float64 // depth that may hang beyond what holds
	Layer      float64 // layer height
	FirstLayer float64 // height of the first layer
	Nozzle     float64 // nozzle diameter
}

// Defaults returns the built-in settings. The limit among them is a
// convention, not a measurement of any machine.
func Defaults() Settings {
	return Settings{Limit: 70, Slope: 45, Ledge: 2, Layer: 0.2, FirstLayer: 0.2, Nozzle: 0.4}
}

// Kind says what a ceiling hangs from.
type Kind int

// The kinds of ceiling.
const (
	Bridge Kind = iota // carried between held edges
	Ledge              // stands out from a held edge
	Island             // begins in mid-air
)

// A Strip is what one layer adds to a ceiling.
type Strip struct {
	Layer     int              // index of the printed layer, 0 is the first
	Z         float64          // lower boundary of that layer
	Footprint section.Polygons // what the layer adds to the ceiling, in plan
}

// A Ceiling is an underside that the layer below does not carry, as one
// region in plan with a height over each point.
type Ceiling struct {
	ID        int
	Kind      Kind
	Span      float64 // longest bridge, +Inf for ledges and islands
	Reach     float64 // greatest distance to a held edge, +Inf for islands
	Area      float64
	Z         [2]float64 // lowest and highest underside, from the part's facets
	Min, Max  [2]float64 // bounds in plan
	NeedsRibs bool
	AtLimit   bool   // verdict hangs on less than the method's own error
	Low       bool   // clear height too small for a blade
	Small     bool   // an island too small to rib
	On        string // "part" or "rib"
	Why       string // the reason for the verdict, in words

	Footprint section.Polygons // union of the strips
	Strips    []Strip          // bottom to top
}

// A Zone is a place judged by a limit of its own: a ceiling that was ribbed
// is held to the spacing of its ribs.
type Zone struct {
	Footprint section.Polygons
	Z         [2]float64
	Limit     float64
}

// Options tell a survey what else it should know; the zero value is a plain
// survey of a part.
type Options struct {
	Zones    []Zone                        // judged by their own limit
	OnRib    func(p [3]float64) bool       // tells undersides of ribs from those of the part
	Progress func(done, total int)         // called from one goroutine, may be nil
	Warn     func(format string, a ...any) // may be nil
}

// A Survey is every ceiling of a part, ordered by z, then y, then x, with
// what a planner needs to try ribs under them.
type Survey struct {
	Bounds   mesh.Box
	Settings Settings
	Ceilings []Ceiling
}

// Run surveys a part standing in its printing pose.
func Run(ctx context.Context, m *mesh.Mesh, s Settings, o Options) (*Survey, error) {
	return nil, errors.New("not yet")
}

// A Judgement says how far a ceiling is from being carried.
type Judgement struct {
	Reach   float64    // greatest distance inside the footprint to a held edge or rib
	Hang    float64    // greatest distance to anything held or carried by a strand within the limit
	At      [2]float64 // where Hang is greatest
	ReachAt [2]float64
}

// Judge computes reach and hang of ceiling id (its ID) with ribs as further held
// places (regions in plan as thick as the ribs) and strands up to limit.
func (s *Survey) Judge(id int, ribs section.Polygons, limit float64) (Judgement, error) {
	return Judgement{}, errors.New("not yet")
}

// Grounded reports whether the part's material at a point is carried from the
// bed through layers already printed when its own layer is laid.
func (s *Survey) Grounded(p [3]float64) bool { return false }
