package section

import (
	"math"
	"slices"

	"falsework/mesh"
)

// A Line is a vertical cutting plane seen from above: it starts at From and
// runs in the unit direction Dir. A point of its sections is (run along the
// line, z). The plane has no ends; runs before From are negative.
type Line struct{ From, Dir Point }

// Vertical returns the section of m by a vertical plane, as [Slicer.At] does
// for horizontal ones: a vertex on the plane counts as right of the line. For
// many planes through one mesh use a [Cutter].
func Vertical(m *mesh.Mesh, l Line) (Polygons, error) {
	var ps []piece
	var pl plane = l // boxed once
	for t := range m.Triangles {
		if _, _, ok := zRange(m, t); ok {
			ps = cutTriangle(ps, m, t, pl)
		}
	}
	_, far := extent(m)
	return assemble(m, ps, l, Precision(far))
}

// A Cutter answers vertical cuts of one mesh. It keeps one number of four bytes
// per triangle beside the mesh, which must not change. It may be used by
// several goroutines at once.
//
// The index is that of [Slicer] in two dimensions: level L divides the plan
// into 2^L by 2^L cells, and a triangle lies in the cell of its least corner, on
// the finest level on which it reaches at most into the next cell.
type Cutter struct {
	m      *mesh.Mesh
	o      Point
	scale  [2]float64 // cells of the finest level per millimetre
	levels int
	tol    float64
	start  []int32
	tris   []int32
}

// NewCutter prepares m for vertical cuts. Triangles with a vertex that is not
// finite are never cut.
func NewCutter(m *mesh.Mesh) *Cutter {
	c := &Cutter{m: m, levels: 1}
	box, far := extent(m)
	c.tol = Precision(far)
	for 1<<(2*c.levels) < len(m.Triangles) && c.levels < 11 {
		c.levels++
	}
	for k := range 2 {
		c.o[k] = box.Min[k]
		if d := box.Max[k] - box.Min[k]; d > 0 {
			c.scale[k] = float64(int(1)<<(c.levels-1)) / d
		}
	}
	c.start, c.tris = file(len(m.Triangles), c.base(c.levels), c.bucket)
	return c
}

// planBox returns the box of triangle t in plan.
func planBox(m *mesh.Mesh, t int) (Rect, bool) {
	if _, _, ok := zRange(m, t); !ok {
		return Rect{}, false
	}
	tri := m.Triangles[t]
	a, b, c := m.Vertices[tri[0]], m.Vertices[tri[1]], m.Vertices[tri[2]]
	return Rect{
		Point{float64(min(a[0], b[0], c[0])), float64(min(a[1], b[1], c[1]))},
		Point{float64(max(a[0], b[0], c[0])), float64(max(a[1], b[1], c[1]))},
	}, true
}

// base returns the first bucket of level l: 1 + 4 + ... + 4^(l-1).
func (c *Cutter) base(l int) int { return (1<<(2*l) - 1) / 3 }

// cell returns the cell of coordinate x on the finest level; it never falls as
// x grows.
func (c *Cutter) cell(k int, x float64) int {
	n := int(1) << (c.levels - 1)
	v := (x - c.o[k]) * c.scale[k]
	if !(v > 0) {
		return 0
	}
	if v >= float64(n) {
		return n - 1
	}
	return int(v)
}

func (c *Cutter) bucket(t int) int {
	r, ok := planBox(c.m, t)
	if !ok {
		return -1
	}
	x0, x1 := c.cell(0, r.Min[0]), c.cell(0, r.Max[0])
	y0, y1 := c.cell(1, r.Min[1]), c.cell(1, r.Max[1])
	up := 0
	for x1>>up-x0>>up > 1 || y1>>up-y0>>up > 1 {
		up++
	}
	l := c.levels - 1 - up
	return c.base(l) + (y0>>up)<<l + x0>>up
}

// At returns the section by the vertical plane l; see [Vertical].
func (c *Cutter) At(l Line) (Polygons, error) { return c.Slab(l, 0).At(l) }

// A Slab is the triangles that planes close to one another may cut: to look for
// them is half the work of a cut. It may be used by several goroutines at once.
type Slab struct {
	c    *Cutter
	tris []int32 // in the order of the mesh
}

// Slab returns what planes parallel to l may cut that are no further from it
// than half; millimetres.
func (c *Cutter) Slab(l Line, half float64) *Slab {
	// Most triangles of the cells miss the planes: they are dropped before the
	// rest is put in order.
	s := &Slab{c: c}
	if half > 0 {
		half += 1e-6 // the planes are as far off as rounding has it
	}
	c.each(l, half, func(ts []int32) {
		for _, t := range ts {
			v := &c.m.Triangles[t]
			h0, h1, h2 := l.height(c.m.Vertices[v[0]]), l.height(c.m.Vertices[v[1]]), l.height(c.m.Vertices[v[2]])
			if h0 >= -half && h1 >= -half && h2 >= -half {
				if h0 > half && h1 > half && h2 > half || half == 0 {
					continue
				}
			} else if h0 < -half && h1 < -half && h2 < -half {
				continue
			}
			s.tris = append(s.tris, t)
		}
	})
	slices.Sort(s.tris)
	return s
}

// At returns the section by a plane of the slab; see [Vertical].
func (s *Slab) At(l Line) (Polygons, error) {
	buf := pieceLists.Get().(*[]piece)
	defer pieceLists.Put(buf)
	ps := (*buf)[:0]
	for _, t := range s.tris {
		ps = l.cutTriangle(ps, s.c.m, t)
	}
	*buf = ps
	return assemble(s.c.m, ps, l, s.c.tol)
}

// margin is added to the borders of cells, in cells, for the rounding of what is
// computed from them: a few parts in 10^12 on 1024 cells.
const margin = 1e-6

// each calls f with the triangles of every cell that planes within half of l
// could meet, row by row on each level. A cell's triangles reach at most to the far end of the next cell
// up and to the right.
func (c *Cutter) each(l Line, half float64, f func([]int32)) {
	if len(c.tris) == 0 {
		return
	}
	for up := range c.levels {
		lv := c.levels - 1 - up
		n := 1 << lv
		for y := range n {
			lo, hi := c.columns(l, half, y, up)
			if lo > hi {
				continue
			}
			row := c.base(lv) + y*n
			if ts := c.tris[c.start[row+lo]:c.start[row+hi+1]]; len(ts) > 0 {
				f(ts)
			}
		}
	}
}

// columns returns the range of cells in row y of the level up above the finest
// that planes within half of l could meet.
func (c *Cutter) columns(l Line, half float64, y, up int) (lo, hi int) {
	n := 1 << (c.levels - 1 - up)
	size := func(k int) float64 { return float64(int(1)<<up) / c.scale[k] }
	if c.scale[0] == 0 {
		return 0, n - 1
	}
	x0, x1 := math.Inf(-1), math.Inf(1)
	if c.scale[1] != 0 {
		// The first and the last row hold what lies beyond them by rounding.
		y0 := c.o[1] + (float64(y)-margin)*size(1) - half - l.From[1]
		y1 := c.o[1] + (float64(y+2)+margin)*size(1) + half - l.From[1]
		switch {
		case l.Dir[1] != 0:
			slope := l.Dir[0] / l.Dir[1]
			x0, x1 = l.From[0]+y0*slope, l.From[0]+y1*slope
			if x0 > x1 {
				x0, x1 = x1, x0
			}
		case y0 > 0 && y > 0 || y1 < 0 && y < n-1:
			return 0, -1
		}
	}
	column := func(x float64) int {
		v := math.Floor((x - c.o[0]) / size(0))
		return int(math.Max(-4, math.Min(float64(n)+4, v)))
	}
	return max(0, column(x0-half-margin*size(0))-1), min(n-1, column(x1+half+margin*size(0)))
}
