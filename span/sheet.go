package span

import (
	"math"

	"falsework/mesh/section"
)

// A sheet is one ceiling laid out on a lattice of square cells: what distances
// and strands are computed on. The border is kept exactly, as straight rims,
// so that the lattice decides only which way a path goes, not how long it is.
//
// A cell belongs to the sheet when its centre lies in the footprint. Cells are
// numbered row by row (nodes); index -1 stands for a place outside.
type sheet struct {
	cell   float64
	origin Point
	nx, ny int       // lattice with a margin of one cell all round
	id     []int32   // by lattice index: node, or -1
	at     []int32   // by node: lattice index
	pts    []Point   // by node: its centre; asked for so often that it is kept
	off    [8]int32  // what each of the ways adds to a lattice index
	z      []float64 // by node: height of the underside
	clear  []int32   // by node: every cell nearer than this (the larger of dx, dy) is in the sheet
	room   []int16   // by lattice index: the same, 0 outside; what a line of sight looks at
	step   float64   // neighbours further apart in height than this do not touch
	cliffs bool      // some neighbours do not touch
	convex bool      // every two points see each other
	rims   []rim
	area   float64
	foot   section.Polygons
	inside *locator
	bead   float64 // narrower than this is left out of account
	slim   []bool  // by node: lies where no disc of that width fits; nil where one fits everywhere
	mem    *memory // in which it is measured, or nil
}

// steps to the eight neighbours, and their length in cells.
var ways = [8]struct {
	dx, dy int
	l      float64
}{
	{1, 0, 1}, {0, 1, 1}, {-1, 0, 1}, {0, -1, 1},
	{1, 1, math.Sqrt2}, {-1, 1, math.Sqrt2}, {-1, -1, math.Sqrt2}, {1, -1, math.Sqrt2},
}

// cellFor chooses the lattice for a footprint: fine on narrow ceilings, coarser
// on wide ones, where exact rims keep the lengths true. Sixteen cells across a
// strip are enough, as long as none is larger than what lengths hold to: on a
// ribbed part most ceilings are strips a few millimetres wide, and their cells
// are most of the work.
func cellFor(foot section.Polygons) float64 {
	const cells = 30000 // of a wide ceiling
	const across = 16   // a strip
	area := foot.Area()
	width := 2 * area / max(perimeter(foot), 1e-9)
	c := max(math.Sqrt(area/cells), min(width/across, 0.2), 0.1)
	return max(min(c, 0.5, width/4), 0.02)
}

// newSheet lays foot out. height tells the height of the underside at a
// point; nil means a flat ceiling at 0.
func newSheet(foot section.Polygons, rims []rim, cell, step float64, height func(Point) float64) *sheet {
	s := &sheet{cell: cell, step: step, rims: rims, foot: foot, area: foot.Area(), convex: isConvex(foot), inside: newLocator(foot)}
	lo, hi := bounds(foot)
	if len(foot) == 0 {
		return s
	}
	// Cells are counted from the middle, so that a mirrored part gets a
	// mirrored lattice.
	mx, my := int((hi[0]-lo[0])/cell)+2, int((hi[1]-lo[1])/cell)+2
	s.nx, s.ny = mx+2, my+2
	s.origin = Point{(lo[0]+hi[0])/2 - float64(s.nx)*cell/2, (lo[1]+hi[1])/2 - float64(s.ny)*cell/2}
	old := spareSheets.Get().(*sheet)
	s.clear, s.room = old.clear, old.room
	s.id = resize(old.id, s.nx*s.ny)
	for i := range s.id {
		s.id[i] = -1
	}
	runs := scan(foot, s.origin, cell)
	n := 0
	for _, r := range runs {
		n += int(r.to - r.from)
	}
	s.at = resize(old.at, n)[:0]
	for _, r := range runs {
		row := r.row * int32(s.nx)
		for i := row + r.from; i < row+r.to; i++ {
			s.id[i] = int32(len(s.at))
			s.at = append(s.at, i)
		}
	}
	s.pts = resize(old.pts, len(s.at))
	for n, i := range s.at {
		s.pts[n] = s.centre(int(i)%s.nx, int(i)/s.nx)
	}
	for w, o := range ways {
		s.off[w] = int32(o.dy*s.nx + o.dx)
	}
	s.z = resize(old.z, len(s.at))
	if height != nil {
		for n := range s.at {
			s.z[n] = height(s.pos(int32(n)))
		}
		s.findCliffs()
	}
	s.findClear()
	return s
}

// raised returns a flat sheet as it lies at another height, with rims that differ from
// its own in height alone.
func (s *sheet) raised(z float64, rims []rim) *sheet {
	out := *s
	out.rims, out.z = rims, make([]float64, len(s.z))
	for n := range out.z {
		out.z[n] = z
	}
	return &out
}

// pos returns the centre of node n.
func (s *sheet) pos(n int32) Point { return s.pts[n] }

func (s *sheet) centre(ix, iy int) Point {
	return Point{s.origin[0] + float64((float64(ix)+0.5)*s.cell), s.origin[1] + float64((float64(iy)+0.5)*s.cell)}
}

// within reports whether p lies in the footprint.
func (s *sheet) within(p Point) bool { return s.inside.has(p) }

// node returns the node whose cell holds p, or -1.
func (s *sheet) node(p Point) int32 {
	ix, iy := int(math.Floor((p[0]-s.origin[0])/s.cell)), int(math.Floor((p[1]-s.origin[1])/s.cell))
	if ix < 0 || iy < 0 || ix >= s.nx || iy >= s.ny {
		return -1
	}
	return s.id[iy*s.nx+ix]
}

// next returns the neighbour of n in direction w (0 to 7) that touches it, or
// -1.
func (s *sheet) next(n int32, w int) int32 {
	m := s.id[s.at[n]+s.off[w]]
	if m >= 0 && s.cliffs && math.Abs(s.z[m]-s.z[n]) > s.step {
		return -1
	}
	return m
}

func (s *sheet) findCliffs() {
	for n := range s.at {
		for w := range ways {
			m := s.id[int(s.at[n])+ways[w].dy*s.nx+ways[w].dx]
			if m >= 0 && math.Abs(s.z[m]-s.z[n]) > s.step {
				s.cliffs = true
				return
			}
		}
	}
}

// findClear fills clear and room.
func (s *sheet) findClear() {
	s.clear = resize(s.clear, len(s.at))
	if s.cliffs {
		s.findClearCliffs()
		s.room = resize(s.room, len(s.id))
		for n, i := range s.at {
			s.room[i] = int16(min(s.clear[n], math.MaxInt16))
		}
		return
	}
	// In two passes over the lattice, whose margin is outside: each place is one further
	// in than the least of those beside it.
	most := int16(math.MaxInt16 - 1)
	s.room = resize(s.room, len(s.id))
	room, nx := s.room, int32(s.nx)
	for _, i := range s.at {
		row := room[i-nx-1 : i-nx+2]
		room[i] = min(row[0], row[1], row[2], room[i-1], most) + 1
	}
	for n := len(s.at) - 1; n >= 0; n-- {
		i := s.at[n]
		row := room[i+nx-1 : i+nx+2]
		room[i] = min(room[i], min(row[0], row[1], row[2], room[i+1], most)+1)
		s.clear[n] = int32(room[i])
	}
}

// findClearCliffs fills clear where neighbours may not touch.
func (s *sheet) findClearCliffs() {
	pass := func(n int32, of [4]int) {
		c := s.clear[n]
		for _, w := range of {
			m := s.next(n, w)
			if m < 0 {
				c = 1
				break
			}
			c = min(c, s.clear[m]+1)
		}
		s.clear[n] = c
	}
	for n := range s.clear {
		s.clear[n] = math.MaxInt32 - 1
		for w := range ways {
			if s.next(int32(n), w) < 0 {
				s.clear[n] = 1
				break
			}
		}
	}
	for n := int32(0); int(n) < len(s.clear); n++ {
		if s.clear[n] > 1 {
			pass(n, [4]int{2, 3, 6, 7})
		}
	}
	for n := int32(len(s.clear)) - 1; n >= 0; n-- {
		if s.clear[n] > 1 {
			pass(n, [4]int{0, 1, 4, 5})
		}
	}
}

// findSlim marks what is too narrow for a bead: the whisker that a fillet or a
// wall a hair out of true leaves beside a ceiling. No printer lays it, so that it
// neither hangs nor sets a length. Corners of a wider place are not slim. The
// middles are those of beads, diameter wide, that fit in.
func (s *sheet) findSlim(middles section.Polygons, diameter float64) {
	// Row by row: asking for each node took as long as laying the sheet out.
	n := 0
	mark := func(end int) { // nodes before lattice index end
		for ; n < len(s.at) && int(s.at[n]) < end; n++ {
			if s.slim == nil {
				s.slim = make([]bool, len(s.at))
			}
			s.slim[n] = true
		}
	}
	for _, r := range scan(section.Offset(middles, diameter/2+hair, section.Miter), s.origin, s.cell) {
		from, to := max(r.from, 0), min(r.to, int32(s.nx))
		if r.row < 0 || int(r.row) >= s.ny || from >= to {
			continue
		}
		row := int(r.row) * s.nx
		mark(row + int(from))
		for ; n < len(s.at) && int(s.at[n]) < row+int(to); n++ {
		}
	}
	mark(len(s.id))
}

// counts reports whether node n is wide enough for a bead.
func (s *sheet) counts(n int32) bool { return s.slim == nil || !s.slim[n] }

// sees reports whether the straight way from node n to p stays in the sheet,
// the last cell before p not looked at (p may lie on the border).
func (s *sheet) sees(n int32, p Point) bool {
	if s.convex && !s.cliffs {
		return true
	}
	i := int(s.at[n])
	ix, iy := i%s.nx, i/s.nx
	c := s.centre(ix, iy)
	dx, dy := (p[0]-c[0])/s.cell, (p[1]-c[1])/s.cell
	long := max(math.Abs(dx), math.Abs(dy))
	last := int(long - 0.75)
	if last < 1 {
		return true
	}
	dx, dy = dx/long, dy/long
	x, y := float64(ix)+0.5, float64(iy)+0.5
	if !s.cliffs {
		for k, free := 0, s.room[i]; ; {
			k += max(int(free)-1, 1)
			if k > last {
				return true
			}
			free = s.room[int(y+float64(float64(k)*dy))*s.nx+int(x+float64(float64(k)*dx))]
			if free == 0 {
				return false
			}
		}
	}
	for k, m := 0, n; ; {
		hop := max(int(s.clear[m])-1, 1)
		k += hop
		if k > last {
			return true
		}
		q := s.id[int(y+float64(float64(k)*dy))*s.nx+int(x+float64(float64(k)*dx))]
		if q < 0 || hop == 1 && math.Abs(s.z[q]-s.z[m]) > s.step {
			return false
		}
		m = q
	}
}

// isConvex reports whether a footprint is a single convex ring.
func isConvex(p section.Polygons) bool {
	if len(p) != 1 {
		return false
	}
	r := p[0]
	for i, a := range r {
		b, c := r[(i+1)%len(r)], r[(i+2)%len(r)]
		turn := float64((b[0]-a[0])*(c[1]-b[1])) - float64((b[1]-a[1])*(c[0]-b[0]))
		if turn < -1e-9 {
			return false
		}
	}
	return true
}
