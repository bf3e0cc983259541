package job

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"

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

// Open reads a part.
func Open(ctx context.Context, in Input) (*Part, error) {
	var f *stl.File
	var err error
	name := in.Path
	if in.Path == "-" {
		name = "standard input"
		f, err = stl.Read(ctx, in.Stream, name)
	} else {
		name = filepath.Base(in.Path)
		f, err = stl.ReadFile(ctx, in.Path)
	}
	if err != nil {
		return nil, readError(in.Path, err)
	}
	return &Part{Name: name, Mesh: f.Mesh, Closed: true,
		Write: func(ctx context.Context, w io.Writer, r *union.Result) error {
			if r == nil {
				return stl.Write(ctx, w, f.Mesh, stl.Source{Records: f.Records})
			}
			return stl.Write(ctx, w, r.Mesh, stl.Source{Records: f.Records, Of: r.Source})
		}}, nil
}

// readError says what to do about a file that cannot be read.
func readError(path string, err error) error {
	switch {
	case errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.Is(err, fs.ErrNotExist):
		return unusable("%s: no such file; check its name and folder", path)
	case errors.Is(err, fs.ErrPermission):
		return unusable("%s: reading it is not permitted; change its permissions or copy it", path)
	}
	var p *fs.PathError
	if errors.As(err, &p) {
		return Unusable(fmt.Errorf("cannot read %s: %w", path, p.Err))
	}
	return Unusable(err)
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
