package job

import (
	"context"
	"errors"
	"io"

	"falsework/mesh/stl"
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

// Write writes the ribbed part, or the part unchanged when nothing was
// ribbed.
func (o *Outcome) Write(ctx context.Context, w io.Writer) error {
	return o.Part.Write(ctx, w, o.Result)
}

// WriteRibs writes the ribs alone, in the part's coordinates.
func (o *Outcome) WriteRibs(ctx context.Context, w io.Writer) error {
	m, err := union.Combine(o.Plan.Solids())
	if err != nil {
		return err
	}
	return stl.Write(ctx, w, m, stl.Source{})
}

// WriteKeepOut writes bodies that fill the ribbed openings.
func (o *Outcome) WriteKeepOut(ctx context.Context, w io.Writer) error { return errors.New("not yet") }
