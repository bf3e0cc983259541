// Package trial cuts a closed proof piece out of a ribbed part, so that ribs,
// spacing and cutting are tried in minutes before a print of days.
//
// What leaves [Cut] is closed whenever the part was, stands flat on z = 0, and
// has been surveyed as a part of its own, so that what hangs in it because of
// the cut is known before it is printed. Heights of a cut lie on boundaries of
// layers: the layers of the piece are those of the part. Start reading at
// [Cut].
package trial

import (
	"context"
	"errors"
	"fmt"
	"math"

	"falsework/mesh"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// A Piece is a proof piece standing on z = 0.
type Piece struct {
	Mesh   *mesh.Mesh
	From   float64 // height of its foot on the part, mm above the bed
	To     float64 // height of its top there
	Crumbs int     // of the cut, too thin for any printer, left out
	Loose  int     // that the cut left in mid-air by themselves, left out
	Survey *span.Survey
	Effort rib.Effort // of the piece
	Whole  rib.Effort // of the part it comes from
}

// Hanging returns the ceilings of the piece that need ribs: in a part that
// was verified they hang because of the cut.
func (p *Piece) Hanging() []span.Ceiling {
	var out []span.Ceiling
	for _, c := range p.Survey.Ceilings {
		if c.NeedsRibs && !c.Low {
			out = append(out, c)
		}
	}
	return out
}

// Reach is the greatest distance under a ceiling of the piece to what holds
// it, mm, 0 when it has none: half of the widest bay that it shows.
func (p *Piece) Reach() float64 {
	most := 0.0
	for _, c := range p.Survey.Ceilings {
		if !math.IsInf(c.Reach, 0) {
			most = max(most, c.Reach)
		}
	}
	return most
}

// A RegionError says why a region makes no piece.
type RegionError struct{ Reason string }

func (e *RegionError) Error() string { return e.Reason }

// ErrOpen is returned when the surface of the piece does not close, because the
// part's does not.
var ErrOpen = errors.New("the surface of the part is open where the piece lies; close it first")

// Cut keeps the part of m inside the region as a closed solid, stands it on
// the bed and surveys it. It fails with a [*RegionError] when the region misses
// the part or keeps all of it, with a [*union.DefectError] where a cut meets a
// broken surface, and with [ErrOpen] where the piece would have a hole.
func Cut(ctx context.Context, m *mesh.Mesh, r Region, s span.Settings, mat rib.Material) (*Piece, error) {
	b := m.Bounds()
	box, cuts, err := r.layered(b.Min[2], s).clip(b, inset*s.Layer)
	if err != nil {
		return nil, err
	}
	if cuts == 0 {
		return nil, &RegionError{"the piece would be the whole part: choose a smaller region"}
	}
	res, err := union.Intersect(m, blank(box))
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	p := &Piece{}
	if p.Mesh, p.Crumbs, err = sweep(ctx, res.Mesh, s); err != nil {
		return nil, err
	}
	if len(p.Mesh.Triangles) == 0 && p.Crumbs > 0 {
		return nil, &RegionError{fmt.Sprintf("all that lies in that region is thinner than a nozzle of %g mm lays; check the unit of the part", s.Nozzle)}
	}
	if len(p.Mesh.Triangles) == 0 {
		return nil, &RegionError{"nothing of the part lies in that region"}
	}
	c := p.Mesh.Bounds()
	p.From, p.To = c.Min[2]-b.Min[2], c.Max[2]-b.Min[2]
	if p.Mesh, err = stand(ctx, p.Mesh); err != nil {
		return nil, err
	}
	if err := p.survey(ctx, s); err != nil {
		return nil, err
	}
	p.Effort, p.Whole = rib.Printing(p.Mesh, s, mat), rib.Printing(m, s, mat)
	return p, nil
}

// survey surveys the piece, and leaves out shells of it that begin in mid-air:
// what held them lies outside the region.
func (p *Piece) survey(ctx context.Context, s span.Settings) error {
	for {
		a, err := p.Mesh.Audit(ctx)
		if err != nil {
			return err
		}
		if !a.Closed() {
			return ErrOpen
		}
		if p.Survey, err = span.Run(ctx, p.Mesh, s, span.Options{}); err != nil {
			return err
		}
		loose := make([]bool, len(a.Shells))
		n := 0
		for i, shell := range a.Shells {
			if !shell.Cavity() && begins(shell.Bounds, p.Survey.Ceilings, s.Layer) {
				loose[i] = true
				n++
			}
		}
		if n == 0 || n == len(a.Shells) {
			return nil
		}
		p.Mesh = without(p.Mesh, a, loose)
		p.Loose += n
	}
}

// begins tells whether one of the ceilings is the lowest layer of a shell that
// nothing holds.
func begins(b mesh.Box, list []span.Ceiling, layer float64) bool {
	for _, c := range list {
		if c.Kind != span.Island || math.Abs(c.Z[0]-b.Min[2]) > layer {
			continue
		}
		in := true
		for k := range 2 {
			in = in && c.Min[k] > b.Min[k]-layer && c.Max[k] < b.Max[k]+layer
		}
		if in {
			return true
		}
	}
	return false
}

// sweep leaves out the crumbs of a cut: shells thinner along an axis than
// half a layer, or in plan than half a nozzle, which no printer lays.
func sweep(ctx context.Context, m *mesh.Mesh, s span.Settings) (*mesh.Mesh, int, error) {
	a, err := m.Audit(ctx)
	if err != nil {
		return nil, 0, err
	}
	drop := make([]bool, len(a.Shells))
	n := 0
	for i, shell := range a.Shells {
		size := shell.Bounds.Size()
		if !shell.Cavity() && shell.Depth == 0 && (size[2] < s.Layer/2 || min(size[0], size[1]) < s.Nozzle/2) {
			drop[i] = true
			n++
		}
	}
	if n == 0 {
		return m, 0, nil
	}
	return without(m, a, drop), n, nil
}

// without returns a mesh less some of its shells.
func without(m *mesh.Mesh, a *mesh.Audit, drop []bool) *mesh.Mesh {
	out := &mesh.Mesh{}
	known := make([]int32, len(m.Vertices))
	for t, k := range m.Triangles {
		if of := a.ShellOf[t]; of >= 0 && drop[of] {
			continue
		}
		for e, v := range k {
			if known[v] == 0 {
				out.Vertices = append(out.Vertices, m.Vertices[v])
				known[v] = int32(len(out.Vertices))
			}
			k[e] = known[v] - 1
		}
		out.Triangles = append(out.Triangles, k)
	}
	return out
}

// stand lowers or lifts a piece on z = 0. A foot that was cut lies on a
// multiple of 2^-10 mm (see [Region.clip]), so that lowering it is exact in
// float32 for parts up to 8 m: a coordinate below 2^14 is a multiple of its own
// last place, which is no coarser. Elsewhere rounding could join points or
// flatten a triangle, which is looked for.
func stand(ctx context.Context, m *mesh.Mesh) (*mesh.Mesh, error) {
	low := float32(m.Bounds().Min[2])
	if low == 0 {
		return m, nil
	}
	out := &mesh.Mesh{Vertices: append([][3]float32(nil), m.Vertices...), Triangles: m.Triangles}
	exact := true
	for i := range out.Vertices {
		z := &out.Vertices[i][2]
		moved := *z - low
		exact = exact && float64(moved) == float64(*z)-float64(low)
		*z = moved
	}
	if exact {
		return out, nil
	}
	before, err := faults(ctx, m)
	if err != nil {
		return nil, err
	}
	after, err := faults(ctx, out)
	if err != nil {
		return nil, err
	}
	if after > before {
		return nil, &RegionError{fmt.Sprintf("the piece cannot be moved by %g mm to stand on the bed without joining points of its surface: export the part so that it stands on z = 0", -low)}
	}
	return out, nil
}

// faults counts the kinds of fault of a surface, and points that coincide.
func faults(ctx context.Context, m *mesh.Mesh) (int, error) {
	a, err := m.Audit(ctx)
	if err != nil {
		return 0, err
	}
	seen := make(map[[3]float32]bool, len(m.Vertices))
	for _, v := range m.Vertices {
		seen[v] = true
	}
	return len(a.Faults) + len(m.Vertices) - len(seen), nil
}
