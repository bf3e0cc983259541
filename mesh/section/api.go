package section

import (
	"errors"

	"falsework/mesh"
)

// A Slicer answers horizontal cuts of one mesh at any height.
type Slicer struct{ m *mesh.Mesh }

// NewSlicer prepares m for horizontal cuts.
func NewSlicer(m *mesh.Mesh) *Slicer { return &Slicer{m} }

// At returns the cross-section at height z. A vertex exactly on the plane
// counts as above it; material is where the winding number is not zero.
func (s *Slicer) At(z float64) (Polygons, error) { return nil, errors.New("not yet") }

// A Line is a vertical cutting plane seen from above: it starts at From and
// runs in the unit direction Dir. A point of its sections is (run along the
// line, z).
type Line struct{ From, Dir Point }

// Vertical returns the section of m by a vertical plane.
func Vertical(m *mesh.Mesh, l Line) (Polygons, error) { return nil, errors.New("not yet") }

// Union returns the points in a or b.
func Union(a, b Polygons) Polygons { return nil }

// Intersect returns the points in both a and b.
func Intersect(a, b Polygons) Polygons { return nil }

// Subtract returns the points of a not in b.
func Subtract(a, b Polygons) Polygons { return nil }

// A Join is how an offset turns a corner.
type Join int

// The joins.
const (
	Miter Join = iota
	Round
)

// Offset grows (d > 0) or shrinks (d < 0) a region by d millimetres.
func Offset(p Polygons, d float64, j Join) Polygons { return nil }

// Contains reports whether q lies inside the region (borders may go either
// way).
func (p Polygons) Contains(q Point) bool { return false }
