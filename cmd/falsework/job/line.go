package job

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"

	"falsework/cmd/falsework/settings"
	"falsework/mesh"
	"falsework/mesh/meshfile"
	"falsework/mesh/par"
	"falsework/mesh/section"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// Progress is told how far a job is. Its methods are called from one
// goroutine at a time.
type Progress interface {
	Stage(name string)
	Step(done, total int) // total is 0 where it is not known
}

// A Line is the stages a part goes through. [Standard] is the real one;
// tests put their own stages in.
type Line struct {
	Open   func(ctx context.Context, in Input) (*Part, error)
	Survey func(context.Context, *mesh.Mesh, span.Settings, span.Options) (*span.Survey, error)
	Plan   func(context.Context, *mesh.Mesh, *span.Survey, rib.Settings) (*rib.Plan, error)
	Unite  func(part *mesh.Mesh, audit *mesh.Audit, tools []*mesh.Mesh) (*union.Result, error)
	Verify func(*rib.Plan, rib.Evidence) *rib.Verification

	Progress Progress
}

// An Input is where a part comes from.
type Input struct {
	Path   string    // - is the stream
	Stream io.Reader // read when Path is -
	Values *settings.Values
}

// A Part is a part as read, mended and stood in its pose.
type Part struct {
	Name   string // for messages: the file's base name, or -
	Mesh   *mesh.Mesh
	Audit  *mesh.Audit // of Mesh
	Closed bool        // as read, before it was mended
	Notes  []string    // mends and defects in words
	Hint   string      // a doubt about its unit, or empty
	// Format is that of the file, known by its bytes; Declared is the unit it
	// declares, empty where its format has none. Form is how results are
	// written: in the same format unless set otherwise before [Line.Rib].
	Format   meshfile.Format
	Declared string
	Form     Form
	// Unmended is what could not be mended, nil when the surface is sound.
	Unmended error
	origin   []int32 // per triangle the record it was read from, or -1; nil: its own
	turned   bool    // or converted to millimetres

	// Write writes a result, or the part itself when that is nil. Triangles
	// that nothing changed are written as they were read.
	Write func(ctx context.Context, w io.Writer, r *union.Result) error
	// Beside writes the part and ribs as two objects of one file.
	Beside func(ctx context.Context, w io.Writer, ribs *mesh.Mesh) error
	// Again reads back what Write wrote of a result.
	Again func(ctx context.Context, file []byte, r *union.Result) (*mesh.Mesh, error)
}

// Changed tells whether the part is no longer as its file has it.
func (p *Part) Changed() bool { return p.turned || p.origin != nil }

// An Outcome is what became of a part. Result is nil when nothing had to be
// ribbed and in a dry run.
type Outcome struct {
	Part   *Part
	Plan   *rib.Plan
	Result *union.Result
	File   []byte // the result as it is to be written: the very bytes that were proved
	Second *span.Survey
	Left   []int    // ceilings that need ribs and could not get them
	Notes  []string // what had to be tried more than once
	Count  int      // triangles of File

	solids *mesh.Mesh // the ribs as one, once asked for
}

// Nothing tells whether the part needs no ribs at all.
func (o *Outcome) Nothing() bool { return o.Plan.Ribbed() == 0 }

func (l *Line) stage(name string) {
	if l.Progress != nil {
		l.Progress.Stage(name)
	}
}

func (l *Line) options() span.Options {
	if l.Progress == nil {
		return span.Options{}
	}
	return span.Options{Progress: l.Progress.Step}
}

// Read opens a part and looks at its size.
func (l *Line) Read(ctx context.Context, in Input) (*Part, error) {
	l.stage("reading")
	p, err := l.Open(ctx, in)
	if err != nil {
		return nil, err
	}
	if len(p.Mesh.Triangles) == 0 {
		return nil, unusable("%s holds no triangles; export the part again", p.Name)
	}
	if p.Hint, err = sizeHint(p.Mesh.Bounds(), p.Declared, in.Values.Given("unit")); err != nil {
		return nil, fmt.Errorf("%s: %w", p.Name, err)
	}
	return p, ctx.Err()
}

// First surveys a part.
func (l *Line) First(ctx context.Context, p *Part, v *settings.Values) (*span.Survey, error) {
	l.stage("surveying")
	s, err := l.Survey(ctx, p.Mesh, v.Survey, l.options())
	if err != nil {
		var open *section.OpenError
		if errors.As(err, &open) && p.Unmended != nil {
			err = p.Unmended // says more of the surface than one section can
		}
		return nil, at(p, Unusable(err))
	}
	return s, ctx.Err()
}

// Rib runs a part that has been read through all stages. What the proof objects to
// is planned again. A dry run ends with the plan.
func (l *Line) Rib(ctx context.Context, p *Part, v *settings.Values, dry bool) (*Outcome, error) {
	survey, err := l.First(ctx, p, v)
	if err != nil {
		return nil, err
	}
	r := newRevision(v.Rib)
	for {
		out, err := l.once(ctx, p, survey, r.set, dry)
		if err == nil {
			out.Notes = r.words()
			return out, nil
		}
		if !errors.Is(err, ErrDisagrees) || !r.answer(out) {
			return nil, err
		}
	}
}

// once plans, unites and proves. When the proof fails it returns what was
// proved beside the error.
func (l *Line) once(ctx context.Context, p *Part, survey *span.Survey, set rib.Settings, dry bool) (*Outcome, error) {
	l.stage("planning")
	plan, err := l.Plan(ctx, p.Mesh, survey, set)
	if err != nil {
		return nil, at(p, err)
	}
	out := &Outcome{Part: p, Plan: plan}
	for _, c := range plan.Ceilings {
		if c.Fault {
			out.Left = append(out.Left, c.ID)
		}
	}
	if dry || out.Nothing() {
		return out, ctx.Err()
	}
	l.stage("uniting")
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if out.Result, err = l.Unite(p.Mesh, p.Audit, plan.Solids()); err != nil {
		return nil, at(p, err)
	}
	return out, l.prove(ctx, out)
}

// prove surveys the file that would be written as a part of its own and holds
// what it finds against the plan.
func (l *Line) prove(ctx context.Context, out *Outcome) error {
	l.stage("surveying again")
	// Not grown: that would write zeroes to all of it.
	file := bytes.NewBuffer(make([]byte, 0, 100+50*len(out.Result.Mesh.Triangles)))
	if err := out.encode(ctx, file); err != nil {
		return at(out.Part, err)
	}
	out.File = file.Bytes()
	ribbed, err := out.Part.Again(ctx, out.File, out.Result)
	if err != nil {
		return ours(out.Part, err)
	}
	out.Count = len(ribbed.Triangles)
	// The audit goes beside the survey, which leaves a processor idle at times.
	var after *mesh.Audit
	var unread error
	audited := par.Begin(func() {
		if after, unread = ribbed.Audit(ctx); unread == nil {
			after = after.Brief()
		}
	})
	o := l.options()
	o.Zones, o.OnRib = out.Plan.Zones(), out.Plan.OnRib
	out.Second, err = l.Survey(ctx, ribbed, out.Plan.Survey.Settings, o)
	audited()
	if err != nil {
		return ours(out.Part, err)
	}
	if unread != nil {
		return unread
	}
	v := l.Verify(out.Plan, rib.Evidence{Second: out.Second, Union: out.report(), Before: out.Part.Audit, After: after})
	if !v.Verified {
		return marked{ErrDisagrees, fmt.Errorf("%s: the second survey disagrees with the plan, which is this program's fault: %s; nothing was written; please report it with the part", out.Part.Name, join(v.Reasons))}
	}
	return ctx.Err()
}

// ours words an error that only the program can be blamed for.
func ours(p *Part, err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return fmt.Errorf("%s: the result cannot be surveyed, which is this program's fault: %v; nothing was written; please report it with the part", p.Name, err)
}

// join names the first disagreements.
func join(list []string) string {
	text := list[0]
	for i, s := range list[1:] {
		if i == 2 {
			return fmt.Sprintf("%s; and %d more", text, len(list)-3)
		}
		text += "; " + s
	}
	return text
}

// at puts the part's name before an error, unless the job was interrupted,
// and tells faults of the part from those of the program.
func at(p *Part, err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	err = fmt.Errorf("%s: %w", p.Name, err)
	var open *section.OpenError
	var defect *union.DefectError
	if errors.As(err, &open) || errors.As(err, &defect) && defect.Tool < 0 {
		return Unusable(err)
	}
	return err
}
