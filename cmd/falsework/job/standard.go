package job

import (
	"context"
	"errors"
	"io"

	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// Standard returns the real stages.
func Standard(p Progress) *Line {
	return &Line{Open: Open, Survey: span.Run, Plan: rib.Make, Unite: union.Unite, Verify: verify, Progress: p}
}

func verify(*rib.Plan, *span.Survey, *union.Result) ([]string, error) {
	return nil, errors.New("not yet")
}

// Open reads a part.
func Open(ctx context.Context, in Input) (*Part, error) {
	return nil, errors.New("not yet")
}

// Write writes the ribbed part, or the part unchanged when nothing was
// ribbed.
func (o *Outcome) Write(w io.Writer) error { return errors.New("not yet") }

// WriteRibs writes the ribs alone, in the part's coordinates.
func (o *Outcome) WriteRibs(w io.Writer) error { return errors.New("not yet") }

// WriteKeepOut writes bodies that fill the ribbed openings.
func (o *Outcome) WriteKeepOut(w io.Writer) error { return errors.New("not yet") }
