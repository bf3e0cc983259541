package union

import (
	"errors"
	"fmt"
)

// A Defect names what is wrong with a surface where another one meets it.
type Defect string

// The defects.
const (
	OpenEdge        Defect = "an open edge"                   // no triangle on the other side
	NonManifoldEdge Defect = "a non-manifold edge"            // not as many triangles one way as the other
	NotFinite       Defect = "a bad number"                   // NaN or infinite
	InsideOut       Defect = "a shell that is inside out"     // its volume is negative, and nothing holds it
	Pierced         Defect = "a surface that overlaps itself" // no place was found for the solids in which they could be cut
)

// A DefectError says that a surface is broken where another one meets it,
// with a place of the defect in millimetres. Where an added solid lies in the
// reach of an opening in the part, so that nothing tells whether it is inside
// or outside, the place is the edge of the opening nearest to it.
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
	return fmt.Sprintf("%s has %s at (%.3f, %.3f, %.3f), where another solid meets it: mend it there", what, e.Kind, e.At[0], e.At[1], e.At[2])
}

// broken is a DefectError that knows operands only.
type broken struct {
	kind Defect
	own  int // the operand that is broken
	at   [3]float64
}

func (e *broken) Error() string {
	return fmt.Sprintf("operand %d has %s at (%.3f, %.3f, %.3f)", e.own+1, e.kind, e.at[0], e.at[1], e.at[2])
}

// blame turns what is wrong with an operand into what is wrong with the part,
// or the tool that index finds. Other errors stay as they are.
func blame(err error, index func(at [3]float64) int) error {
	var b *broken
	if !errors.As(err, &b) {
		return err
	}
	d := &DefectError{Kind: b.kind, Tool: -1, At: b.at}
	if b.own == 1 {
		d.Tool = index(b.at)
	}
	return d
}

// ErrNotConverged is returned when no shift of the tools that was tried gave
// a sound surface. It is a fault of this package: nothing is returned rather
// than something broken.
var ErrNotConverged = errors.New("no sound surface found for any position of the added solids tried")

// errInternal is a broken promise inside the kernel; it is answered by
// another shift of the tools, and by ErrNotConverged in the end.
type errInternal string

func (e errInternal) Error() string { return "union: " + string(e) }

// broke is an errInternal with the place where it was seen.
func broke(what string, at vec) errInternal {
	return errInternal(fmt.Sprintf("%s near (%.3f, %.3f, %.3f)", what, at[0], at[1], at[2]))
}

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
