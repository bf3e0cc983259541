package rib

import (
	"math"
	"sort"

	"falsework/mesh"
	"falsework/mesh/section"
)

// probes are vertical lines through the part on a square grid; along each, the
// stretches of material. They answer cheaply and roughly (to a cell in plan)
// what a candidate layout costs, where there is a wall, and what a cavity
// opens to. What is built is drawn from exact sections instead.
type probes struct {
	min    section.Point // of the first cell's centre
	cell   float64
	nx, ny int
	solid  [][]stretch // by cell, ascending in z
	bed    float64
	top    float64
}

// newProbes drops the lines. The grid is shifted by an odd fraction of a cell,
// so that lines rarely meet an edge of the part; one that does and comes out
// unbalanced is read from its neighbour.
func newProbes(m *mesh.Mesh, cell float64) *probes {
	b := m.Bounds()
	p := &probes{cell: cell, bed: b.Min[2], top: b.Max[2]}
	p.min = section.Point{b.Min[0] - float64(0.3819*cell) - cell, b.Min[1] - float64(0.3547*cell) - cell}
	p.nx = int((b.Max[0]-p.min[0])/cell) + 3
	p.ny = int((b.Max[1]-p.min[1])/cell) + 3
	type hit struct {
		z  float64
		up int
	}
	hits := make([][]hit, p.nx*p.ny)
	for t := range m.Triangles {
		var c [3][3]float64
		for k := range c {
			for j, x := range m.Corner(t, k) {
				c[k][j] = float64(x)
			}
		}
		det := float64((c[1][0]-c[0][0])*(c[2][1]-c[0][1])) - float64((c[1][1]-c[0][1])*(c[2][0]-c[0][0]))
		if det == 0 {
			continue
		}
		up := 1 // a facet facing down is where a line going up enters
		if det > 0 {
			up = -1
		}
		x0, x1 := min(c[0][0], c[1][0], c[2][0]), max(c[0][0], c[1][0], c[2][0])
		y0, y1 := min(c[0][1], c[1][1], c[2][1]), max(c[0][1], c[1][1], c[2][1])
		for j := max(0, int(math.Ceil((y0-p.min[1])/cell))); j < p.ny; j++ {
			y := p.min[1] + float64(float64(j)*cell)
			if y > y1 {
				break
			}
			for i := max(0, int(math.Ceil((x0-p.min[0])/cell))); i < p.nx; i++ {
				x := p.min[0] + float64(float64(i)*cell)
				if x > x1 {
					break
				}
				if z, ok := under(c, det, x, y); ok {
					hits[j*p.nx+i] = append(hits[j*p.nx+i], hit{z, up})
				}
			}
		}
	}
	p.solid = make([][]stretch, len(hits))
	for i, hs := range hits {
		sort.Slice(hs, func(a, b int) bool {
			if hs[a].z != hs[b].z {
				return hs[a].z < hs[b].z
			}
			return hs[a].up > hs[b].up
		})
		w := 0
		var s []stretch
		for _, h := range hs {
			was := w
			w += h.up
			switch {
			case was == 0:
				s = append(s, stretch{h.z, h.z})
			case w == 0:
				s[len(s)-1].to = h.z
			}
		}
		if w != 0 {
			if i > 0 {
				s = p.solid[i-1]
			} else {
				s = nil
			}
		}
		p.solid[i] = s
	}
	return p
}

// under returns the height of a triangle over a point of the plan. Edges are
// taken half open by the order of their ends, so that a point on a shared edge
// belongs to one of the two triangles.
func under(c [3][3]float64, det, x, y float64) (float64, bool) {
	var w [3]float64
	for k := range w {
		a, b := c[(k+1)%3], c[(k+2)%3]
		flip := 1.0
		if a[0] > b[0] || (a[0] == b[0] && a[1] > b[1]) {
			a, b, flip = b, a, -1
		}
		s := flip * (float64((b[0]-a[0])*(y-a[1])) - float64((b[1]-a[1])*(x-a[0])))
		if det < 0 {
			s, flip = -s, -flip
		}
		if s < 0 || (s == 0 && flip < 0) {
			return 0, false
		}
		w[k] = s
	}
	sum := w[0] + w[1] + w[2]
	if sum == 0 {
		return 0, false
	}
	return (float64(w[0]*c[0][2]) + float64(w[1]*c[1][2]) + float64(w[2]*c[2][2])) / sum, true
}

// at returns the material along the line nearest to a point of the plan.
func (p *probes) at(q section.Point) []stretch {
	i := int(math.Round((q[0] - p.min[0]) / p.cell))
	j := int(math.Round((q[1] - p.min[1]) / p.cell))
	if i < 0 || j < 0 || i >= p.nx || j >= p.ny {
		return nil
	}
	return p.solid[j*p.nx+i]
}

// material tells whether there is part at a point.
func (p *probes) material(q section.Point, z float64) bool {
	for _, s := range p.at(q) {
		if z >= s.from && z < s.to {
			return true
		}
	}
	return false
}

// clear returns the height of the ceiling over a point, the underside nearest
// to the range z, and the height of what is below it.
func (p *probes) clear(q section.Point, z [2]float64) (ceiling, floor float64) {
	best := math.Inf(1)
	ceiling, floor = z[0], p.bed
	below := p.bed
	for _, s := range p.at(q) {
		d := max(z[0]-s.from, s.from-z[1], 0)
		if d < best {
			best, ceiling, floor = d, s.from, below
		}
		below = s.to
	}
	if math.IsInf(best, 1) || best > 1 {
		return z[0], p.floor(q, z[0])
	}
	return ceiling, floor
}

// floor returns the top of the first material below a height, or the bed.
func (p *probes) floor(q section.Point, z float64) float64 {
	f := p.bed
	for _, s := range p.at(q) {
		if s.to <= z {
			f = s.to
		}
	}
	return f
}
