package union

import (
	"cmp"
	"math"
	"slices"

	"falsework/mesh/exact"
)

// A polygon is a region in a view after rounding: rings of points, the
// outline first, with the vertex each point is.
type polygon struct {
	at    [][2]float64
	id    []int32
	rings [][]int32              // indices into at
	sides func() map[int32]uint8 // the sides of the triangle it is cut from that vertices lie on, a bit each
	rim   map[int32]uint8        // what sides returns, once it was needed
	joins map[[2]int32]bool      // vertices joined so far, then

	places []int32 // of rings, one behind the other
	spare  *clipper
	out    [][3]int32
}

// clear empties the polygon for another one; c may be used to cut it.
func (p *polygon) clear(c *clipper) {
	*p = polygon{at: p.at[:0], id: p.id[:0], rings: p.rings[:0], places: p.places[:0], out: p.out[:0], spare: c}
}

// ring adds a ring of vertices.
func (p *polygon) ring(ids []int32, v view, pos []vec) {
	first := len(p.places)
	for _, id := range ids {
		p.places = append(p.places, int32(len(p.id)))
		p.id = append(p.id, id)
		p.at = append(p.at, v.vertex(pos[id]))
	}
	n := len(p.places)
	p.rings = append(p.rings, p.places[first:n:n])
}

// joined returns one ring that runs round the outline and, over bridges, round
// every hole. Holes are joined in the order of their greatest points, so that
// what lies beyond a hole is joined already and a bridge always exists: the
// nearest joined point that is seen from the hole's greatest one. The walls
// that were in the way are returned too, if there are holes.
func (p *polygon) joined() ([]int32, *walls) {
	if len(p.rings) == 1 {
		return p.rings[0], nil
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
	c := newCord(p)
	k := int32(-1)
	for _, v := range p.rings[0] {
		k = c.after(k, v)
	}
	for _, h := range holes {
		top := h.ring[h.top]
		from := c.touched(top, p.visit(h.ring, int32(h.top)))
		if from < 0 {
			from = c.nearestSeen(top)
		}
		k := from
		for i := range len(h.ring) + 1 {
			k = c.after(k, h.ring[(h.top+i)%len(h.ring)])
		}
		c.after(k, c.point[from])
		c.walls.add(c.point[from], top)
	}
	return c.ring(), c.walls
}

func less(a, b [2]float64) bool { return a[0] < b[0] || a[0] == b[0] && a[1] < b[1] }

// A cord is the growing ring: knots, each at a point, in a circle, and sorted
// into strips so that near ones are found without looking at all.
type cord struct {
	p          *polygon
	point      []int32 // by knot
	next, prev []int32
	walls      *walls
	knots      [][]int32 // by strip
	slack      float64
}

func newCord(p *polygon) *cord {
	w := newWalls(p)
	return &cord{p: p, walls: w, knots: make([][]int32, w.n), slack: p.slack()}
}

// after ties a knot at a point in behind knot k (-1: none yet).
func (c *cord) after(k, point int32) int32 {
	n := int32(len(c.point))
	c.point = append(c.point, point)
	if k < 0 {
		c.next, c.prev = append(c.next, n), append(c.prev, n)
	} else {
		b := c.next[k]
		c.next, c.prev = append(c.next, b), append(c.prev, k)
		c.next[k], c.prev[b] = n, n
	}
	i := c.walls.strip(c.p.at[point])
	c.knots[i] = append(c.knots[i], n)
	return n
}

// visit returns how the ring comes by a knot.
func (c *cord) visit(k int32) visit {
	lead := func(step []int32) way {
		return way{c.p, func(i int) int32 {
			at := k
			for range i {
				at = step[at]
			}
			return c.point[at]
		}, len(c.point)}
	}
	return visit{lead(c.prev), lead(c.next)}
}

func (c *cord) ring() []int32 {
	out := make([]int32, 0, len(c.point))
	for k := int32(0); len(out) < len(c.point); k = c.next[k] {
		out = append(out, c.point[k])
	}
	return out
}

// touched returns the knot in the place of point q of a hole, where it can be
// joined to it, or -1. The hole comes by as it is said; neither part of the way
// through the place may cross what else passes there.
func (c *cord) touched(q int32, by visit) int32 {
	at := c.p.at[q]
	lo, hi := at, at
	for k := range 2 {
		lo[k] -= c.slack
		hi[k] += c.slack
	}
	var here []int32
	var visits []visit
	a, b := c.walls.span(lo, hi)
	for i := a; i <= b; i++ {
		for _, k := range c.knots[i] {
			if adjoins(c.p.at[c.point[k]], at, c.slack) {
				here, visits = append(here, k), append(visits, c.visit(k))
			}
		}
	}
	for i, v := range visits {
		if v.parting(by, c.slack) != clean {
			continue
		}
		ways := [2]visit{{v.back, by.on}, {by.back, v.on}}
		if !slices.ContainsFunc(visits, func(w visit) bool {
			return ways[0].crosses(w, c.slack) || ways[1].crosses(w, c.slack)
		}) {
			return here[i]
		}
	}
	return -1
}

// nearestSeen returns the knot nearest to point q that can be joined to it
// without touching anything else; where rounding has left none, the nearest
// whose angle is open to q, or the nearest of all.
func (c *cord) nearestSeen(q int32) int32 {
	type candidate struct {
		k int32
		d float64
	}
	s := &c.walls.strips
	at := c.p.at[q]
	mid := s.strip(at)
	var list []candidate
	gather := func(i int) {
		for _, k := range c.knots[i] {
			v := c.p.at[c.point[k]]
			dx, dy := v[0]-at[0], v[1]-at[1]
			list = append(list, candidate{k, float64(dx*dx) + float64(dy*dy)})
		}
	}
	first, open := int32(-1), int32(-1)
	// The window of strips round q doubles. Whatever lies within reach of its
	// borders is in it.
	lo, hi := mid, mid-1
	for width := 1; ; width *= 2 {
		a, b := max(mid-width, 0), min(mid+width, s.n-1)
		for i := a; i < lo; i++ {
			gather(i)
		}
		for i := max(hi+1, mid); i <= b; i++ {
			gather(i)
		}
		lo, hi = a, b
		reach := s.reach(at, a, b)
		slices.SortFunc(list, func(x, y candidate) int { return cmp.Or(cmp.Compare(x.d, y.d), cmp.Compare(x.k, y.k)) })
		n := 0
		for ; n < len(list) && list[n].d <= reach; n++ {
			k := list[n].k
			if first < 0 {
				first = k
			}
			v := c.point[k]
			if !opens(c.p.at[c.point[c.prev[k]]], c.p.at[v], c.p.at[c.point[c.next[k]]], at) {
				continue
			}
			if open < 0 {
				open = k
			}
			if !c.walls.blocks(v, q) {
				return k
			}
		}
		list = list[n:]
		if a == 0 && b == s.n-1 {
			break
		}
	}
	if open >= 0 {
		return open
	}
	return first
}

// opens tells whether q lies strictly within the angle a v b, on the left.
func opens(a, v, b, q [2]float64) bool {
	if exact.Orient2D(a, v, b) > 0 {
		return exact.Orient2D(a, v, q) > 0 && exact.Orient2D(v, b, q) > 0
	}
	return exact.Orient2D(a, v, q) > 0 || exact.Orient2D(v, b, q) > 0
}

// Strips cut a polygon across the way in which its points lie further apart,
// with about as many points in each, so that what may meet is looked for in a
// few of them.
type strips struct {
	axis  int
	sills []float64 // the lower borders of all but the first
	n     int
}

// stripsOf makes at most n strips over the points.
func stripsOf(at [][2]float64, n int) (s strips) {
	var x [2][]float64
	var spread [2]float64
	for k := range 2 {
		x[k] = make([]float64, len(at))
		for i, q := range at {
			x[k][i] = q[k]
		}
		slices.Sort(x[k])
		spread[k] = x[k][len(at)*3/4] - x[k][len(at)/4]
	}
	if spread[1] > spread[0] {
		s.axis = 1
	}
	sorted := x[s.axis]
	for i := 1; i < n; i++ {
		s.sills = append(s.sills, sorted[len(sorted)*i/n])
	}
	s.sills = slices.Compact(s.sills)
	s.n = len(s.sills) + 1
	return s
}

// strip returns the strip that q lies in.
func (s *strips) strip(q [2]float64) int {
	i, found := slices.BinarySearch(s.sills, q[s.axis])
	if found {
		i++
	}
	return i
}

// span returns the strips that a line between two points passes.
func (s *strips) span(p, q [2]float64) (int, int) {
	if p[s.axis] > q[s.axis] {
		p, q = q, p
	}
	return s.strip(p), s.strip(q)
}

// reach returns the square of a distance within which all that is near q lies
// in the strips a to b.
func (s *strips) reach(q [2]float64, a, b int) float64 {
	r := math.Inf(1)
	if a > 0 {
		r = min(r, q[s.axis]-s.sills[a-1])
	}
	if b < s.n-1 {
		r = min(r, s.sills[b]-q[s.axis])
	}
	r *= 1 - 1e-9 // distances are rounded
	return r * r
}

// Walls are the sides of all rings and the bridges between them, by strip.
type walls struct {
	p *polygon
	strips
	sides [][][2]int32
	tried int // sides held against a line of sight
}

func newWalls(p *polygon) *walls {
	n := 0
	for _, r := range p.rings {
		n += len(r)
	}
	w := &walls{p: p, strips: stripsOf(p.at, n/4)}
	w.sides = make([][][2]int32, w.n)
	for _, r := range p.rings {
		for i := range r {
			w.add(r[i], r[(i+1)%len(r)])
		}
	}
	return w
}

func (w *walls) add(a, b int32) {
	i, j := w.span(w.p.at[a], w.p.at[b])
	for ; i <= j; i++ {
		w.sides[i] = append(w.sides[i], [2]int32{a, b})
	}
}

// blocks tells whether a side touches the line of sight between v and q other
// than at its ends.
func (w *walls) blocks(v, q int32) bool {
	i, j := w.span(w.p.at[v], w.p.at[q])
	for ; i <= j; i++ {
		for _, s := range w.sides[i] {
			w.tried++
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
