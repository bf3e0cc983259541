package rib

import (
	"math"
	"math/bits"

	"falsework/mesh/section"
	"falsework/span"
)

// body is the diameter of what must be able to leave a cavity: less, and
// neither hand nor blade gets in to cut ribs out.
const body = 10.0

// A space is the part on a coarse raster of cubes, in which balls look for a
// way out. A cube is a bit in the column it belongs to: a ball is kept off
// material a word at a time, and only in the columns that are asked for, since
// most ways out are short.
//
// Distances are those of the 3-4-5 chamfer (Borgefors, Distance
// transformations in digital images, 1986: from memory), in thirds of a cube.
// The bed is no material: a ball may leave by the open foot of a part once it
// is off the bed.
type space struct {
	p          *probes
	cell       float64
	nx, ny, nz int
	words      int        // of a column
	margin     int        // columns of air all round
	most       int        // the highest and lowest reach of a ball that is asked about
	grown      [][]uint64 // by column: its material grown up and down by 0, 1, ... most cubes; made when asked for
}

// sealed tells whether a ball of body, or the largest that fits under the
// ceiling when that is less, cannot leave the air under it.
func (m *maker) sealed(c *span.Ceiling) bool {
	m.cavity.Lock() // columns are read as they are asked for
	defer m.cavity.Unlock()
	if m.space == nil {
		m.space = newSpace(m.probes)
	}
	s := m.space
	spots := s.under(c)
	if len(spots) == 0 {
		return false
	}
	// Cubes that are partly material count as full: give that back.
	radius := s.body()
	if most := 0.8 * s.widest(spots, radius/0.8); most < radius {
		radius = max(0.5, most)
	}
	return !s.leaves(spots, radius)
}

// body is the radius of a body in cubes.
func (s *space) body() float64 { return max(0.5, body/2/s.cell-0.75) }

func newSpace(p *probes) *space {
	size := max(float64(p.nx)*p.cell, float64(p.ny)*p.cell, p.top-p.bed)
	s := &space{p: p, cell: max(size/140, p.cell)}
	s.margin = 4 + int(body/s.cell)
	s.nx = int(float64(p.nx)*p.cell/s.cell) + 2*s.margin
	s.ny = int(float64(p.ny)*p.cell/s.cell) + 2*s.margin
	s.nz = int((p.top-p.bed)/s.cell) + s.margin + 1
	s.words = (s.nz + 63) / 64
	s.most = int(s.body() / 0.8)
	s.grown = make([][]uint64, s.nx*s.ny)
	return s
}

// material is a column grown up and down by some cubes.
func (s *space) material(c, by int) []uint64 {
	g := s.grown[c]
	if g == nil {
		g = make([]uint64, s.words*(s.most+1))
		s.read(g[:s.words], c)
		for k := s.words; k < len(g); k += s.words {
			widen(g[k:k+s.words], g[k-s.words:k])
		}
		s.grown[c] = g
	}
	return g[by*s.words : (by+1)*s.words]
}

// read sets the cubes of a column that material enters.
func (s *space) read(col []uint64, c int) {
	m := float64(s.margin) * s.cell
	q := section.Point{s.p.min[0] - m + float64((float64(c%s.nx)+0.5)*s.cell), s.p.min[1] - m + float64((float64(c/s.nx)+0.5)*s.cell)}
	for _, x := range s.p.at(q) {
		fill(col, int((x.from-s.p.bed)/s.cell), min(s.nz, int(math.Ceil((x.to-s.p.bed)/s.cell))))
	}
}

// fill sets the bits from lo up to hi.
func fill(col []uint64, lo, hi int) {
	for w := lo / 64; w*64 < hi; w++ {
		x := ^uint64(0)
		if d := lo - 64*w; d > 0 {
			x <<= d
		}
		if d := 64*(w+1) - hi; d > 0 {
			x &= ^uint64(0) >> d
		}
		col[w] |= x
	}
}

func has(col []uint64, k int) bool { return col[k/64]>>(k%64)&1 != 0 }

// widen sets to what from has, and the cubes above and below.
func widen(to, from []uint64) {
	for w, x := range from {
		to[w] = x | x<<1 | x>>1
		if w > 0 {
			to[w] |= from[w-1] >> 63
		}
		if w+1 < len(from) {
			to[w] |= from[w+1] << 63
		}
	}
}

// A ball is the columns about its middle's that it reaches, and how far up and
// down in each.
type ball []struct{ dx, dy, dz int }

// newBall takes the cubes nearer than radius.
func newBall(radius float64) ball {
	var b ball
	n := int(radius) + 1
	for dy := -n; dy <= n; dy++ {
		for dx := -n; dx <= n; dx++ {
			for dz := n; dz >= 0; dz-- {
				if float64(chamfer(dx, dy, dz)) < 3*radius {
					b = append(b, struct{ dx, dy, dz int }{dx, dy, dz})
					break
				}
			}
		}
	}
	return b
}

// chamfer is the length of a step in thirds of a cube.
func chamfer(x, y, z int) int {
	x, y, z = max(x, -x), max(y, -y), max(z, -z)
	return x + y + z + 2*max(x, y, z)
}

// free fills to with the cubes of a column in which the middle of a ball can
// be.
func (s *space) free(to []uint64, c int, b ball) {
	clear(to)
	x, y := c%s.nx, c/s.nx
	for _, o := range b {
		if i, j := x+o.dx, y+o.dy; i >= 0 && j >= 0 && i < s.nx && j < s.ny {
			for w, m := range s.material(j*s.nx+i, o.dz) {
				to[w] |= m
			}
		}
	}
	for w := range to {
		to[w] = ^to[w]
	}
	if n := s.nz % 64; n > 0 {
		to[len(to)-1] &= 1<<n - 1
	}
}

// A spot is the air under a ceiling in one column.
type spot struct {
	column int
	cubes  []uint64
}

// under lists the air under a ceiling.
func (s *space) under(c *span.Ceiling) []spot {
	var out []spot
	known := make([]int32, s.nx*s.ny) // 1 + the place in out
	m := float64(s.margin) * s.cell
	cells, _ := middles(c.Footprint, max(s.cell/2, 0.5))
	for _, q := range cells {
		top, floor := s.p.clear(q, c.Z)
		i := int((q[0] - s.p.min[0] + m) / s.cell)
		j := int((q[1] - s.p.min[1] + m) / s.cell)
		if i < 0 || j < 0 || i >= s.nx || j >= s.ny || floor+s.cell/2 >= top {
			continue
		}
		n := int(known[j*s.nx+i]) - 1
		if n < 0 {
			n = len(out)
			known[j*s.nx+i] = int32(n + 1)
			out = append(out, spot{j*s.nx + i, make([]uint64, s.words)})
		}
		lo := int((floor-s.p.bed)/s.cell + 0.5)
		fill(out[n].cubes, lo, min(s.nz, lo+int(math.Ceil((top-floor)/s.cell-0.5))))
	}
	return out
}

// widest is the radius of the largest ball that fits at one of some spots, or
// the given one when that fits too.
func (s *space) widest(spots []spot, most float64) float64 {
	lo, hi := 0, int(3*most)
	if s.fits(spots, most) {
		return most
	}
	for lo < hi {
		m := (lo + hi + 1) / 2
		if s.fits(spots, float64(m)/3) {
			lo = m
		} else {
			hi = m - 1
		}
	}
	return float64(lo) / 3
}

// fits tells whether a ball fits at one of some spots.
func (s *space) fits(spots []spot, radius float64) bool {
	b := newBall(radius)
	free := make([]uint64, s.words)
	for _, p := range spots {
		s.free(free, p.column, b)
		for w, x := range p.cubes {
			if x&free[w] != 0 {
				return true
			}
		}
	}
	return false
}

// leaves tells whether a ball comes from one of some spots to the edge of the
// raster, below it too: the part is off the bed when it is cut.
func (s *space) leaves(spots []spot, radius float64) bool {
	b := newBall(radius)
	free := make([][]uint64, s.nx*s.ny) // not visited yet
	var queue []spot
	visit := func(c int, from []uint64) {
		if free[c] == nil {
			free[c] = make([]uint64, s.words)
			s.free(free[c], c, b)
		}
		if next := take(free[c], from); next != nil {
			queue = append(queue, spot{c, next})
		}
	}
	for _, p := range spots {
		visit(p.column, p.cubes)
		for len(queue) > 0 {
			q := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			x, y := q.column%s.nx, q.column/s.nx
			if x == 0 || y == 0 || x == s.nx-1 || y == s.ny-1 ||
				has(q.cubes, 0) || has(q.cubes, s.nz-1) {
				return true
			}
			visit(q.column-1, q.cubes)
			visit(q.column+1, q.cubes)
			visit(q.column-s.nx, q.cubes)
			visit(q.column+s.nx, q.cubes)
		}
	}
	return false
}

// take moves the runs of free cubes that meet from out of free; nil when there
// are none.
func take(free, from []uint64) []uint64 {
	var out []uint64
	for w := range from {
		for hit := from[w] & free[w]; hit != 0; hit = from[w] & free[w] {
			if out == nil {
				out = make([]uint64, len(free))
			}
			k := 64*w + bits.TrailingZeros64(hit)
			lo, hi := k, k
			for lo > 0 && has(free, lo-1) {
				lo--
			}
			for hi < 64*len(free) && has(free, hi) {
				hi++
			}
			fill(out, lo, hi)
			for v := lo / 64; v*64 < hi; v++ {
				free[v] &^= out[v]
			}
		}
	}
	return out
}
