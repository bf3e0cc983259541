package union

import (
	"errors"
	"fmt"

	"falsework/mesh"
)

// A Result is a part after an operation, and what was measured on the way.
type Result struct {
	Mesh   *mesh.Mesh
	Source []int32 // per triangle: the part's triangle it is, untouched, or -1
	Report Report
}

// A Report is what an operation measured. Volumes are cubic millimetres,
// lengths millimetres.
type Report struct {
	PartVolume, ToolVolume, Overlap, Volume float64
	Move                                    float64    // greatest displacement of a new vertex by rounding
	Shift                                   [3]float64 // rigid shift given to the tools
	Swell                                   float64    // how far the vertices of the tool were moved outwards, inwards when negative
	Redraws                                 int        // shifts tried in vain
	Loose                                   int        // tools added as shells of their own (see the package comment)
	Notes                                   []string
}

// Unite returns part and tools as one closed oriented surface. The tools are
// first united among themselves, and moved rigidly by a few microns (see
// Report.Shift) so that nothing of them lies flush with the part.
func Unite(part *mesh.Mesh, tools []*mesh.Mesh) (*Result, error) {
	return UniteAudited(part, nil, tools)
}

// UniteAudited is [Unite] for those who have the part's audit: what that says
// of the part as a whole (that it is closed, its volume) is not found again,
// and the time left depends on what the tools meet, but for one look at the box
// of each triangle and the copying of those that stay. The audit must be of
// this very mesh; one of an open part says nothing of use here, nil stands for none.
func UniteAudited(part *mesh.Mesh, audit *mesh.Audit, tools []*mesh.Mesh) (*Result, error) {
	tool, err := Combine(tools)
	if err != nil {
		return nil, err
	}
	op := unite
	if audit != nil && audit.Closed() {
		op.known = audit
	}
	r, err := run(part, tool, op, true)
	return r, blame(err, func(at [3]float64) int { return nearest(tools, at) })
}

// Subtract returns the part without what lies inside a closed tool, which may
// be nothing: a mesh without triangles. The tool stays where it is, and what is
// flush with it goes clean. When no sound surface can be had that way, its
// vertices are moved out by some microns, or all of it is moved as [Unite]
// does; Report.Swell and Report.Shift say so. A flush place that would keep a
// skin all the same is refused, and named in the error.
func Subtract(part, tool *mesh.Mesh) (*Result, error) {
	return single(part, tool, subtract)
}

// Intersect returns the solid common to part and a closed tool. The tool stays
// where it is as for [Subtract].
func Intersect(part, tool *mesh.Mesh) (*Result, error) {
	return single(part, tool, intersect)
}

func single(part, tool *mesh.Mesh, op operation) (*Result, error) {
	tool, err := Combine([]*mesh.Mesh{tool})
	if err != nil {
		return nil, err
	}
	r, err := run(part, tool, op, false)
	return r, blame(err, func([3]float64) int { return 0 })
}

const attempts = 8

// run tries the operation with the tool in one place after another until the
// result is proved sound. When the part overlaps itself wherever the tool is,
// it is taken shell by shell. What is wrong with an operand is returned as
// *broken, with the tool as operand 1.
func run(part, tool *mesh.Mesh, op operation, shift bool) (*Result, error) {
	if err := checkFinite(part, -1); err != nil {
		return nil, err
	}
	r := &Result{Report: Report{ToolVolume: volume(tool)}}
	if len(tool.Triangles) == 0 {
		r.Report.PartVolume = op.volume(part)
		r.take(part, &change{keepRest: !op.inside[0]})
		return r, nil
	}
	op.done("measure")
	var last error
	clashes := 0
	for n := range attempts {
		moved, err := r.place(tool, &op, shift, n)
		if err != nil {
			last = err
			r.Report.Redraws++
			continue
		}
		c, err := solve(part, nil, moved, op)
		if err == nil {
			r.Report.PartVolume = c.volume
			r.take(part, c)
			op.done("stitch")
			if c.skin != nil {
				r.Report.Notes = append(r.Report.Notes, fmt.Sprintf("two faces lie on each other without thickness near (%.3f, %.3f, %.3f)", c.skin[0], c.skin[1], c.skin[2]))
			}
			return r, nil
		}
		var clash *conflict
		if errors.As(err, &clash) && clash.own == 0 && !op.strict {
			// In place, a touch may look like an overlap until the tool has moved.
			if clashes++; clashes == 2 && shift || clashes == 4 {
				r.Report.PartVolume = op.volume(part)
				op.known = nil // of what comes of the part
				if err = r.settle(part, moved, op); err == nil {
					return r, nil
				}
			}
		}
		last = err
		r.Report.Redraws++
		var b *broken
		if errors.As(err, &b) {
			return nil, b
		}
	}
	var clash *conflict
	if errors.As(last, &clash) {
		return nil, &broken{Pierced, clash.own, clash.at}
	}
	return nil, fmt.Errorf("%w: %w", ErrNotConverged, last)
}

// place puts the tool where it is tried for the n-th time: shifted; or, when it
// should stay in place, there at first, with another motion, then swollen and
// shifted in turn.
func (r *Result) place(tool *mesh.Mesh, op *operation, shift bool, n int) (*mesh.Mesh, error) {
	r.Report.Shift, r.Report.Swell, r.Report.ToolVolume = [3]float64{}, 0, volume(tool)
	op.draw, op.thin = n, 0
	switch {
	case shift || n > 1 && n%2 == 1:
		r.Report.Shift = draw(tool, n)
		op.lenient = shift && n > 1
		if !shift {
			op.thin = 1.5 * abs(r.Report.Shift[2])
		}
		return shifted(tool, r.Report.Shift), nil
	case n < 2:
		return tool, nil
	}
	s := draw(tool, n)
	op.thin = abs(s[0])
	r.Report.Swell = float64(op.swell) * op.thin
	m, err := motionOf(tool, newTree(tool), *op).swollen(op.thin)
	if err == nil {
		r.Report.ToolVolume = volume(m)
	}
	return m, err
}

// take makes the result of a change to the part.
func (r *Result) take(part *mesh.Mesh, c *change) {
	r.Report.Overlap = c.overlap
	r.Report.Move = c.move
	r.Report.Volume = c.gain
	if c.keepRest {
		r.Report.Volume += r.Report.PartVolume
	}
	r.Mesh, r.Source = c.apply(part)
}

// volume is that of the part before the operation.
func (op *operation) volume(part *mesh.Mesh) float64 {
	if op.known != nil {
		return op.known.Volume
	}
	return volume(part)
}

// volume is the signed volume of a surface, see block.
func volume(m *mesh.Mesh) float64 {
	var o [3]float64
	if len(m.Triangles) > 0 {
		o = less3(m.Corner(0, 0), o)
	}
	v, sum := 0.0, 0.0
	for t := range m.Triangles {
		if t%block == 0 {
			v, sum = v+sum/6, 0
		}
		sum += det(less3(m.Corner(t, 0), o), less3(m.Corner(t, 1), o), less3(m.Corner(t, 2), o))
	}
	return v + sum/6
}
