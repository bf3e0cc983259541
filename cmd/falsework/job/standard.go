package job

import (
	"context"
	"io"

	"falsework/mesh"
	"falsework/mesh/meshfile"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// Standard returns the real stages.
func Standard(p Progress) *Line {
	return &Line{Open: Open, Survey: span.Run, Plan: new(rib.Memory).Make, Unite: union.UniteAudited, Verify: rib.Verify, Progress: p}
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
func (o *Outcome) WriteRibs(ctx context.Context, w io.Writer, f meshfile.Format) error {
	m, err := o.ribs()
	if err != nil {
		return err
	}
	return meshfile.Encode(ctx, w, f, meshfile.Object{Name: "ribs", Mesh: m})
}

// ribs returns the ribs as one surface.
func (o *Outcome) ribs() (*mesh.Mesh, error) {
	if o.solids == nil {
		m, err := union.Combine(o.Plan.Solids())
		if err != nil {
			return nil, err
		}
		o.solids = m
	}
	return o.solids, nil
}

// KeepOut fills the ribbed openings with bodies that stay gap off the part.
func (o *Outcome) KeepOut(ctx context.Context, gap float64) (*rib.KeepOut, error) {
	k, err := o.Plan.KeepOut(ctx, o.Part.Mesh, gap)
	if err != nil {
		return nil, at(o.Part, err)
	}
	return k, nil
}

// encode writes the result as the part's form asks.
func (o *Outcome) encode(ctx context.Context, w io.Writer) error {
	if !o.Part.Form.Separate {
		return o.Part.Write(ctx, w, o.Result)
	}
	m, err := o.ribs()
	if err != nil {
		return err
	}
	return o.Part.Beside(ctx, w, m)
}

// report is that of the union, worded for what is written: as objects of
// their own the ribs are shells that overlap the part.
func (o *Outcome) report() union.Report {
	r := o.Result.Report
	if o.Part.Form.Separate {
		r.Loose = len(o.Plan.Solids())
	}
	return r
}
