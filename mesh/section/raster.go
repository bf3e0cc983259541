package section

import (
	"math"
	"math/bits"
	"slices"
)

// A Mask is a raster of a region: one bit for each square cell, set where the
// middle of the cell is inside. Cell (i, j) has its middle at
// Origin + (i+1/2, j+1/2) Cell.
type Mask struct {
	Origin Point   // lower left corner of cell (0, 0)
	Cell   float64 // side of a cell; millimetres
	W, H   int     // columns and rows
	Stride int     // words in a row
	Bits   []uint64
}

// maxCells bounds a mask to 64 MB.
const maxCells = 1 << 29

// NewMask returns an empty mask of cells of the given side that covers bounds;
// its origin is bounds.Min. It has no cells when the cell is not a positive
// number or there would be more than 2^29 of them.
func NewMask(bounds Rect, cell float64) *Mask {
	m := &Mask{Origin: bounds.Min, Cell: cell}
	w := math.Ceil((bounds.Max[0] - bounds.Min[0]) / cell)
	h := math.Ceil((bounds.Max[1] - bounds.Min[1]) / cell)
	if cell > 0 && w > 0 && h > 0 && w*h <= maxCells {
		m.W, m.H = int(w), int(h)
		m.Stride = (m.W + 63) / 64
		m.Bits = make([]uint64, m.Stride*m.H)
	}
	return m
}

// At reports whether cell (i, j) is set; cells outside the mask are not.
func (m *Mask) At(i, j int) bool {
	return i >= 0 && i < m.W && j >= 0 && j < m.H && m.Bits[j*m.Stride+i>>6]>>(i&63)&1 != 0
}

// Middle returns the middle of cell (i, j).
func (m *Mask) Middle(i, j int) Point {
	return Point{m.Origin[0] + (float64(i)+0.5)*m.Cell, m.Origin[1] + (float64(j)+0.5)*m.Cell}
}

// Count returns the number of cells set.
func (m *Mask) Count() int {
	n := 0
	for _, w := range m.Bits {
		n += bits.OnesCount64(w)
	}
	return n
}

// Raster sets the cells whose middle lies inside the rings by nonzero winding.
// The rings may cross, overlap and run either way. A middle on a border is inside
// where material lies on its right; on a level border, where it lies above.
func Raster(rings Polygons, cell float64, bounds Rect) *Mask {
	m := NewMask(bounds, cell)
	var es []rasterEdge
	for _, r := range rings {
		if !finite(r) {
			continue
		}
		for i, a := range r {
			es = m.addEdge(es, a, r[next(i, len(r))])
		}
	}
	m.fill(es)
	return m
}

// Raster is At as a raster, without making polygons: the cheapest section, and
// one that shares nothing with the clipping.
func (s *Slicer) Raster(z, cell float64, bounds Rect) *Mask {
	m := NewMask(bounds, cell)
	ps := s.pieces(nil, z)
	es := make([]rasterEdge, 0, len(ps))
	for i := range ps {
		es = m.addEdge(es, ps[i].p, ps[i].end(s.m, level(z)))
	}
	m.fill(es)
	return m
}

// A rasterEdge is a side that passes the middles of rows first to last,
// upwards (turn 1) or downwards (turn -1).
type rasterEdge struct {
	a, b        Point // a below b
	first, last int32
	turn        int32
}

func (m *Mask) addEdge(es []rasterEdge, a, b Point) []rasterEdge {
	e := rasterEdge{a: a, b: b, turn: -1} // going down has material on the right
	if a[1] < b[1] {
		e.turn = 1
	} else {
		e.a, e.b = b, a
	}
	e.first, e.last = m.rowFrom(e.a[1]), m.rowFrom(e.b[1])-1
	if e.first > e.last {
		return es
	}
	return append(es, e)
}

// rowFrom returns the first row whose middle is at or above y.
func (m *Mask) rowFrom(y float64) int32 {
	return int32(math.Max(0, math.Min(float64(m.H), math.Ceil((y-m.Origin[1])/m.Cell-0.5))))
}

// x returns where e passes the middle of row j.
func (m *Mask) x(e *rasterEdge, j int32) float64 {
	y := m.Origin[1] + (float64(j)+0.5)*m.Cell
	return between(e.a[0], e.b[0], (y-e.a[1])/(e.b[1]-e.a[1]))
}

// fill sets the cells inside. Edges wait in the list of their first row and
// move up row by row while they last.
func (m *Mask) fill(es []rasterEdge) {
	slices.SortStableFunc(es, func(a, b rasterEdge) int { return int(a.first - b.first) })
	type hit struct {
		col  int32
		turn int32
	}
	var active []int32
	var hits []hit
	n := 0
	for j := int32(0); int(j) < m.H; j++ {
		for n < len(es) && es[n].first == j {
			active = append(active, int32(n))
			n++
		}
		hits = hits[:0]
		live := active[:0]
		for _, k := range active {
			e := &es[k]
			// The first column whose middle is not left of the side.
			c := math.Ceil((m.x(e, j)-m.Origin[0])/m.Cell - 0.5)
			hits = append(hits, hit{int32(math.Max(0, math.Min(float64(m.W), c))), -e.turn})
			if e.last > j {
				live = append(live, k)
			}
		}
		active = live
		slices.SortFunc(hits, func(a, b hit) int { return int(a.col - b.col) })
		row := m.Bits[int(j)*m.Stride : int(j+1)*m.Stride]
		w, from := int32(0), int32(0)
		for _, h := range hits {
			if w != 0 {
				setBits(row, int(from), int(h.col))
			}
			w += h.turn
			from = h.col
		}
	}
}

// setBits sets bits from to (not including) to.
func setBits(row []uint64, from, to int) {
	if from >= to {
		return
	}
	i, k := from>>6, (to-1)>>6
	lo, hi := ^uint64(0)<<(from&63), ^uint64(0)>>(63-(to-1)&63)
	if i == k {
		row[i] |= lo & hi
		return
	}
	row[i] |= lo
	for w := i + 1; w < k; w++ {
		row[w] = ^uint64(0)
	}
	row[k] |= hi
}
