package job

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"strings"

	"falsework/cmd/falsework/settings"
	"falsework/mesh"
	"falsework/mesh/field"
	"falsework/mesh/mend"
	"falsework/mesh/meshfile"
	"falsework/mesh/stl"
	"falsework/mesh/union"
)

// A Form is how results are written.
type Form struct {
	Format   meshfile.Format
	Separate bool // part and ribs as objects of their own; 3MF only
}

// Open reads a part, brings it to millimetres and into its pose, mends what is
// certain, and notes every mend and every fault that stays.
func Open(ctx context.Context, in Input) (*Part, error) {
	p := &Part{Name: filepath.Base(in.Path)}
	var f *meshfile.File
	var err error
	if in.Path == "-" {
		p.Name = "standard input"
		f, err = meshfile.Read(ctx, in.Stream, p.Name)
	} else {
		f, err = meshfile.ReadFile(ctx, in.Path)
	}
	if err != nil {
		return nil, readError(in.Path, err)
	}
	p.Format, p.Form.Format, p.Declared = f.Format, f.Format, f.Unit
	p.tellFile(f, in.Values)
	t, err := p.stand(in.Values)
	if err != nil {
		return nil, err
	}
	p.Mesh = t.Apply(f.Mesh)
	records := f.Records
	if !t.Identity() {
		p.turned, records = true, nil // a turned triangle is not as it was read
	}
	if err := p.mend(ctx, in.Values.Resample); err != nil {
		return nil, err
	}
	p.Write = func(ctx context.Context, w io.Writer, r *union.Result) error {
		m, of, name := p.Mesh, p.origin, p.title()
		if r != nil {
			m, of, name = r.Mesh, compose(r.Source, p.origin), name+" with ribs"
		}
		if p.Form.Format == meshfile.STL {
			return stl.Write(ctx, w, m, stl.Source{Records: records, Of: of})
		}
		return meshfile.Encode(ctx, w, p.Form.Format, meshfile.Object{Name: name, Mesh: m})
	}
	p.Beside = func(ctx context.Context, w io.Writer, ribs *mesh.Mesh) error {
		return meshfile.Encode(ctx, w, p.Form.Format, meshfile.Object{Name: p.title(), Mesh: p.Mesh}, meshfile.Object{Name: "ribs", Mesh: ribs})
	}
	p.Again = func(ctx context.Context, file []byte, r *union.Result) (*mesh.Mesh, error) {
		if p.Form.Format == meshfile.STL {
			f, err := stl.ParseAgain(ctx, file, p.Name, r.Mesh)
			if err != nil {
				return nil, err
			}
			return f.Mesh, nil
		}
		f, err := meshfile.Parse(ctx, file, p.Name)
		if err != nil {
			return nil, err
		}
		return f.Mesh, nil
	}
	return p, nil
}

// title is what the part is called inside a file: its name without extension.
func (p *Part) title() string {
	if base := strings.TrimSuffix(p.Name, filepath.Ext(p.Name)); base != "" {
		return base
	}
	return "part"
}

// tellFile notes what a reader should know of the file itself.
func (p *Part) tellFile(f *meshfile.File, v *settings.Values) {
	p.Notes = append(p.Notes, f.Notes...)
	if f.Items > 1 {
		p.Notes = append(p.Notes, fmt.Sprintf("the file's build holds %d items; they are taken as one part, as they stand", f.Items))
	}
	if f.Unit != "" && v.Given("unit") {
		p.Notes = append(p.Notes, fmt.Sprintf("the file declares its unit, %s; --unit is for files that do not, and was left aside", f.Unit))
	}
}

// stand returns the transform that the values ask for. A file that declares
// its unit is in millimetres already.
func (p *Part) stand(v *settings.Values) (mesh.Transform, error) {
	scale := 1.0
	if p.Declared == "" {
		var err error
		if scale, err = mesh.Unit(v.Unit); err != nil {
			return mesh.Transform{}, err
		}
	}
	return v.Stand().Scaled(scale), nil
}

// mend mends the surface and notes how. Faults that leave no solid at all are
// errors; others stay, and are refused later only where they matter, unless
// resample, a resolution in mm, asks for a surface drawn anew.
func (p *Part) mend(ctx context.Context, resample float64) error {
	r, err := mend.Surface(ctx, p.Mesh)
	if r != nil {
		p.Closed = r.Before.Closed()
	}
	var left *mend.Unmendable
	switch {
	case errors.As(err, &left):
		switch left.Fault.Kind {
		case mesh.Empty, mesh.Flat, mesh.NoVolume:
			return unusable("%s: %w", p.Name, left)
		}
		if resample > 0 {
			return p.resample(ctx, resample)
		}
		p.Unmended = left
		p.Notes = append(p.Notes, "not mended: "+left.Error())
	case err != nil:
		return err
	}
	p.Mesh, p.Audit, p.origin = r.Mesh, r.Audit.Brief(), r.Source
	for _, m := range r.Mends {
		p.Notes = append(p.Notes, "mended: "+m.String())
	}
	return nil
}

// resample draws the surface anew and says how far it is from the old one.
func (p *Part) resample(ctx context.Context, resolution float64) error {
	r, err := field.Resample(ctx, p.Mesh, resolution)
	if err != nil {
		return at(p, Unusable(err))
	}
	p.Mesh, p.Audit = r.Mesh, r.Audit.Brief()
	p.origin = make([]int32, len(r.Mesh.Triangles))
	for t := range p.origin {
		p.origin[t] = -1
	}
	p.Notes = append(p.Notes, fmt.Sprintf("resampled: the surface is now approximate, drawn anew at %g mm; it lies at most %.3g mm (%.2g mm on average) from the part's, and the part's at most %.3g mm from it",
		r.Resolution, r.Off.Most, r.Off.Mean, r.Lost.Most))
	return nil
}

// compose follows the triangles of a result through a part to the records
// they were read from; nil means that each is its own.
func compose(source, origin []int32) []int32 {
	if origin == nil {
		return source
	}
	out := make([]int32, len(source))
	for i, s := range source {
		out[i] = -1
		if s >= 0 {
			out[i] = origin[s]
		}
	}
	return out
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
