package union

import (
	"errors"

	"falsework/mesh"
)

// A Result is a part united with tools, and what was measured on the way.
type Result struct {
	Mesh   *mesh.Mesh
	Source []int32 // per triangle: the part's triangle it is, untouched, or -1
	Report Report
}

// A Report is what Unite measured. Volumes are cubic millimetres, lengths
// millimetres.
type Report struct {
	PartVolume, ToolVolume, Overlap, Volume float64
	Move                                    float64    // greatest displacement of a new vertex by rounding
	Shift                                   [3]float64 // rigid shift given to the tools
	Redraws                                 int        // shifts tried in vain
	Loose                                   int        // tools added as shells of their own (see the package comment)
	Notes                                   []string
}

// Unite returns part and tools as one closed oriented surface.
func Unite(part *mesh.Mesh, tools []*mesh.Mesh) (*Result, error) {
	return nil, errors.New("not yet")
}

// Intersect returns the solid common to part and a closed tool.
func Intersect(part, tool *mesh.Mesh) (*Result, error) {
	return nil, errors.New("not yet")
}
