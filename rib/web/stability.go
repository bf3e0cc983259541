package web

import (
	"cmp"
	"math"
	"slices"

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
// it is there, and which of them the part or the bed holds. Only filled cells
// are kept, in runs: most of a web's box is air.
type holds struct {
	u0, z0     float64 // lower left corner
	cell       float64
	cols, rows int
	runs       []run   // row by row, ascending
	first      []int32 // by row, its first run; one more at the end
	held       []bool  // by cell
	limit      float64
}

// A run is cells side by side of one weight. Runs of a row do not overlap.
type run struct {
	from, to int32 // columns
	cell     int32 // number of the first cell
	weight   float32
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
	topZ := h.z0 + h.cell*(float64(h.rows)-0.5)
	web := crossings(outline, topZ, h.cell, h.rows, lo[0]-1, hi[0]+1)
	mat := crossings(part, topZ, h.cell, h.rows+1, lo[0]-1, hi[0]+1)
	h.first = make([]int32, 1, h.rows+1)
	for i := range h.rows {
		k := h.rows - 1 - i // rows of crossings run downwards
		onBed := h.z0+h.cell*(float64(i)-0.5) < s.Bed
		h.addRow(web[k], mat[k], mat[k+1], onBed)
		h.first = append(h.first, int32(len(h.runs)))
	}
	return h
}

// addRow adds the cells of the next row from the crossings of the web, of the
// part in this row and of the part in the row below.
func (h *holds) addRow(web, mat, below []float64, onBed bool) {
	start := len(h.runs)
	for k := 0; k+1 < len(web); k += 2 {
		a, b := web[k], web[k+1]
		first := int(math.Ceil((a-h.u0)/h.cell - 0.5))
		last := int(math.Floor((b-h.u0)/h.cell - 0.5))
		if last < first {
			first = int((a + b - 2*h.u0) / 2 / h.cell)
			last = first
		}
		if first, last = max(0, first), min(last, h.cols-1); first > last {
			continue
		}
		// A cell that two pieces share belongs to the latter.
		for n := len(h.runs); n > start && int(h.runs[n-1].to) > first; n-- {
			r := &h.runs[n-1]
			r.to = max(r.from, int32(first))
			h.held = h.held[:r.cell+r.to-r.from]
			if r.to > r.from {
				break
			}
			h.runs = h.runs[:n-1]
		}
		h.runs = append(h.runs, run{int32(first), int32(last + 1), int32(len(h.held)), float32(weight(math.Max(b-a, 0.1)))})
		for j := first; j <= last; j++ {
			lo := math.Max(a, h.u0+h.cell*float64(j))
			hi := math.Min(b, h.u0+h.cell*float64(j+1))
			if j == first {
				lo = a
			}
			if j == last {
				hi = b
			}
			h.held = append(h.held, onBed || overlaps(mat, lo, hi) || overlaps(below, lo, hi))
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

// row returns the runs of a row.
func (h *holds) row(i int) []run { return h.runs[h.first[i]:h.first[i+1]] }

// at returns the number and the weight of a cell, or -1 where there is no web.
func (h *holds) at(i, j int) (cell int, weight float32) {
	if i < 0 || i >= h.rows {
		return -1, 0
	}
	for _, r := range h.row(i) {
		if j >= int(r.from) && j < int(r.to) {
			return int(r.cell) + j - int(r.from), r.weight
		}
	}
	return -1, 0
}

// A Walk measures how far every cell of one web is from its nearest hold,
// weighted, through what is printed when the cell is. It keeps what it knows
// below the lowest brace that changes, so that to ask again with one brace more
// or less costs a part of the web only. It may not be shared by goroutines.
type Walk struct {
	w      *Web
	h      *holds
	d      []float64 // by cell
	braces []held    // by row, ascending
	done   int       // rows below this are walked
	ring   [3]spread // the last rows walked, row i at i%3
	loaded int       // the ring holds the rows before this
}

// A held is the cells of one row that a brace holds.
type held struct{ row, from, to int }

// A spread is a row laid out column by column, with two empty cells at either side, so that
// neighbours need no search.
type spread struct {
	row    int
	d      []float64 // infinite where there is no web
	weight []float32
}

// Walk returns a walk of the web without braces.
func (w *Web) Walk() *Walk {
	k := &Walk{w: w, h: w.holds, d: make([]float64, len(w.holds.held))}
	for i := range k.ring {
		l := spread{-1, make([]float64, k.h.cols+4), make([]float32, k.h.cols+4)}
		for j := range l.d {
			l.d[j] = math.Inf(1)
		}
		k.ring[i] = l
	}
	return k
}

// holdAt returns the cells of a brace; false when it lies outside the raster.
func (h *holds) holdAt(b Brace) (held, bool) {
	i := int(math.Floor(((b.Z[0]+b.Z[1])/2 - h.z0) / h.cell))
	if i < 0 || i >= h.rows {
		return held{}, false
	}
	half := math.Max(braceDepth/2, h.cell/2)
	j := int(math.Ceil((b.U-half-h.u0)/h.cell - 0.5 - 1e-9))
	n := int(math.Floor((b.U+half-h.u0)/h.cell-0.5+1e-9)) + 1
	return held{i, max(0, j), min(h.cols, n)}, true
}

// set sets the braces.
func (k *Walk) set(braces []Brace) {
	var next []held
	for _, b := range braces {
		if x, ok := k.h.holdAt(b); ok {
			next = append(next, x)
		}
	}
	slices.SortFunc(next, func(a, b held) int {
		return cmp.Or(cmp.Compare(a.row, b.row), cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
	})
	n := 0
	for n < len(next) && n < len(k.braces) && next[n] == k.braces[n] {
		n++
	}
	for _, rest := range [][]held{next[n:], k.braces[n:]} {
		if len(rest) > 0 {
			k.done = min(k.done, rest[0].row)
		}
	}
	k.braces = next
}

// add adds a brace.
func (k *Walk) add(b Brace) {
	if x, ok := k.h.holdAt(b); ok {
		k.insert(x)
	}
}

func (k *Walk) insert(x held) {
	n := len(k.braces)
	for n > 0 && k.braces[n-1].row > x.row {
		n--
	}
	k.braces = slices.Insert(k.braces, n, x)
	k.done = min(k.done, x.row)
}

// relieve takes a piece of web in a row to be held, as if by a brace.
func (k *Walk) relieve(i, j int) {
	for _, r := range k.h.row(i) {
		if j >= int(r.from) && j < int(r.to) {
			k.insert(held{i, int(r.from), int(r.to)})
		}
	}
}

// over walks on to the first row with a walk beyond the limit and returns its
// worst cell; none, when the whole web is held.
func (k *Walk) over() (i, j int, ok bool) {
	for k.done < k.h.rows {
		if worst, j := k.row(k.done); worst > k.h.limit {
			return k.done, j, true
		}
		k.done++
	}
	return 0, -1, false
}

// The ways down from a cell: columns aside, rows down, length.
var steps = [...]struct {
	du, dz int
	length float64
}{{0, 1, 1}, {-1, 1, math.Sqrt2}, {1, 1, math.Sqrt2},
	{-2, 1, math.Sqrt2 * 1.5811388300841898}, {2, 1, math.Sqrt2 * 1.5811388300841898},
	{-1, 2, math.Sqrt2 * 1.5811388300841898}, {1, 2, math.Sqrt2 * 1.5811388300841898}}

// load lays out a row as it was walked last.
func (k *Walk) load(i int) *spread {
	l := &k.ring[(i+3)%3]
	if l.row >= 0 {
		for _, r := range k.h.row(l.row) {
			for j := r.from + 2; j < r.to+2; j++ {
				l.d[j], l.weight[j] = math.Inf(1), 0
			}
		}
	}
	if l.row = i; i < 0 {
		return l
	}
	for _, r := range k.h.row(i) {
		copy(l.d[r.from+2:r.to+2], k.d[r.cell:])
		for j := r.from + 2; j < r.to+2; j++ {
			l.weight[j] = r.weight
		}
	}
	return l
}

// row walks row i, the rows below it being done, and returns its worst cell.
func (k *Walk) row(i int) (worst float64, col int) {
	h := k.h
	if k.loaded != i {
		k.load(i - 1)
		k.load(i - 2)
	}
	cur, below, under := k.load(i), &k.ring[(i+2)%3], &k.ring[(i+1)%3]
	k.loaded = i + 1
	straight, aslant, steep := steps[0].length*h.cell, steps[1].length*h.cell, steps[3].length*h.cell
	for _, r := range h.row(i) {
		for j := r.from + 2; j < r.to+2; j++ {
			if h.held[r.cell+j-r.from-2] {
				cur.d[j] = 0
				continue
			}
			// The ways of steps, written out: this is where a walk spends its time.
			d, w := below.d[j-2:j+3:j+3], below.weight[j-2:j+3:j+3]
			best := d[2] + float64(straight*float64(r.weight+w[2])/2)
			best = min(best, d[1]+float64(aslant*float64(r.weight+w[1])/2), d[3]+float64(aslant*float64(r.weight+w[3])/2))
			best = min(best, d[0]+float64(steep*float64(r.weight+w[0])/2), d[4]+float64(steep*float64(r.weight+w[4])/2))
			d, w = under.d[j-1:j+2:j+2], under.weight[j-1:j+2:j+2]
			cur.d[j] = min(best, d[0]+float64(steep*float64(r.weight+w[0])/2), d[2]+float64(steep*float64(r.weight+w[2])/2))
		}
	}
	for _, b := range k.braces {
		if b.row == i {
			for j := b.from + 2; j < b.to+2; j++ {
				if cur.weight[j] > 0 {
					cur.d[j] = 0
				}
			}
		}
	}
	return k.along(i, cur)
}

// along walks sideways along a row, both ways, keeps it and returns its worst
// cell.
func (k *Walk) along(i int, cur *spread) (worst float64, col int) {
	h := k.h
	step := func(to, from int32) {
		if d := cur.d[from] + float64(h.cell*float64(cur.weight[to]+cur.weight[from])/2); d < cur.d[to] {
			cur.d[to] = d
		}
	}
	runs := h.row(i)
	for _, r := range runs {
		for j := r.from + 2; j < r.to+2; j++ {
			step(j, j-1)
		}
	}
	for n := len(runs) - 1; n >= 0; n-- {
		for j := runs[n].to + 1; j >= runs[n].from+2; j-- {
			step(j, j+1)
		}
	}
	worst, col = 0, -1
	for _, r := range runs {
		copy(k.d[r.cell:], cur.d[r.from+2:r.to+2])
		for j := r.from; j < r.to; j++ {
			if d := cur.d[j+2]; d > worst {
				worst, col = d, int(j)
			}
		}
	}
	return worst, col
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
	k := w.Walk()
	k.set(braces)
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
func (w *Web) Stable(braces []Brace) bool { return w.Walk().Stable(braces) }

// Stable says whether the given braces hold the web at every moment of the
// print.
func (k *Walk) Stable(braces []Brace) bool {
	if k.w.column {
		slack, _, _ := k.w.columnSlack(braces)
		return slack >= 0
	}
	k.set(braces)
	_, _, over := k.over()
	return !over
}
