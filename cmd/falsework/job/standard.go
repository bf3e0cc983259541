package job

import (
	"context"
	"io"

	"falsework/mesh/stl"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// Standard returns the real stages.
func Standard(p Progress) *Line {
	return &Line{Open: Open, Survey: span.Run, Plan: rib.Make, Unite: union.Unite, Verify: rib.Verify, Progress: p}
}

// Write writes the ribbed part, or the part unchanged when nothing was
// ribbed.
func (o *Outcome) Write(ctx context.Context, w io.Writer) error {
	if o.Result == nil {
		return o.Part.Write(ctx, w, nil)
	}
	_, err := w.Write(o.File)
	return err
}

// WriteRibs writes the ribs alone, in the part's coordinates.
func (o *Outcome) WriteRibs(ctx context.Context, w io.Writer) error {
	m, err := union.Combine(o.Plan.Solids())
	if err != nil {
		return err
	}
	return stl.Write(ctx, w, m, stl.Source{})
}
