package union

import (
	"errors"
	"fmt"
)

// A Defect names what is wrong with a surface where another one meets it.
type Defect string

// The defects.
const (
	OpenEdge        Defect = "open edge"         // no triangle on the other side
	NonManifoldEdge Defect = "non-manifold edge" // not as many triangles one way as the other
	NotFinite       Defect = "bad number"        // NaN or infinite
	InsideOut       Defect = "inside-out"        // negative volume
	Pierced         Defect = "surface that crosses itself"
)

// A DefectError says that a surface is broken where it would have to be cut,
// with a place of the defect in millimetres.
type DefectError struct {
	Kind Defect
	Tool int // index of the tool that is broken, -1 when it is the part
	At   [3]float64
}

func (e *DefectError) Error() string {
	what := "the part"
	if e.Tool >= 0 {
		what = fmt.Sprintf("added solid %d", e.Tool+1)
	}
	return fmt.Sprintf("%s has an %s at (%.3f, %.3f, %.3f), where it would be cut: mend it there", what, e.Kind, e.At[0], e.At[1], e.At[2])
}

// ErrNotConverged is returned when no shift of the tools that was tried gave
// a sound surface. It is a fault of this package: nothing is returned rather
// than something broken.
var ErrNotConverged = errors.New("no sound surface found for any position of the added solids tried")

// errInternal is a broken promise inside the kernel; it is answered by
// another shift of the tools, and by ErrNotConverged in the end.
type errInternal string

func (e errInternal) Error() string { return "union: " + string(e) }

// A conflict is a place where the winding number of one solid steps other
// than between 0 and 1 across a surface that the other one cuts: it overlaps
// itself there.
type conflict struct {
	own int // the operand that overlaps itself
	at  [3]float64
}

func (c *conflict) Error() string {
	return fmt.Sprintf("overlapping surfaces at (%.3f, %.3f, %.3f)", c.at[0], c.at[1], c.at[2])
}
