package span

import (
	"context"
	"fmt"
	"math"

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
	Limit     float64          // what it was judged by where it hangs furthest: the settings' limit, or that of its zone
	Hang      float64          // greatest distance to what holds or is carried within Limit
	HangAt    [2]float64       // where that is
	Hanging   [][3]float64     // of one that needs ribs, places that hang; none where it begins in mid-air
	Held      [][]Point        // border that rests on material, as open or closed lines
	Free      [][]Point        // the rest of the border
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
	Carried  []Ceiling                     // islands, of an earlier survey of the part, that are taken to be carried
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

	cuts   *cuts
	ground *ground
	pieces []*piece // by ceiling, in order
}

// Check reports the first setting that no machine can have.
func (s Settings) Check() error {
	for _, v := range []struct {
		name     string
		value    float64
		from, to float64
	}{
		{"limit", s.Limit, 0.1, 10000},
		{"slope", s.Slope, 1, 89},
		{"ledge", s.Ledge, 0, 10000},
		{"layer", s.Layer, 0.01, 10},
		{"first layer", s.FirstLayer, 0.01, 10},
		{"nozzle", s.Nozzle, 0.05, 10},
	} {
		if !(v.value >= v.from && v.value <= v.to) {
			return fmt.Errorf("%s of %g is outside %g to %g", v.name, v.value, v.from, v.to)
		}
	}
	return nil
}

// mostLayers is the highest stack that is read; a part that needs more was not
// meant in millimetres.
const mostLayers = 200000

// Run surveys a part standing in its printing pose.
func Run(ctx context.Context, m *mesh.Mesh, s Settings, o Options) (*Survey, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	out := &Survey{Bounds: m.Bounds(), Settings: s}
	st := newStack(out.Bounds, s)
	if math.IsNaN(out.Bounds.Max[2] - out.Bounds.Min[2]) {
		return nil, fmt.Errorf("the part has coordinates that are not numbers")
	}
	if st.n > mostLayers {
		return nil, fmt.Errorf("%d layers of %g mm: the part is %.0f mm high; check its unit", st.n, s.Layer, out.Bounds.Max[2]-out.Bounds.Min[2])
	}
	act, err := findActivity(ctx, m, out.Bounds, st, s.Slope)
	if err != nil {
		return nil, err
	}
	return out.read(ctx, m, o, st, act)
}

// Grounded reports whether the part's material at a point is carried from the
// bed through layers already printed when its own layer is laid.
func (s *Survey) Grounded(p [3]float64) bool {
	if s.cuts == nil || p[2] < s.Bounds.Min[2] || p[2] > s.Bounds.Max[2] {
		return false
	}
	return s.ground.at(s.cuts.st.of(p[2]), Point{p[0], p[1]})
}

// Floats reports whether a point of the part belongs to what begins in mid-air
// and is not carried yet when its layer is laid. Unlike [Survey.Grounded] it
// does not ask whether there is material, and so needs no section of the part.
func (s *Survey) Floats(p [3]float64) bool {
	if s.cuts == nil {
		return false
	}
	l := s.ground.find[s.cuts.st.of(p[2])]
	return l != nil && l.has(Point{p[0], p[1]})
}

// Layers returns the number of layers of the part.
func (s *Survey) Layers() int {
	if s.cuts == nil {
		return 0
	}
	return s.cuts.st.n
}

// LayerZ returns the lower boundary of layer k, which is the upper one of layer
// k-1.
func (s *Survey) LayerZ(k int) float64 { return s.cuts.st.lower(k) }

// LayerOf returns the layer that holds height z.
func (s *Survey) LayerOf(z float64) int { return s.cuts.st.of(z) }

// Section returns the cross-section of the part on the mid-plane of layer k;
// outside the stack it is empty. It may be called from several goroutines.
func (s *Survey) Section(k int) (section.Polygons, error) { return s.cuts.at(k) }
