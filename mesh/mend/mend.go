// Package mend repairs what is certain about a broken surface and refuses the
// rest.
//
// Certain is: a triangle that is there twice; one without area; a hairline
// seam, where the two sides of a crack lie closer together than the
// tolerance; a vertex on one side of an edge that the other side lacks
// (T-junction); triangles and shells that face the wrong way; a hole so
// small, or so plainly a gap in a facet, that there is one way to close it.
//
// What it guarantees: every mend is counted and has a place; no vertex moves
// further than the tolerance; triangles that need no mending keep their
// corners bit for bit and their order; what comes back without an error
// passes [mesh.Audit.Err]; an error names the worst defect and its place.
//
// Start at [Surface].
package mend

import (
	"context"
	"fmt"

	"falsework/mesh"
)

// A Kind is a kind of mend.
type Kind int

// The kinds of mend.
const (
	Duplicate  Kind = iota // triangles that were there twice, dropped
	Degenerate             // triangles without area, dropped or turned into their neighbours
	Seam                   // vertices moved to close a crack
	TJunction              // triangles split where a neighbour has a vertex on their edge
	Turned                 // triangles turned to face as their neighbours do
	Shell                  // shells turned from inside out, in triangles
	Hole                   // holes filled
)

// A Mend says how often something was mended, and where first.
type Mend struct {
	Kind  Kind
	Count int
	At    [3]float64
	Moved float64 // of a seam: how far the furthest vertex moved, mm
}

var words = [...]string{
	Duplicate:  "%d triangles that were there twice dropped",
	Degenerate: "%d triangles without area removed",
	Seam:       "%d vertices moved to close hairline seams, by %.2g mm at most",
	TJunction:  "%d edges split where a neighbour has a vertex on them",
	Turned:     "%d triangles turned to face as their neighbours do",
	Shell:      "%d triangles of shells turned from inside out",
	Hole:       "%d small holes filled",
}

func (m Mend) String() string {
	s := fmt.Sprintf(words[m.Kind], m.Count)
	if m.Kind == Seam {
		s = fmt.Sprintf(words[m.Kind], m.Count, m.Moved)
	}
	return fmt.Sprintf("%s, the first at (%.4g, %.4g, %.4g)", s, m.At[0], m.At[1], m.At[2])
}

// A Result is a mended surface.
type Result struct {
	Mesh      *mesh.Mesh  // the input itself when nothing was mended
	Audit     *mesh.Audit // of Mesh
	Before    *mesh.Audit // of the input
	Source    []int32     // per triangle that of the input it is, corners and all, or -1; nil when nothing was mended
	Mends     []Mend      // in the order of their kinds
	Tolerance float64     // in mm
}

// Tolerance returns how far a vertex of a part of that size may be moved: a
// ten-thousandth of its diagonal. That is a fifth of the width of a human
// hair on a part of a hand's length, and far below what any printer of
// filament can show.
func Tolerance(b mesh.Box) float64 { return 1e-4 * b.Diagonal() }

// Surface mends m. The error is an [*Unmendable], or that of ctx. With an
// Unmendable comes the surface mended as far as is certain: what is left may
// lie where it does no harm, which its user must judge.
func Surface(ctx context.Context, m *mesh.Mesh) (*Result, error) {
	a, err := m.Audit(ctx)
	if err != nil {
		return nil, err
	}
	w := &work{ctx: ctx, m: m, a: a, before: a, tol: Tolerance(a.Bounds)}
	if a.Fault(mesh.Empty) != nil || a.Fault(mesh.Flat) != nil {
		return w.result(m), w.refuse()
	}
	if len(a.Faults) == 0 {
		return w.result(m), nil // as most parts are
	}
	w.src = make([]int32, len(m.Triangles))
	for t := range w.src {
		w.src[t] = int32(t)
	}
	// A mend can uncover what another kind mends: again, as long as it helps.
	for range 4 {
		before, worst := len(w.mends), w.bad()
		for _, step := range []func(*work) error{
			(*work).dropBroken, (*work).dropDuplicates, (*work).sew, (*work).unify, (*work).split, (*work).unify, (*work).fill, (*work).flatten,
		} {
			if err := step(w); err != nil {
				return nil, err
			}
		}
		if len(w.mends) == before || w.bad() == 0 && w.a.Fault(mesh.Duplicate) == nil || w.bad() >= worst && worst > 0 {
			break
		}
	}
	if err := w.face(); err != nil {
		return nil, err
	}
	if w.a.Err() != nil {
		return w.result(m), w.refuse()
	}
	return w.result(m), nil
}

// face turns shells that are inside out. Where one shares a facet with another,
// that can lay the two back to back: both go, which joins the shells, and those
// may face the wrong way in turn. Each round but the last drops triangles.
func (w *work) face() error {
	for {
		before := len(w.m.Triangles)
		if err := w.orient(); err != nil {
			return err
		}
		if err := w.dropDuplicates(); err != nil {
			return err
		}
		if len(w.m.Triangles) == before {
			return nil
		}
	}
}

// work is the state of one Surface: each step takes mesh and audit to a new
// mesh and its audit.
type work struct {
	ctx    context.Context
	m      *mesh.Mesh
	a      *mesh.Audit
	before *mesh.Audit // of the input
	src    []int32
	tol    float64
	mends  []Mend
	moved  float64 // how far a vertex may have been moved so far, mm
}

// bad counts the edges that keep the surface from being closed.
func (w *work) bad() int { return badness(w.a) }

func badness(a *mesh.Audit) int {
	n := 0
	for _, k := range []mesh.FaultKind{mesh.OpenEdge, mesh.Unbalanced, mesh.Misoriented} {
		if f := a.Fault(k); f != nil {
			n += f.Count
		}
	}
	return n
}

func (w *work) has(k mesh.FaultKind) bool { return w.a.Fault(k) != nil }

// take makes m the current mesh; src tells for each triangle which of the
// current ones it is, or -1.
func (w *work) take(m *mesh.Mesh, src []int32) error {
	a, err := m.Audit(w.ctx)
	if err != nil {
		return err
	}
	w.adopt(m, src, a)
	return nil
}

func (w *work) adopt(m *mesh.Mesh, src []int32, a *mesh.Audit) {
	for i, s := range src {
		if s >= 0 {
			src[i] = w.src[s]
		}
	}
	w.m, w.a, w.src = m, a, src
}

func (w *work) note(k Kind, n int, at [3]float64, moved float64) {
	if n > 0 {
		w.mends = append(w.mends, Mend{k, n, at, moved})
	}
}

// keep returns the mesh and sources without the triangles marked.
func (w *work) keep(drop func(t int) bool) (*mesh.Mesh, []int32) {
	out := &mesh.Mesh{Vertices: w.m.Vertices}
	var src []int32
	for t, tri := range w.m.Triangles {
		if !drop(t) {
			out.Triangles = append(out.Triangles, tri)
			src = append(src, int32(t))
		}
	}
	return out, src
}

// orient turns shells that are inside out.
func (w *work) orient() error {
	m, flips := w.m.Orient(w.a)
	if len(flips) == 0 {
		return nil
	}
	n := 0
	for _, f := range flips {
		n += f.Triangles
	}
	src := make([]int32, len(m.Triangles))
	for t := range src {
		src[t] = int32(t)
	}
	w.note(Shell, n, flips[0].At, 0)
	return w.take(m, src)
}

// result merges the mends of a kind, and keeps as sources only triangles that
// are as they were.
func (w *work) result(in *mesh.Mesh) *Result {
	r := &Result{Mesh: w.m, Audit: w.a, Before: w.before, Tolerance: w.tol}
	if len(w.mends) == 0 {
		return r
	}
	r.Source = w.src
	for t, s := range w.src {
		for c := 0; c < 3 && s >= 0; c++ {
			if w.m.Corner(t, c) != in.Corner(int(s), c) {
				r.Source[t], s = -1, -1
			}
		}
	}
	for k := range Kind(len(words)) {
		var sum Mend
		for _, m := range w.mends {
			if m.Kind != k {
				continue
			}
			if sum.Count == 0 {
				sum = m
				continue
			}
			sum.Count += m.Count
			sum.Moved += m.Moved // one vertex may have moved each time
		}
		if sum.Count > 0 {
			r.Mends = append(r.Mends, sum)
		}
	}
	return r
}
