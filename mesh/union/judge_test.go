package union

import (
	"fmt"
	"math"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// A tally sums up what a series of results showed.
type tally struct {
	cases, redraws int
	crossing, move float64 // greatest, in units in the last place
	deepest        float64 // greatest crossing, in millimetres
	volume         float64 // greatest relative volume error
}

func (s *tally) String() string {
	return fmt.Sprintf("%d cases, %d shifts drawn again, deepest crossing %.3g mm (%.1f units in the last place), greatest move %.1f units, volume within %.2g of the tools'",
		s.cases, s.redraws, s.deepest, s.crossing, s.move, s.volume)
}

// judge holds a result to the guarantee of the package.
func (s *tally) judge(part *mesh.Mesh, r *Result) error {
	s.cases++
	s.redraws += r.Report.Redraws
	if f := meshtest.Faults(r.Mesh); len(f) > 0 {
		return fmt.Errorf("%v and %d more", f[0], len(f)-1)
	}
	if err := untouched(part, r); err != nil {
		return err
	}
	b := part.Bounds()
	u := max(ulp(rounded(b.Min)), ulp(rounded(b.Max)))
	rep := r.Report
	// A surface that is moved by half a unit changes its volume by as much for
	// each square millimetre.
	bound := max(1e-4*rep.ToolVolume, u*newArea(r))
	off := math.Abs(meshtest.Volume(r.Mesh) - (rep.PartVolume + rep.ToolVolume - rep.Overlap))
	s.volume = max(s.volume, off/rep.ToolVolume)
	if off > bound {
		return fmt.Errorf("volume off by %g, tools %g, bound %g", off, rep.ToolVolume, bound)
	}
	s.move = max(s.move, rep.Move/u)
	// A micron at 500 mm, and as many units in the last place at other sizes.
	if most := 1e-3 * u / ulp(vec{500}); rep.Move > most {
		return fmt.Errorf("a vertex was moved by %g, more than %g", rep.Move, most)
	}
	near := neighbourhood(r)
	for _, c := range meshtest.Contacts(near) {
		if c.Kind != meshtest.Pierce {
			continue
		}
		s.deepest = max(s.deepest, c.Depth)
		s.crossing = max(s.crossing, c.Depth/u)
		if c.Depth > max(1e-4, 4*u) {
			return fmt.Errorf("%v, %.1f units in the last place", c, c.Depth/u)
		}
	}
	if len(rep.Notes) == 0 {
		for _, k := range meshtest.Skins(near, 4*u, max(1e-3, 256*u)) {
			return fmt.Errorf("%v", k)
		}
	}
	return nil
}

// untouched checks that the triangles said to be the part's are, bit for bit
// and in order, before all others.
func untouched(part *mesh.Mesh, r *Result) error {
	last := int32(-1)
	for i, src := range r.Source {
		if src < 0 {
			for _, s := range r.Source[i:] {
				if s >= 0 {
					return fmt.Errorf("an untouched triangle stands after a new one")
				}
			}
			break
		}
		if src <= last {
			return fmt.Errorf("untouched triangles are out of order")
		}
		last = src
		for c := range 3 {
			if part.Corner(int(src), c) != r.Mesh.Corner(i, c) {
				return fmt.Errorf("untouched triangle %d has changed", src)
			}
		}
	}
	return nil
}

func newArea(r *Result) float64 {
	m := &mesh.Mesh{Vertices: r.Mesh.Vertices}
	for i, k := range r.Mesh.Triangles {
		if r.Source[i] < 0 {
			m.Triangles = append(m.Triangles, k)
		}
	}
	return meshtest.Area(m)
}
