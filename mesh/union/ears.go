package union

import (
	"slices"

	"falsework/mesh/exact"
)

// triangulate cuts a polygon into triangles, given as places in p.id. Every
// ear cut off is strictly counter-clockwise and free of other points as long
// as there is such a one; where rounding has made the outline touch or cross
// itself, the best of what is left is taken, so that n points always give n-2
// triangles and the surface stays closed.
// They are good until the next call.
func (p *polygon) triangulate() [][3]int32 {
	p.out = p.out[:0]
	r, _ := p.joined()
	if len(r) > 3 {
		if slack := p.slack(); p.near(r, slack) {
			if p.sides != nil {
				p.rim = p.sides()
			}
			rings, flat := p.pinched(r, slack)
			p.out = append(p.out, flat...)
			for _, r := range rings {
				p.clip(r)
			}
			return p.out
		}
	}
	p.clip(r)
	return p.out
}

// slack is how near points of the polygon may have come by rounding.
func (p *polygon) slack() float64 {
	far := 0.0
	for _, q := range p.at {
		far = max(far, abs(q[0]), abs(q[1]))
	}
	return shortest * ulp(vec{float32(far)})
}

// clip cuts one ring.
func (p *polygon) clip(r []int32) {
	if len(r) == 3 {
		p.out = append(p.out, [3]int32{r[0], r[1], r[2]})
		return
	}
	if len(r) == 4 && p.joins == nil && len(p.rings) == 1 && p.halves(r) {
		return
	}
	c := p.spare
	if c == nil {
		c = &clipper{}
	}
	c.take(p, r)
	p.out = append(p.out, c.run()...)
}

// halves cuts a convex ring of four points, as most are where an edge passes a
// triangle: what the clipper would come to, without the making of one. It does
// nothing where the ring is not convex.
func (p *polygon) halves(r []int32) bool {
	best, shape := 0, -1.0
	for i := range r {
		a, b, c := p.at[r[(i+3)%4]], p.at[r[i]], p.at[r[(i+1)%4]]
		if exact.Orient2D(a, b, c) <= 0 {
			return false
		}
		if s := shapeOf(a, b, c); s > shape {
			best, shape = i, s
		}
	}
	first := 0 // of what is left
	if best == 0 {
		first = 1
	}
	around := func(i, step int) int32 { // past the ear
		if i = (i + step) % 4; i == best {
			i = (i + step) % 4
		}
		return r[i]
	}
	p.out = append(p.out, [3]int32{r[(best+3)%4], r[best], r[(best+1)%4]},
		[3]int32{around(first, 3), r[first], around(first, 1)})
	return true
}

// A clipper is a ring that loses its ears one by one, the best shaped first.
type clipper struct {
	p          *polygon
	ring       []int32 // points by place
	prev, next []int32 // places
	stamp      []int32 // goes up when a place's neighbours change; -1 when cut
	left       int
	spikes     bool    // an ear may leave a spike
	slack      float64 // how far rounding may have moved a point across a line
	queue      earQueue
	sides      map[[2]int32]bool // joined vertices; only when some occur twice
	blunt      blunts
	out        [][3]int32
}

type ear struct {
	place, stamp int32
	shape        float64
}

// An earQueue is a heap of ears, the best shaped first, of those alike the one
// with the least place.
type earQueue []ear

func (q earQueue) before(i, j int) bool {
	return q[i].shape > q[j].shape || q[i].shape == q[j].shape && q[i].place < q[j].place
}

func (q *earQueue) push(e ear) {
	h := append(*q, e)
	for i := len(h) - 1; i > 0 && h.before(i, (i-1)/2); i = (i - 1) / 2 {
		h[i], h[(i-1)/2] = h[(i-1)/2], h[i]
	}
	*q = h
}

func (q *earQueue) pop() ear {
	h := *q
	first, n := h[0], len(h)-1
	h[0] = h[n]
	h = h[:n]
	for i := 0; 2*i+1 < n; {
		c := 2*i + 1
		if c+1 < n && h.before(c+1, c) {
			c++
		}
		if !h.before(c, i) {
			break
		}
		h[i], h[c] = h[c], h[i]
		i = c
	}
	*q = h
	return first
}

func newClipper(p *polygon, ring []int32) *clipper {
	c := &clipper{}
	c.take(p, ring)
	return c
}

// take begins with another ring, in the room of the one before.
func (c *clipper) take(p *polygon, ring []int32) {
	n := len(ring)
	room := slices.Grow(c.prev[:0], 3*n)[:3*n]
	*c = clipper{p: p, ring: ring, prev: room[:n], next: room[n : 2*n], stamp: room[2*n:], left: n,
		queue: c.queue[:0], out: c.out[:0], blunt: c.blunt}
	for i := range n {
		c.prev[i], c.next[i], c.stamp[i] = int32((i+n-1)%n), int32((i+1)%n), 0
	}
	if p.joins != nil {
		c.sides = p.joins
	} else if len(p.rings) > 1 {
		c.sides = make(map[[2]int32]bool, 2*n)
		for i := range n {
			c.sides[c.side(int32(i), c.next[i])] = true
		}
	}
	c.slack = p.slack()
	c.blunt.take(c)
}

func (c *clipper) at(i int32) [2]float64 { return c.p.at[c.ring[i]] }
func (c *clipper) id(i int32) int32      { return c.p.id[c.ring[i]] }

func (c *clipper) side(i, j int32) [2]int32 {
	a, b := c.id(i), c.id(j)
	return [2]int32{min(a, b), max(a, b)}
}

func (c *clipper) run() [][3]int32 {
	for c.left > 3 {
		c.blunt.width, c.spikes = c.slack, false
		if c.fill(); len(c.queue) == 0 {
			c.cut(c.second())
			continue
		}
		for len(c.queue) > 0 && c.left > 3 {
			e := c.queue.pop()
			if c.stamp[e.place] != e.stamp {
				continue
			}
			// The ring has changed elsewhere. What lay outside of the ear lies there
			// still, for places only go.
			if !c.joins(e.place) {
				continue
			}
			a, b := c.prev[e.place], c.next[e.place]
			c.cut(e.place)
			c.offer(a)
			c.offer(b)
		}
	}
	for i := range c.stamp {
		if i := int32(i); c.stamp[i] >= 0 {
			c.emit(i)
			break
		}
	}
	return c.out
}

func (c *clipper) fill() {
	c.queue = c.queue[:0]
	for i := range c.stamp {
		if c.stamp[i] >= 0 {
			c.offer(int32(i))
		}
	}
}

// offer queues the place if it is an ear now.
func (c *clipper) offer(i int32) {
	if c.sound(i) {
		c.queue.push(ear{i, c.stamp[i], c.shape(i)})
	}
}

// sound tells whether the corner at i is strictly convex, nothing lies in it,
// its diagonal is new, and cutting it leaves no spike.
func (c *clipper) sound(i int32) bool {
	a, b := c.prev[i], c.next[i]
	return exact.Orient2D(c.at(a), c.at(i), c.at(b)) > 0 && c.joins(i) && !c.blunt.inside(a, i, b)
}

// joins tells whether the diagonal of the corner at i is new, and cutting it
// leaves no spike.
func (c *clipper) joins(i int32) bool {
	a, b := c.prev[i], c.next[i]
	if c.known(a, b) {
		return false
	}
	pa, pb := c.at(a), c.at(b)
	aa, bb := c.prev[a], c.next[b]
	if c.left == 4 && !c.spikes {
		if exact.Orient2D(pa, pb, c.at(bb)) <= 0 {
			return false
		}
	} else if !c.spikes {
		// Points in one place with an end of the diagonal make no spike.
		for aa != b && c.at(aa) == pa {
			aa = c.prev[aa]
		}
		for bb != a && c.at(bb) == pb {
			bb = c.next[bb]
		}
		if spike(c.at(aa), pa, pb) || spike(pa, pb, c.at(bb)) {
			return false
		}
	}
	return true
}

// known tells whether the vertices at a and b are the same or joined already.
func (c *clipper) known(a, b int32) bool {
	if c.p.rim != nil && c.left > 3 && c.p.beside(c.ring[a], c.ring[b]) {
		return true
	}
	if c.sides == nil {
		return false
	}
	return c.id(a) == c.id(b) || c.left > 3 && c.sides[c.side(a, b)]
}

// spike tells whether b c runs back along a b.
func spike(a, b, c [2]float64) bool {
	if exact.Orient2D(a, b, c) != 0 {
		return false
	}
	return float64((b[0]-a[0])*(c[0]-b[0]))+float64((b[1]-a[1])*(c[1]-b[1])) <= 0
}

func (c *clipper) shape(i int32) float64 { return shapeOf(c.at(c.prev[i]), c.at(i), c.at(c.next[i])) }

// shapeOf is 1 for a right-angled isosceles triangle, 0 for one without area.
func shapeOf(p, q, r [2]float64) float64 {
	area := float64((q[0]-p[0])*(r[1]-p[1])) - float64((q[1]-p[1])*(r[0]-p[0]))
	long := 0.0
	for _, s := range [3][2][2]float64{{p, q}, {q, r}, {r, p}} {
		x, y := s[1][0]-s[0][0], s[1][1]-s[0][1]
		long = max(long, float64(x*x)+float64(y*y))
	}
	if long == 0 {
		return 0
	}
	return 2 * area / long
}

// needle returns the tip of the thinnest needle with a new diagonal, or -1: a
// corner whose sides run back along each other, no further apart than slack.
// Cutting it off covers nothing.
func (c *clipper) needle() int32 {
	best, thinnest := int32(-1), 0.0
	for i := range c.stamp {
		i := int32(i)
		if c.stamp[i] < 0 || c.known(c.prev[i], c.next[i]) {
			continue
		}
		p, q, r := c.at(c.prev[i]), c.at(i), c.at(c.next[i])
		if float64((p[0]-q[0])*(r[0]-q[0]))+float64((p[1]-q[1])*(r[1]-q[1])) <= 0 {
			continue
		}
		// The end of the shorter side is the nearer to the other's line.
		w := min(offLine(q, p, r), offLine(q, r, p))
		if w <= c.slack && (best < 0 || w < thinnest) {
			best, thinnest = i, w
		}
	}
	return best
}

func (c *clipper) emit(i int32) {
	c.out = append(c.out, [3]int32{c.ring[c.prev[i]], c.ring[i], c.ring[c.next[i]]})
}

func (c *clipper) cut(i int32) {
	c.emit(i)
	a, b := c.prev[i], c.next[i]
	c.next[a], c.prev[b] = b, a
	c.stamp[i] = -1
	c.blunt.drop(i)
	c.stamp[a]++
	c.stamp[b]++
	c.left--
	if c.sides != nil {
		c.sides[c.side(a, b)] = true
	}
}

// second chooses a corner where none is an ear that stays clear of all else and
// leaves no spike: the tip of a needle, which covers nothing; an ear that
// leaves a needle; one that rounding may have laid across something; the best
// of what is left.
func (c *clipper) second() int32 {
	if i := c.needle(); i >= 0 {
		return i
	}
	for _, width := range [2]float64{c.slack, 0} {
		for _, spikes := range [2]bool{false, true} {
			c.blunt.width, c.spikes = width, spikes
			if c.fill(); len(c.queue) > 0 {
				return c.queue.pop().place
			}
		}
	}
	return c.leastBad()
}

// leastBad chooses among corners none of which is an ear: the best shaped
// whose diagonal is new, if any.
func (c *clipper) leastBad() int32 {
	best, fresh := int32(-1), false
	for i := range c.stamp {
		i := int32(i)
		if c.stamp[i] < 0 {
			continue
		}
		f := !c.known(c.prev[i], c.next[i])
		if best < 0 || f && !fresh || f == fresh && c.shape(i) > c.shape(best) {
			best, fresh = i, f
		}
	}
	return best
}
