package job

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"

	"falsework/cmd/falsework/settings"
	"falsework/mesh"
	"falsework/mesh/stl"
	"falsework/mesh/union"
)

// Open reads a part, brings it to millimetres and into its pose, turns shells
// that are inside out, and notes every fault of its surface.
func Open(ctx context.Context, in Input) (*Part, error) {
	p := &Part{Name: filepath.Base(in.Path)}
	var f *stl.File
	var err error
	if in.Path == "-" {
		p.Name = "standard input"
		f, err = stl.Read(ctx, in.Stream, p.Name)
	} else {
		f, err = stl.ReadFile(ctx, in.Path)
	}
	if err != nil {
		return nil, readError(in.Path, err)
	}
	t, err := stand(in.Values)
	if err != nil {
		return nil, err
	}
	source := stl.Source{Records: f.Records}
	if !t.Identity() {
		source = stl.Source{}
	}
	p.Mesh = t.Apply(f.Mesh)
	if err := p.examine(ctx); err != nil {
		return nil, err
	}
	p.Write = func(ctx context.Context, w io.Writer, r *union.Result) error {
		if r == nil {
			return stl.Write(ctx, w, p.Mesh, source)
		}
		from := source
		from.Of = r.Source
		return stl.Write(ctx, w, r.Mesh, from)
	}
	p.Again = func(ctx context.Context, file []byte) (*mesh.Mesh, error) {
		f, err := stl.Parse(ctx, file, p.Name)
		if err != nil {
			return nil, err
		}
		return f.Mesh, nil
	}
	return p, nil
}

// stand returns the transform that the values ask for.
func stand(v *settings.Values) (mesh.Transform, error) {
	scale, err := mesh.Unit(v.Unit)
	if err != nil {
		return mesh.Transform{}, err
	}
	return mesh.Turn(v.Turn[0], v.Turn[1], v.Turn[2]).Scaled(scale), nil
}

// examine audits the surface. Faults that leave no solid at all are errors;
// the others become notes, and are refused later only where they matter.
func (p *Part) examine(ctx context.Context) error {
	a, err := p.Mesh.Audit(ctx)
	if err != nil {
		return err
	}
	for _, k := range []mesh.FaultKind{mesh.Empty, mesh.Flat, mesh.NoVolume} {
		if f := a.Fault(k); f != nil {
			return unusable("%s: %w", p.Name, f)
		}
	}
	turned, flips := p.Mesh.Orient(a)
	if len(flips) > 0 {
		p.Notes = append(p.Notes, flipNote(len(flips)))
		p.Mesh = turned
		if a, err = turned.Audit(ctx); err != nil {
			return err
		}
	}
	p.Audit, p.Closed = a, a.Closed()
	for i := range a.Faults {
		p.Notes = append(p.Notes, "as read: "+a.Faults[i].Error())
	}
	return nil
}

func flipNote(n int) string {
	if n == 1 {
		return "mended: a shell was inside out and has been turned"
	}
	return fmt.Sprintf("mended: %d shells were inside out and have been turned", n)
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
