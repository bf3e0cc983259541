package rib

import (
	"cmp"
	"math"
	"slices"

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
	// Bands of rows are read side by side: a few facets of a plain part cover
	// most lines, so that to share out facets would leave the other cores idle.
	p.solid = make([][]stretch, p.nx*p.ny)
	found := p.reached(m)
	odd := make([][]int, bands)
	each(bands, func(k int) bool {
		odd[k] = p.readRows(m, found, k*p.ny/bands, (k+1)*p.ny/bands)
		return true
	})
	for _, lines := range odd {
		for _, i := range lines {
			if i > 0 {
				p.solid[i] = p.solid[i-1]
			}
		}
	}
	return p
}

// bands is how many bands of rows the lines are read in: several to a core, since
// some rows meet more of the part than others.
const bands = 16

// A reach is a facet that lines may meet, and their rows.
type reach struct{ facet, from, to int32 }

// reached lists the facets whose boxes hold a line, in order: small facets mostly
// lie between the lines, upright ones nearly always.
func (p *probes) reached(m *mesh.Mesh) []reach {
	const share = 1 << 14
	parts := make([][]reach, (len(m.Triangles)+share-1)/share)
	each(len(parts), func(k int) bool {
		var out []reach
		for t := k * share; t < min(len(m.Triangles), (k+1)*share); t++ {
			a, b, c := m.Corner(t, 0), m.Corner(t, 1), m.Corner(t, 2)
			x0, x1 := float64(min(a[0], b[0], c[0])), float64(max(a[0], b[0], c[0]))
			y0, y1 := float64(min(a[1], b[1], c[1])), float64(max(a[1], b[1], c[1]))
			if i := p.first(0, x0); i >= p.nx || p.line(0, i) > x1 {
				continue
			}
			j0 := p.first(1, y0)
			j1 := min(p.ny, p.first(1, y1)+1)
			for j1 > j0 && p.line(1, j1-1) > y1 {
				j1--
			}
			if j0 < j1 {
				out = append(out, reach{int32(t), int32(j0), int32(j1)})
			}
		}
		parts[k] = out
		return true
	})
	return slices.Concat(parts...)
}

// readRows reads the lines of rows from j0 up to j1 and returns those that come
// out unbalanced. All hits lie in one array, put in order of their lines by
// counting: no line has a list of its own to grow.
func (p *probes) readRows(m *mesh.Mesh, found []reach, j0, j1 int) (odd []int) {
	base, n := j0*p.nx, (j1-j0)*p.nx
	met := p.cross(m, found, j0, j1)
	count := make([]int32, n+1)
	for _, h := range met {
		count[int(h.line)-base+1]++
	}
	for i := range count[1:] {
		count[i+1] += count[i]
	}
	hits := make([]hit, len(met))
	next := slices.Clone(count)
	for _, h := range met {
		k := int(h.line) - base
		hits[next[k]] = h
		next[k]++
	}
	all := make([]stretch, 0, len(hits)/2+1)
	for i := range n {
		own := hits[count[i]:count[i+1]]
		if unbalanced(own) {
			odd = append(odd, base+i)
			continue
		}
		first := len(all)
		if all = balance(all, own); len(all) > first {
			p.solid[base+i] = all[first:len(all):len(all)]
		}
	}
	return odd
}

// A hit is where a line passes a facet: going up it enters with 1 and leaves
// with -1.
type hit struct {
	z    float64
	line int32
	up   int32
}

func unbalanced(hits []hit) bool {
	w := int32(0)
	for _, h := range hits {
		w += h.up
	}
	return w != 0
}

// balance appends the stretches of material between hits, which it sorts.
func balance(out []stretch, hits []hit) []stretch {
	if len(hits) == 0 {
		return out
	}
	slices.SortFunc(hits, func(a, b hit) int {
		if a.z != b.z {
			return cmp.Compare(a.z, b.z)
		}
		return int(b.up - a.up)
	})
	w := int32(0)
	for _, h := range hits {
		was := w
		w += h.up
		switch {
		case was == 0:
			out = append(out, stretch{h.z, h.z})
		case w == 0:
			out[len(out)-1].to = h.z
		}
	}
	return out
}

// cross returns every hit in rows from j0 up to j1, facet by facet.
func (p *probes) cross(m *mesh.Mesh, found []reach, j0, j1 int) []hit {
	out := make([]hit, 0, 2*(j1-j0)*p.nx)
	for _, r := range found {
		from, to := max(int(r.from), j0), min(int(r.to), j1)
		if from >= to {
			continue
		}
		var c [3][3]float64
		for k := range c {
			for j, x := range m.Corner(int(r.facet), k) {
				c[k][j] = float64(x)
			}
		}
		det := float64((c[1][0]-c[0][0])*(c[2][1]-c[0][1])) - float64((c[1][1]-c[0][1])*(c[2][0]-c[0][0]))
		if det == 0 {
			continue
		}
		up := int32(1) // a facet facing down is where a line going up enters
		if det > 0 {
			up = -1
		}
		f := newFacet(c, det)
		x0, x1 := min(c[0][0], c[1][0], c[2][0]), max(c[0][0], c[1][0], c[2][0])
		i0 := p.first(0, x0)
		for j := from; j < to; j++ {
			y := p.line(1, j)
			first, last := i0, x1
			if x1-x0 > float64(wideFacet*p.cell) {
				l, r := f.row(y)
				first, last = max(i0, p.first(0, l-p.cell)), min(x1, r+p.cell)
			}
			for i := first; i < p.nx; i++ {
				x := p.line(0, i)
				if x > last {
					break
				}
				if z, ok := f.under(x, y); ok {
					out = append(out, hit{z, int32(j*p.nx + i), up})
				}
			}
		}
	}
	return out
}

// wideFacet is how many cells wide a facet is for its extent in a row to be
// worked out first: half of the box of a triangle lies beside it.
const wideFacet = 8

// row is where a facet lies in a row of lines, to rounding.
func (f *facet) row(y float64) (from, to float64) {
	from, to = math.Inf(-1), math.Inf(1)
	for k := range f.side {
		s := &f.side[k]
		if s.along[1] == 0 {
			continue
		}
		x := s.from[0] + float64(s.along[0]*((y-s.from[1])/s.along[1]))
		if (s.sign < 0) == (s.along[1] < 0) {
			to = min(to, x)
		} else {
			from = max(from, x)
		}
	}
	return from, to
}

// line is the coordinate of a row of lines, first the first row not before x.
func (p *probes) line(k, i int) float64 { return p.min[k] + float64(float64(i)*p.cell) }

func (p *probes) first(k int, x float64) int {
	return max(0, int(math.Ceil((x-p.min[k])/p.cell)))
}

// A facet is a triangle as probes ask for it: its sides, each opposite to a
// corner, and its heights.
type facet struct {
	side [3]struct {
		from, along section.Point
		sign        float64 // that turns the inside positive
	}
	z [3]float64
}

// newFacet takes the sides by the order of their ends, so that two triangles
// which share one read it alike.
func newFacet(c [3][3]float64, det float64) facet {
	var f facet
	for k := range f.side {
		a, b, sign := c[(k+1)%3], c[(k+2)%3], 1.0
		if a[0] > b[0] || (a[0] == b[0] && a[1] > b[1]) {
			a, b, sign = b, a, -1
		}
		if det < 0 {
			sign = -sign
		}
		s := &f.side[k]
		s.from, s.along, s.sign = section.Point{a[0], a[1]}, section.Point{b[0] - a[0], b[1] - a[1]}, sign
		f.z[k] = c[k][2]
	}
	return f
}

// under returns the height of a facet over a point of the plan. Sides are
// half open, so that a point on a shared one belongs to one of two triangles.
func (f *facet) under(x, y float64) (float64, bool) {
	var w [3]float64
	for k := range f.side {
		s := &f.side[k]
		v := s.sign * (float64(s.along[0]*(y-s.from[1])) - float64(s.along[1]*(x-s.from[0])))
		if v < 0 || (v == 0 && s.sign < 0) {
			return 0, false
		}
		w[k] = v
	}
	sum := w[0] + w[1] + w[2]
	if sum == 0 {
		return 0, false
	}
	return (float64(w[0]*f.z[0]) + float64(w[1]*f.z[1]) + float64(w[2]*f.z[2])) / sum, true
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
