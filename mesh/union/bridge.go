package union

import (
	"cmp"
	"slices"

	"falsework/mesh/exact"
)

// A polygon is a region in a view after rounding: rings of points, the
// outline first, with the vertex each point is.
type polygon struct {
	at    [][2]float64
	id    []int32
	rings [][]int32 // indices into at
}

// joined returns one ring that runs round the outline and, over bridges, round
// every hole. Holes are joined in the order of their greatest points, so that
// what lies beyond a hole is joined already and a bridge always exists: the
// nearest joined point that is seen from the hole's greatest one.
func (p *polygon) joined() []int32 {
	outer := slices.Clone(p.rings[0])
	if len(p.rings) == 1 {
		return outer
	}
	type hole struct {
		ring []int32
		top  int
	}
	var holes []hole
	for _, r := range p.rings[1:] {
		h := hole{ring: r}
		for i := range r {
			if less(p.at[r[h.top]], p.at[r[i]]) {
				h.top = i
			}
		}
		holes = append(holes, h)
	}
	slices.SortStableFunc(holes, func(a, b hole) int {
		x, y := p.at[a.ring[a.top]], p.at[b.ring[b.top]]
		if c := cmp.Compare(y[0], x[0]); c != 0 {
			return c
		}
		return cmp.Compare(y[1], x[1])
	})
	walls := newWalls(p)
	for _, h := range holes {
		top := h.ring[h.top]
		k := p.nearestSeen(outer, top, walls)
		out := make([]int32, 0, len(outer)+len(h.ring)+2)
		out = append(out, outer[:k+1]...)
		out = append(out, h.ring[h.top:]...)
		out = append(out, h.ring[:h.top+1]...)
		out = append(out, outer[k:]...)
		walls.add(outer[k], top)
		outer = out
	}
	return outer
}

func less(a, b [2]float64) bool { return a[0] < b[0] || a[0] == b[0] && a[1] < b[1] }

// nearestSeen returns the place in the ring of the nearest point that can be
// joined to q without touching anything else; where rounding has left none,
// the nearest whose angle is open to q, or the nearest of all.
func (p *polygon) nearestSeen(outer []int32, q int32, w *walls) int {
	type candidate struct {
		k int
		d float64
	}
	list := make([]candidate, len(outer))
	for k, i := range outer {
		dx, dy := p.at[i][0]-p.at[q][0], p.at[i][1]-p.at[q][1]
		list[k] = candidate{k, float64(dx*dx) + float64(dy*dy)}
	}
	slices.SortFunc(list, func(a, b candidate) int {
		if c := cmp.Compare(a.d, b.d); c != 0 {
			return c
		}
		return a.k - b.k
	})
	open := -1
	for _, c := range list {
		n := len(outer)
		a, v, b := outer[(c.k+n-1)%n], outer[c.k], outer[(c.k+1)%n]
		if !opens(p.at[a], p.at[v], p.at[b], p.at[q]) {
			continue
		}
		if open < 0 {
			open = c.k
		}
		if !w.blocks(v, q) {
			return c.k
		}
	}
	if open >= 0 {
		return open
	}
	return list[0].k
}

// opens tells whether q lies strictly within the angle a v b, on the left.
func opens(a, v, b, q [2]float64) bool {
	if exact.Orient2D(a, v, b) > 0 {
		return exact.Orient2D(a, v, q) > 0 && exact.Orient2D(v, b, q) > 0
	}
	return exact.Orient2D(a, v, q) > 0 || exact.Orient2D(v, b, q) > 0
}

// Walls are the sides of all rings and the bridges between them, sorted into
// columns so that few are tried against one line of sight.
type walls struct {
	p        *polygon
	lo, step float64
	columns  [][][2]int32
}

func newWalls(p *polygon) *walls {
	w := &walls{p: p}
	n := 0
	lo, hi := p.at[0][0], p.at[0][0]
	for _, r := range p.rings {
		n += len(r)
	}
	for _, q := range p.at {
		lo, hi = min(lo, q[0]), max(hi, q[0])
	}
	w.lo = lo
	w.columns = make([][][2]int32, max(1, n/4))
	if w.step = (hi - lo) / float64(len(w.columns)); w.step == 0 {
		w.columns = w.columns[:1]
	}
	for _, r := range p.rings {
		for i := range r {
			w.add(r[i], r[(i+1)%len(r)])
		}
	}
	return w
}

func (w *walls) span(a, b int32) (int, int) {
	if w.step == 0 {
		return 0, 0
	}
	x, y := w.p.at[a][0], w.p.at[b][0]
	if x > y {
		x, y = y, x
	}
	last := len(w.columns) - 1
	// A little wider, for the division is rounded.
	i, j := int((x-w.lo)/w.step-1e-9), int((y-w.lo)/w.step+1e-9)
	return min(max(i, 0), last), min(max(j, 0), last)
}

func (w *walls) add(a, b int32) {
	i, j := w.span(a, b)
	for ; i <= j; i++ {
		w.columns[i] = append(w.columns[i], [2]int32{a, b})
	}
}

// blocks tells whether a side touches the line of sight between v and q other
// than at its ends.
func (w *walls) blocks(v, q int32) bool {
	i, j := w.span(v, q)
	for ; i <= j; i++ {
		for _, s := range w.columns[i] {
			if w.crosses(v, q, s[0], s[1]) {
				return true
			}
		}
	}
	return false
}

func (w *walls) crosses(v, q, a, b int32) bool {
	p := w.p.at
	for _, x := range [2]int32{a, b} {
		if x != v && x != q && p[x] != p[v] && p[x] != p[q] && exact.Orient2D(p[v], p[q], p[x]) == 0 && within(p[v], p[q], p[x]) {
			return true
		}
	}
	if a == v || a == q || b == v || b == q {
		return false
	}
	return exact.Orient2D(p[v], p[q], p[a])*exact.Orient2D(p[v], p[q], p[b]) < 0 &&
		exact.Orient2D(p[a], p[b], p[v])*exact.Orient2D(p[a], p[b], p[q]) < 0
}

// within tells for x on the line through a and b whether it lies between.
func within(a, b, x [2]float64) bool {
	k := 0
	if a[0] == b[0] {
		k = 1
	}
	return min(a[k], b[k]) <= x[k] && x[k] <= max(a[k], b[k])
}
