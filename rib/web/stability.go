package web

import (
	"math"

	"falsework/mesh/section"
)

// weight is what each millimetre of a walk counts where the web is so deep.
// That free length goes with the cube root of depth follows from the bending of
// a strip; the factor 1.15 and the cap of 40 mm are fitted to thin-plate finite
// elements.
func weight(depth float64) float64 {
	return 1.15 * math.Cbrt(40/math.Min(depth, 40))
}

// FreeLength returns how long a strip of a depth may stand free from hold to
// hold, in millimetres: 30 at 40 and deeper, 24 at 20, 19 at 10, 16 at 6, 13 at
// 3 for the default slenderness and width.
func (s Settings) FreeLength(depth float64) float64 {
	return s.Slenderness * s.Width / weight(depth)
}

// holds is the raster on which a web is walked: which cells it fills, how deep
// it is there, and which of them the part or the bed holds.
type holds struct {
	u0, z0     float64 // lower left corner
	cell       float64
	cols, rows int
	weight     []float32 // 0 where there is no web
	held       []bool
	limit      float64
}

// newHolds reads a web's outline against the section of the part.
func newHolds(outline, part section.Polygons, s *Settings) *holds {
	lo, hi := bounds(outline)
	h := &holds{z0: lo[1], cell: 0.5, limit: s.Slenderness * s.Width}
	if math.Max(hi[0]-lo[0], hi[1]-lo[1]) > 300 {
		h.cell = 1
	}
	h.cols = int(math.Ceil((hi[0]-lo[0])/h.cell)) + 1
	h.u0 = (lo[0]+hi[0])/2 - h.cell*float64(h.cols)/2 // the same from behind
	h.rows = int(math.Ceil((hi[1] - lo[1]) / h.cell))
	h.weight, h.held = make([]float32, h.cols*h.rows), make([]bool, h.cols*h.rows)
	topZ := h.z0 + h.cell*(float64(h.rows)-0.5)
	web := crossings(outline, topZ, h.cell, h.rows, lo[0]-1, hi[0]+1)
	mat := crossings(part, topZ, h.cell, h.rows+1, lo[0]-1, hi[0]+1)
	for i := range h.rows {
		k := h.rows - 1 - i // rows of crossings run downwards
		onBed := h.z0+h.cell*(float64(i)-0.5) < s.Bed
		h.fillRow(i, web[k], mat[k], mat[k+1], onBed)
	}
	return h
}

// fillRow sets the cells of one row from the crossings of the web, of the part
// in this row and of the part in the row below.
func (h *holds) fillRow(i int, web, mat, below []float64, onBed bool) {
	for k := 0; k+1 < len(web); k += 2 {
		a, b := web[k], web[k+1]
		w := float32(weight(math.Max(b-a, 0.1)))
		first := int(math.Ceil((a-h.u0)/h.cell - 0.5))
		last := int(math.Floor((b-h.u0)/h.cell - 0.5))
		if last < first {
			first = int((a + b - 2*h.u0) / 2 / h.cell)
			last = first
		}
		for j := max(0, first); j <= last && j < h.cols; j++ {
			lo := math.Max(a, h.u0+h.cell*float64(j))
			hi := math.Min(b, h.u0+h.cell*float64(j+1))
			if j == first {
				lo = a
			}
			if j == last {
				hi = b
			}
			h.weight[i*h.cols+j] = w
			h.held[i*h.cols+j] = onBed || overlaps(mat, lo, hi) || overlaps(below, lo, hi)
		}
	}
}

// overlaps says whether a row has material between two runs.
func overlaps(row []float64, lo, hi float64) bool {
	for k := 0; k+1 < len(row); k += 2 {
		if row[k] < hi && row[k+1] > lo {
			return true
		}
	}
	return false
}

// A walk is the weighted distance of every cell to its nearest hold through
// what is printed when the cell is.
type walk struct {
	h      *holds
	d      []float64
	braced []bool
}

func newWalk(h *holds) *walk {
	w := &walk{h: h, d: make([]float64, len(h.weight)), braced: make([]bool, len(h.weight))}
	for i := range w.d {
		w.d[i] = math.Inf(1)
	}
	return w
}

// brace makes the cells of a brace held and returns their row.
func (w *walk) brace(b Brace) int {
	h := w.h
	i := int(math.Floor(((b.Z[0]+b.Z[1])/2 - h.z0) / h.cell))
	if i < 0 || i >= h.rows {
		return h.rows
	}
	for j := range h.cols {
		u := h.u0 + h.cell*(float64(j)+0.5)
		if math.Abs(u-b.U) <= math.Max(braceDepth/2, h.cell/2) && h.weight[i*h.cols+j] > 0 {
			w.braced[i*h.cols+j] = true
		}
	}
	return i
}

// The ways down from a cell: columns aside, rows down, length.
var steps = [...]struct {
	du, dz int
	length float64
}{{0, 1, 1}, {-1, 1, math.Sqrt2}, {1, 1, math.Sqrt2},
	{-2, 1, math.Sqrt2 * 1.5811388300841898}, {2, 1, math.Sqrt2 * 1.5811388300841898},
	{-1, 2, math.Sqrt2 * 1.5811388300841898}, {1, 2, math.Sqrt2 * 1.5811388300841898}}

// row walks row i, the rows below it being done, and returns its worst cell.
func (w *walk) row(i int) (worst float64, col int) {
	h := w.h
	worst, col = 0, -1
	base := i * h.cols
	for j := range h.cols {
		c := base + j
		if h.weight[c] == 0 {
			continue
		}
		w.d[c] = math.Inf(1)
		if h.held[c] || w.braced[c] {
			w.d[c] = 0
			continue
		}
		for _, s := range steps {
			jj, ii := j+s.du, i-s.dz
			if jj < 0 || jj >= h.cols || ii < 0 {
				continue
			}
			w.step(c, ii*h.cols+jj, s.length)
		}
	}
	for j := 1; j < h.cols; j++ {
		w.step(base+j, base+j-1, 1)
	}
	for j := h.cols - 2; j >= 0; j-- {
		w.step(base+j, base+j+1, 1)
	}
	for j := range h.cols {
		if c := base + j; h.weight[c] > 0 && w.d[c] > worst {
			worst, col = w.d[c], j
		}
	}
	return worst, col
}

// step tries to reach cell c by way of its neighbour n.
func (w *walk) step(c, n int, length float64) {
	a, b := w.h.weight[c], w.h.weight[n]
	if a == 0 || b == 0 {
		return
	}
	cost := float64(length * w.h.cell * float64(a+b) / 2)
	if d := w.d[n] + cost; d < w.d[c] {
		w.d[c] = d
	}
}

// Slack returns the spare free length of the web when it is held by the given
// braces: slenderness x width less the longest walk, in weighted millimetres,
// and the point where that is.
//
// A column in the opening of a thin wall is not walked: there the slack is the
// brace pitch less the widest clear gap, as practice has it.
func (w *Web) Slack(braces []Brace) (slack, u, z float64) {
	if w.column {
		return w.columnSlack(braces)
	}
	k := newWalk(w.holds)
	for _, b := range braces {
		k.brace(b)
	}
	h := w.holds
	slack = h.limit
	for i := range h.rows {
		worst, j := k.row(i)
		if s := h.limit - worst; j >= 0 && s < slack {
			slack, u, z = s, h.u0+h.cell*(float64(j)+0.5), h.z0+h.cell*(float64(i)+0.5)
		}
	}
	return slack, u, z
}

// Stable says whether the given braces hold the web at every moment of the
// print.
func (w *Web) Stable(braces []Brace) bool {
	s, _, _ := w.Slack(braces)
	return s >= 0
}
