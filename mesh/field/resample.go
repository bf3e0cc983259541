package field

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"falsework/mesh"
	"falsework/mesh/mend"
	"falsework/mesh/par"
	"github.com/deadsy/sdfx/render"
	"github.com/deadsy/sdfx/sdf"
	v3 "github.com/deadsy/sdfx/vec/v3"
)

// A Result is a surface drawn anew.
type Result struct {
	Mesh       *mesh.Mesh
	Audit      *mesh.Audit // of Mesh
	Resolution float64     // mm
	Off        Off         // how far the new surface lies from the input
	Lost       Off         // how far the input lies from the new surface
}

// Off is a distance measured at many points, mm.
type Off struct{ Most, Mean float64 }

// MaxCells bounds the cells along the longest side of the part, and so memory
// and time.
const MaxCells = 1500

// Resample draws m anew with cells of the given size in mm. What lies inside
// is judged by the winding number; a surface that is inside out as a whole is
// taken as its reverse. The error is that of ctx, or says in one line why
// there is no result.
func Resample(ctx context.Context, m *mesh.Mesh, resolution float64) (*Result, error) {
	box := m.Bounds()
	size := box.Size()
	longest := max(size[0], size[1], size[2])
	switch {
	case len(m.Triangles) == 0 || longest == 0:
		return nil, errors.New("there is no surface to resample")
	case !(resolution > 0) || math.IsInf(resolution, 0):
		return nil, fmt.Errorf("a resolution of %g mm is none; name a length above zero", resolution)
	case longest/resolution > MaxCells:
		return nil, fmt.Errorf("a resolution of %g mm makes %.0f cells along a part of %.4g mm, more than %d; take %.2g mm or more",
			resolution, longest/resolution, longest, MaxCells, longest/MaxCells)
	case longest/resolution < 4:
		return nil, fmt.Errorf("a resolution of %g mm is too coarse for a part of %.4g mm; take %.2g mm or less", resolution, longest, longest/20)
	}
	f := &solid{ctx: ctx, tree: plant(m), box: box, cell: resolution, sign: 1}
	if m.Volume() < 0 {
		f.sign = -1
	}
	records := draw(f, longest+2*resolution)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if len(records) == 0 {
		return nil, fmt.Errorf("nothing of the part is left at a resolution of %g mm; take a finer one", resolution)
	}
	welded, err := mesh.Weld(ctx, records)
	if err != nil {
		return nil, err
	}
	// Where a corner of a cell lies on the surface, triangles shrink to points.
	clean, err := mend.Surface(ctx, welded)
	if err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, fmt.Errorf("no closed surface comes of resampling at %g mm (%w); take another resolution", resolution, err)
	}
	r := &Result{Mesh: clean.Mesh, Audit: clean.Audit, Resolution: resolution}
	if r.Off, err = off(ctx, r.Mesh, f.tree, resolution); err != nil {
		return nil, err
	}
	if r.Lost, err = off(ctx, m, plant(r.Mesh), resolution); err != nil {
		return nil, err
	}
	return r, nil
}

// A solid is the signed distance field of a surface: negative inside.
type solid struct {
	ctx  context.Context
	tree *tree
	box  mesh.Box
	cell float64
	sign float64
}

// Evaluate returns the signed distance of p, cut short where the winding
// number is between inside and outside: across a hole the field passes zero
// smoothly, where the surface that is missing would be. A point on a face
// within the material is inside all the same.
func (s *solid) Evaluate(p v3.Vec) float64 {
	if s.ctx.Err() != nil {
		return math.Inf(1) // nothing here: the drawing ends soon
	}
	q := vec{p.X, p.Y, p.Z}
	in := s.sign*s.tree.winding(q) - 0.5
	d := max(s.tree.distance(q), 1e-7*s.cell)
	// Above 0.9 and below 0.1 the winding number is that of a whole surface,
	// but for the error of the dipoles, and the distance is true.
	return -d * max(-1, min(1, 2.5*in))
}

// BoundingBox returns the box that the surface is drawn in.
func (s *solid) BoundingBox() sdf.Box3 {
	var lo, hi vec
	for k := range 3 {
		lo[k], hi[k] = s.box.Min[k]-s.cell, s.box.Max[k]+s.cell
	}
	return sdf.Box3{Min: v3.Vec{X: lo[0], Y: lo[1], Z: lo[2]}, Max: v3.Vec{X: hi[0], Y: hi[1], Z: hi[2]}}
}

// draw returns the triangles of the field's zero surface as STL records. The
// longest side is that of its box.
func draw(s *solid, longest float64) []byte {
	out := make(chan []*render.Triangle3, 64)
	wait := par.Begin(func() {
		defer close(out)
		render.NewMarchingCubesOctree(int(math.Ceil(longest/s.cell))).Render(s, out)
	})
	var records []byte
	for ts := range out {
		for _, t := range ts {
			var rec [mesh.RecordSize]byte
			for c, p := range t.V {
				for k, x := range [3]float64{p.X, p.Y, p.Z} {
					binary.LittleEndian.PutUint32(rec[12+12*c+4*k:], math.Float32bits(float32(x)))
				}
			}
			records = append(records, rec[:]...)
		}
	}
	wait()
	return records
}

// off measures how far the surface m lies from the triangles of a tree, at
// points about step apart, and no more of them than keeps the cost in bounds.
func off(ctx context.Context, m *mesh.Mesh, t *tree, step float64) (Off, error) {
	step = max(step, math.Sqrt(m.Area()/2e6))
	const grain = 1 << 10
	type sum struct{ most, weighted, area float64 }
	parts := make([]sum, (len(m.Triangles)+grain-1)/grain)
	err := par.Range(ctx, len(m.Triangles), grain, func(lo, hi int) {
		s := &parts[lo/grain]
		for i := lo; i < hi; i++ {
			var tri [3]vec
			for c := range 3 {
				for k, x := range m.Corner(i, c) {
					tri[c][k] = float64(x)
				}
			}
			ab, ac := minus(tri[1], tri[0]), minus(tri[2], tri[0])
			area := norm(cross(ab, ac)) / 2
			n := 1 + int(max(norm(ab), norm(ac), norm(minus(tri[2], tri[1])))/step)
			n = min(n, 1+int(2*math.Sqrt(area)/step)) // slivers need no square of points
			total := 0.0
			for u := range n + 1 {
				for v := range n + 1 - u {
					d := t.distance(plus(plus(tri[0], float64(u)/float64(n), ab), float64(v)/float64(n), ac))
					s.most = max(s.most, d)
					total += d
				}
			}
			s.weighted += area * total / float64((n+1)*(n+2)/2)
			s.area += area
		}
	})
	var all sum
	for _, p := range parts {
		all.most = max(all.most, p.most)
		all.weighted += p.weighted
		all.area += p.area
	}
	if all.area == 0 {
		return Off{Most: all.most}, err
	}
	return Off{Most: all.most, Mean: all.weighted / all.area}, err
}
