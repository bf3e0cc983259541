// Package pose compares the ways to stand a part on the bed: what each takes
// in ribs, in ordinary support and in time, whether it fits, and how much of
// it lies on the bed. Start reading at [Compare].
package pose

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"

	"falsework/mesh"
	"falsework/mesh/section"
	"falsework/rib"
	"falsework/span"
)

// A Pose is a way to stand a part, by the turn that brings it there from how
// its file has it: degrees about x, then y, then z, as [mesh.Turn] takes them.
type Pose struct {
	Number int    // 1 to 6; 0 for one that is not numbered
	Down   string // the side that lies on the bed, as it is in the file
	Turn   [3]float64
}

// axes are the six poses along the axes. Their numbers are fixed: people
// write them into profiles.
var axes = [6]Pose{
	{1, "bottom (-z)", [3]float64{0, 0, 0}},
	{2, "top (+z)", [3]float64{180, 0, 0}},
	{3, "front (-y)", [3]float64{90, 0, 0}},
	{4, "back (+y)", [3]float64{-90, 0, 0}},
	{5, "left (-x)", [3]float64{0, -90, 0}},
	{6, "right (+x)", [3]float64{0, 90, 0}},
}

// Axes returns the six poses along the axes, by number.
func Axes() []Pose { return append([]Pose(nil), axes[:]...) }

// Transform returns the turn into the pose of a number from 1 to 6, or none
// for any other.
func Transform(number int) mesh.Transform {
	if number < 1 || number > len(axes) {
		return mesh.Turn(0, 0, 0)
	}
	t := axes[number-1].Turn
	return mesh.Turn(t[0], t[1], t[2])
}

// A Candidate is a part as it would stand.
type Candidate struct {
	Pose Pose
	Mesh *mesh.Mesh // as its file has it, or as it stands when Turned
	// Turned says that the mesh stands in the pose already.
	Turned bool
}

// Settings are what a comparison assumes; a bed of zeros is none.
type Settings struct {
	Survey span.Settings
	Rib    rib.Settings
	Bed    [3]float64
}

// A Result is what a pose takes. Lengths are mm, areas mm2.
type Result struct {
	Pose    Pose
	Mesh    *mesh.Mesh // as it stands
	Size    [3]float64
	Contact float64 // area of the first layer
	Bed     Place   // on the bed, when one was given
	Survey  *span.Survey
	Plan    *rib.Plan
	Part    rib.Effort // the part without ribs
}

// Need counts the ceilings that need ribs.
func (r *Result) Need() int {
	n := 0
	for _, c := range r.Survey.Ceilings {
		if c.NeedsRibs && !c.Low && !c.Small {
			n++
		}
	}
	return n
}

// Left counts the ceilings that need ribs and cannot get them.
func (r *Result) Left() int {
	n := 0
	for _, c := range r.Plan.Ceilings {
		if c.Fault {
			n++
		}
	}
	return n
}

// Longest is the longest bridge among the ceilings that need ribs, 0 where
// none is a bridge.
func (r *Result) Longest() float64 {
	most := 0.0
	for _, c := range r.Survey.Ceilings {
		if c.NeedsRibs && !math.IsInf(c.Span, 0) {
			most = max(most, c.Span)
		}
	}
	return most
}

// Minutes is the time for part and ribs.
func (r *Result) Minutes() float64 { return r.Part.Minutes + r.Plan.Totals.Minutes }

// Supported is the time for the part and ordinary support of the ceilings
// that ribs carry.
func (r *Result) Supported() float64 { return r.Part.Minutes + r.Plan.Totals.SupportMinutes }

// Prints tells whether the part can be printed in the pose: it fits the bed,
// if there is one, and every ceiling is carried.
func (r *Result) Prints() bool { return r.Left() == 0 && (!r.Bed.Given || r.Bed.Fits) }

// Compare looks at every candidate, several at a time, and returns what they
// take in their order. Done is told how many are finished, from one goroutine
// at a time; it may be nil.
func Compare(ctx context.Context, list []Candidate, s Settings, done func(n, of int)) ([]Result, error) {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	out := make([]Result, len(list))
	next := make(chan int)
	var wait sync.WaitGroup
	var mu sync.Mutex
	finished := 0
	for range min(len(list), runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for i := range next {
				r, err := look(ctx, list[i], s)
				if err != nil {
					stop(fault(list[i].Pose, err))
					continue
				}
				out[i] = *r
				mu.Lock()
				if finished++; done != nil {
					done(finished, len(list))
				}
				mu.Unlock()
			}
		})
	}
	for i := range list {
		if ctx.Err() != nil {
			break
		}
		next <- i
	}
	close(next)
	wait.Wait()
	if err := context.Cause(ctx); err != nil {
		return nil, err
	}
	return out, nil
}

// fault names the pose an error belongs to, unless every pose has it.
func fault(p Pose, err error) error {
	var settings *rib.SettingsError
	var open *section.OpenError
	switch {
	case errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded),
		errors.As(err, &settings), errors.As(err, &open), p.Number == 0:
		return err
	}
	return fmt.Errorf("pose %d: %w", p.Number, err)
}

// look surveys and plans one pose.
func look(ctx context.Context, c Candidate, s Settings) (*Result, error) {
	r := &Result{Pose: c.Pose, Mesh: c.Mesh}
	if !c.Turned {
		t := c.Pose.Turn
		r.Mesh = mesh.Turn(t[0], t[1], t[2]).Apply(c.Mesh)
	}
	b := r.Mesh.Bounds()
	r.Size = b.Size()
	var err error
	if r.Survey, err = span.Run(ctx, r.Mesh, s.Survey, span.Options{}); err != nil {
		return nil, err
	}
	first, err := section.NewSlicer(r.Mesh).At(b.Min[2] + s.Survey.FirstLayer/2)
	if err != nil {
		return nil, err
	}
	r.Contact = first.Area()
	r.Bed = Fit(r.Mesh, s.Bed)
	set := s.Rib
	set.Bed, set.Only, set.Skip = [3]float64{}, nil, nil
	if r.Plan, err = rib.Make(ctx, r.Mesh, r.Survey, set); err != nil {
		return nil, err
	}
	r.Part = rib.Printing(r.Mesh, s.Survey, s.Rib.Material)
	return r, nil
}
