package span

import (
	"cmp"
	"math"
	"slices"

	"falsework/mesh/section"
)

// A locator answers whether points lie in a region. Edges are sorted into
// rows of equal height, so that a question looks only at those that cross the
// point's own row.
type locator struct {
	lo, hi Point
	row    float64
	start  []int32 // row i owns edges[start[i]:start[i+1]]
	edges  []locEdge
}

type locEdge struct {
	a, b Point
	tag  int32 // which region of several
}

// newLocator indexes one region.
func newLocator(p section.Polygons) *locator { return newLocators([]section.Polygons{p}) }

// newLocators indexes several regions, told apart by their place in the list.
func newLocators(ps []section.Polygons) *locator {
	l := &locator{lo: Point{math.Inf(1), math.Inf(1)}, hi: Point{math.Inf(-1), math.Inf(-1)}}
	n := 0
	for _, p := range ps {
		lo, hi := bounds(p)
		l.lo[0], l.lo[1] = min(l.lo[0], lo[0]), min(l.lo[1], lo[1])
		l.hi[0], l.hi[1] = max(l.hi[0], hi[0]), max(l.hi[1], hi[1])
		for _, r := range p {
			n += len(r)
		}
	}
	if n == 0 {
		return l
	}
	rows := min(max(n/2, 1), 4096)
	l.row = max((l.hi[1]-l.lo[1])/float64(rows), 1e-6)
	rows = int((l.hi[1]-l.lo[1])/l.row) + 1
	l.start = make([]int32, rows+1)
	each := func(f func(row int, e locEdge)) {
		for t, p := range ps {
			for _, r := range p {
				for i, a := range r {
					b := r[(i+1)%len(r)]
					i0, i1 := l.rowOf(min(a[1], b[1])), l.rowOf(max(a[1], b[1]))
					for k := i0; k <= i1; k++ {
						f(k, locEdge{a, b, int32(t)})
					}
				}
			}
		}
	}
	each(func(row int, _ locEdge) { l.start[row+1]++ })
	for i := range rows {
		l.start[i+1] += l.start[i]
	}
	l.edges = make([]locEdge, l.start[rows])
	fill := append([]int32(nil), l.start[:rows]...)
	each(func(row int, e locEdge) { l.edges[fill[row]] = e; fill[row]++ })
	return l
}

func (l *locator) rowOf(y float64) int {
	return min(max(int((y-l.lo[1])/l.row), 0), len(l.start)-2)
}

// crosses tells whether the ray from p to the right meets e, and which way.
func (e *locEdge) crosses(p Point) int {
	if (e.a[1] <= p[1]) == (e.b[1] <= p[1]) {
		return 0 // most: told apart where it is called, without a call
	}
	return e.winds(p)
}

// winds is [locEdge.crosses] where the ray's line meets e.
func (e *locEdge) winds(p Point) int {
	a, b := &e.a, &e.b
	side := float64((b[0]-a[0])*(p[1]-a[1])) - float64((p[0]-a[0])*(b[1]-a[1]))
	if b[1] > a[1] {
		if side < 0 {
			return 1
		}
		return 0
	}
	if side > 0 {
		return -1
	}
	return 0
}

// has reports whether p lies in the (first) region.
func (l *locator) has(p Point) bool {
	if len(l.edges) == 0 || p[0] < l.lo[0] || p[0] > l.hi[0] || p[1] < l.lo[1] || p[1] > l.hi[1] {
		return false
	}
	k := l.rowOf(p[1])
	w := 0
	row := l.edges[l.start[k]:l.start[k+1]]
	for i := range row {
		w += row[i].crosses(p)
	}
	return w != 0
}

// near reports whether some border passes within r of p.
func (l *locator) near(p Point, r float64) bool {
	if len(l.edges) == 0 || p[0] < l.lo[0]-r || p[0] > l.hi[0]+r || p[1] < l.lo[1]-r || p[1] > l.hi[1]+r {
		return false
	}
	for _, e := range l.edges[l.start[l.rowOf(p[1]-r)]:l.start[l.rowOf(p[1]+r)+1]] {
		if max(e.a[0], e.b[0]) < p[0]-r || min(e.a[0], e.b[0]) > p[0]+r {
			continue
		}
		s := rim{a: e.a, b: e.b}
		if _, d := s.nearest(p); d <= r {
			return true
		}
	}
	return false
}

// which returns the places of all regions that hold p, ascending, in buf.
func (l *locator) which(p Point, buf []int32) []int32 {
	buf = buf[:0]
	if len(l.edges) == 0 || p[0] < l.lo[0] || p[0] > l.hi[0] || p[1] < l.lo[1] || p[1] > l.hi[1] {
		return buf
	}
	k := l.rowOf(p[1])
	// Edges of one region follow one another in a row.
	tag, w := int32(-1), 0
	row := l.edges[l.start[k]:l.start[k+1]]
	for i := range row {
		e := &row[i]
		if e.tag != tag {
			if w != 0 {
				buf = append(buf, tag)
			}
			tag, w = e.tag, 0
		}
		w += e.crosses(p)
	}
	if w != 0 {
		buf = append(buf, tag)
	}
	return buf
}

// A run is a stretch of sample points of one row that lie in a region:
// columns from up to, not including, to.
type run struct{ row, from, to int32 }

// scan returns the sample points of a lattice that lie in p. Sample (i, j) is
// at origin + cell*(i+1/2, j+1/2). Runs come ordered by row, then column.
//
// The cuts of rows with the border are filed by row as they are counted out: to
// sort them all took several times as long.
func scan(p section.Polygons, origin Point, cell float64) []run {
	row := func(y float64) int32 { return int32(math.Ceil((y-origin[1])/cell - 0.5)) }
	first, last, n := int32(math.MaxInt32), int32(math.MinInt32), 0
	for _, r := range p {
		for i, a := range r {
			// Rows whose sample height y has a.y <= y < b.y.
			j0, j1 := row(a[1]), row(r[(i+1)%len(r)][1])
			if j1 < j0 {
				j0, j1 = j1, j0
			}
			if j0 < j1 {
				first, last, n = min(first, j0), max(last, j1), n+int(j1-j0)
			}
		}
	}
	if n == 0 {
		return nil
	}
	type cut struct {
		x   float64
		way int8
	}
	cuts, begin := make([]cut, n), make([]int32, last-first+2)
	eachCut := func(visit func(j int32, a, b Point, way int8)) {
		for _, r := range p {
			for i, a := range r {
				b := r[(i+1)%len(r)]
				way := int8(1)
				if a[1] > b[1] {
					a, b, way = b, a, -1
				}
				for j, j1 := row(a[1]), row(b[1]); j < j1; j++ {
					visit(j-first, a, b, way)
				}
			}
		}
	}
	eachCut(func(j int32, _, _ Point, _ int8) { begin[j+2]++ })
	for j := range begin[1:] {
		begin[j+1] += begin[j]
	}
	eachCut(func(j int32, a, b Point, way int8) {
		y := origin[1] + float64((float64(j+first)+0.5)*cell)
		cuts[begin[j+1]] = cut{a[0] + float64((y-a[1])*((b[0]-a[0])/(b[1]-a[1]))), way}
		begin[j+1]++
	})
	runs := make([]run, 0, n/2)
	for j := first; j < last; j++ {
		row := cuts[begin[j-first]:begin[j-first+1]]
		slices.SortFunc(row, func(a, b cut) int { return cmp.Compare(a.x, b.x) })
		w, begun := 0, len(runs)
		for i, c := range row {
			if w != 0 {
				from := int32(math.Ceil((row[i-1].x-origin[0])/cell - 0.5))
				to := int32(math.Ceil((c.x-origin[0])/cell - 0.5))
				if n := len(runs); n > begun && runs[n-1].to >= from {
					runs[n-1].to = max(runs[n-1].to, to)
				} else if from < to {
					runs = append(runs, run{j, from, to})
				}
			}
			w += int(c.way)
		}
	}
	return runs
}
