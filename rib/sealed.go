package rib

import (
	"falsework/mesh/section"
	"falsework/span"
)

// body is the diameter of what must be able to leave a cavity: less, and
// neither hand nor blade gets in to cut ribs out.
const body = 10.0

// A space is the part on a coarse raster of cubes, with the air in which a
// ball fits, and how much of that is joined to the outside.
type space struct {
	p          *probes
	cell       float64
	nx, ny, nz int
	z0         float64
	near       []float32 // distance of a cube's middle to material, in cubes
	outside    map[float64][]bool
}

// sealed tells whether a ball of body, or the largest that fits under the
// ceiling when that is less, cannot leave the air under it.
func (m *maker) sealed(c *span.Ceiling) bool {
	if m.space == nil {
		m.space = newSpace(m.probes)
	}
	s := m.space
	best := 0.0
	var spots []int
	g := newRaster(c.Footprint, max(s.cell/2, 0.5))
	for _, q := range g.cells {
		top, floor := m.probes.clear(q, c.Z)
		for z := floor + s.cell/2; z < top; z += s.cell {
			i, ok := s.index(q, z)
			if !ok {
				continue
			}
			if d := float64(s.near[i]); d > best {
				best = d
			}
			spots = append(spots, i)
		}
	}
	if len(spots) == 0 {
		return false
	}
	// Cubes that are partly material count as full: give that back.
	radius := max(0.5, min(0.8*best, body/2/s.cell-0.75))
	out := s.flood(radius)
	for _, i := range spots {
		if float64(s.near[i]) >= radius && out[i] {
			return false
		}
	}
	return true
}

// newSpace fills the cubes and measures their distance to material.
func newSpace(p *probes) *space {
	size := max(float64(p.nx)*p.cell, float64(p.ny)*p.cell, p.top-p.bed)
	s := &space{p: p, cell: max(size/140, p.cell), outside: map[float64][]bool{}}
	margin := 4 + int(body/s.cell)
	s.nx = int(float64(p.nx)*p.cell/s.cell) + 2*margin
	s.ny = int(float64(p.ny)*p.cell/s.cell) + 2*margin
	s.nz = int((p.top-p.bed)/s.cell) + margin + 1
	s.z0 = p.bed
	s.near = make([]float32, s.nx*s.ny*s.nz)
	m := float64(margin) * s.cell
	for j := 0; j < s.ny; j++ {
		for i := 0; i < s.nx; i++ {
			q := section.Point{p.min[0] - m + float64((float64(i)+0.5)*s.cell), p.min[1] - m + float64((float64(j)+0.5)*s.cell)}
			solid := p.at(q)
			for k := 0; k < s.nz; k++ {
				z := s.z0 + float64((float64(k)+0.5)*s.cell)
				d := float32(1e6)
				for _, x := range solid {
					if z+s.cell/2 > x.from && z-s.cell/2 < x.to {
						d = 0
					}
				}
				s.near[(k*s.ny+j)*s.nx+i] = d
			}
		}
	}
	s.chamfer()
	return s
}

// index is the cube of a point.
func (s *space) index(q section.Point, z float64) (int, bool) {
	m := float64(4+int(body/s.cell)) * s.cell
	i := int((q[0] - s.p.min[0] + m) / s.cell)
	j := int((q[1] - s.p.min[1] + m) / s.cell)
	k := int((z - s.z0) / s.cell)
	if i < 0 || j < 0 || k < 0 || i >= s.nx || j >= s.ny || k >= s.nz {
		return 0, false
	}
	return (k*s.ny+j)*s.nx + i, true
}

// chamfer spreads distances to material by the 3-4-5 mask in two passes
// (Borgefors, Distance transformations in digital images, 1986: from memory).
// The bed is no material: a ball may leave by the open foot of a part once it
// is off the bed.
func (s *space) chamfer() {
	type nb struct {
		o [3]int
		w float32
	}
	var mask []nb
	for dz := -1; dz <= 0; dz++ {
		for dy := -1; dy <= 1; dy++ {
			for dx := -1; dx <= 1; dx++ {
				if dz == 0 && (dy > 0 || dy == 0 && dx >= 0) {
					continue
				}
				n := dx*dx + dy*dy + dz*dz
				mask = append(mask, nb{[3]int{dx, dy, dz}, float32(n+2) / 3})
			}
		}
	}
	pass := func(sign int) {
		total := s.nx * s.ny * s.nz
		for t := 0; t < total; t++ {
			c := t
			if sign < 0 {
				c = total - 1 - t
			}
			i, j, k := c%s.nx, c/s.nx%s.ny, c/s.nx/s.ny
			d := s.near[c]
			for _, m := range mask {
				x, y, z := i+sign*m.o[0], j+sign*m.o[1], k+sign*m.o[2]
				if x < 0 || y < 0 || z < 0 || x >= s.nx || y >= s.ny || z >= s.nz {
					continue
				}
				if e := s.near[(z*s.ny+y)*s.nx+x] + m.w; e < d {
					d = e
				}
			}
			s.near[c] = d
		}
	}
	pass(1)
	pass(-1)
}

// flood marks the cubes that a ball's middle can reach from outside, also from
// below: the part is off the bed when it is cut.
func (s *space) flood(radius float64) []bool {
	if f, ok := s.outside[radius]; ok {
		return f
	}
	seen := make([]bool, len(s.near))
	var queue []int
	push := func(i, j, k int) {
		if i < 0 || j < 0 || k < 0 || i >= s.nx || j >= s.ny || k >= s.nz {
			return
		}
		c := (k*s.ny+j)*s.nx + i
		if !seen[c] && float64(s.near[c]) >= radius {
			seen[c] = true
			queue = append(queue, c)
		}
	}
	for k := 0; k < s.nz; k++ {
		for j := 0; j < s.ny; j++ {
			for i := 0; i < s.nx; i++ {
				if i == 0 || j == 0 || k == 0 || i == s.nx-1 || j == s.ny-1 || k == s.nz-1 {
					push(i, j, k)
				}
			}
		}
	}
	for len(queue) > 0 {
		c := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		i, j, k := c%s.nx, c/s.nx%s.ny, c/s.nx/s.ny
		push(i+1, j, k)
		push(i-1, j, k)
		push(i, j+1, k)
		push(i, j-1, k)
		push(i, j, k+1)
		push(i, j, k-1)
	}
	s.outside[radius] = seen
	return seen
}
