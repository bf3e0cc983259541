package rib

import (
	"fmt"
	"math"

	"falsework/mesh"
	"falsework/span"
)

// An Effort is what printing something takes: an estimate, from the
// assumptions in [Material] and those that [Assumed] puts into words.
type Effort struct {
	Volume   float64 // of filament laid, mm3
	Mass     float64 // g
	Filament float64 // length, mm
	Minutes  float64
}

// How a part is taken to be filled: so many walls of nozzle width all over,
// and inside them this share.
const (
	assumedWalls  = 3
	assumedInfill = 0.15
)

// Assumed says what [Printing] takes for granted beside the material.
func Assumed(of span.Settings) string {
	return fmt.Sprintf("three walls of %g mm and %.0f%% infill", of.Nozzle, 100*assumedInfill)
}

// Printing estimates what a closed mesh takes, ribs not told from part: three
// walls of nozzle width all over, 15 per cent inside, beads 1.25 nozzles wide
// and a layer high laid at one speed, and a travel across it on every layer.
func Printing(m *mesh.Mesh, of span.Settings, mat Material) Effort {
	var e Effort
	volume := math.Abs(m.Volume())
	walls := min(volume, m.Area()*assumedWalls*of.Nozzle)
	e.Volume = walls + float64(assumedInfill*(volume-walls))
	e.Mass = e.Volume / 1e3 * mat.Density
	e.Filament = mat.length(e.Volume)
	b := m.Bounds()
	layers := 1 + max(0, (b.Max[2]-b.Min[2]-of.FirstLayer)/of.Layer)
	across := math.Hypot(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1])
	bead := float64(1.25 * of.Nozzle * of.Layer)
	e.Minutes = (e.Volume/bead/mat.Speed + float64(layers*across)/mat.Travel) / 60
	return e
}
