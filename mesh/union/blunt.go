package union

import (
	"cmp"
	"slices"

	"falsework/mesh/exact"
)

// Blunts hold the places that may lie in an ear: those that are not strictly
// convex when the clipping begins. (A convex corner stays convex.) They are
// halved again and again along their longer way, and those that are cut off
// are counted out, so that an ear looks only where some are left.
type blunts struct {
	c     *clipper
	nodes []bluntNode
	order []int32 // places, those of a leaf side by side
	leaf  []int32 // by place: its leaf, -1 when it is not blunt
	width float64 // how near a side counts as within
	tried int     // places and boxes held against an ear
}

type bluntNode struct {
	lo, hi      [2]float64
	up          int32 // -1 at the root
	left, right int32 // nodes, or a range of order when leaf
	leaf        bool
	alive       int32
}

const bluntLeaf = 4

// take begins with the ring of a clipper, in the room of the one before.
func (b *blunts) take(c *clipper) {
	n := len(c.ring)
	*b = blunts{c: c, nodes: b.nodes[:0], order: b.order[:0], leaf: slices.Grow(b.leaf[:0], n)[:n]}
	for i := range c.ring {
		i := int32(i)
		b.leaf[i] = -1
		if exact.Orient2D(c.at(c.prev[i]), c.at(i), c.at(c.next[i])) <= 0 {
			b.order = append(b.order, i)
		}
	}
	if len(b.order) > 0 {
		b.plant(-1, 0, int32(len(b.order)))
	}
}

func (b *blunts) plant(up, from, to int32) int32 {
	ids := b.order[from:to]
	n := bluntNode{lo: b.c.at(ids[0]), hi: b.c.at(ids[0]), up: up, left: from, right: to, leaf: true, alive: to - from}
	for _, i := range ids {
		for k, x := range b.c.at(i) {
			n.lo[k], n.hi[k] = min(n.lo[k], x), max(n.hi[k], x)
		}
	}
	at := int32(len(b.nodes))
	b.nodes = append(b.nodes, n)
	if len(ids) <= bluntLeaf {
		for _, i := range ids {
			b.leaf[i] = at
		}
		return at
	}
	k := 0
	if n.hi[1]-n.lo[1] > n.hi[0]-n.lo[0] {
		k = 1
	}
	slices.SortFunc(ids, func(i, j int32) int {
		return cmp.Or(cmp.Compare(b.c.at(i)[k], b.c.at(j)[k]), cmp.Compare(i, j))
	})
	mid := (from + to) / 2
	l := b.plant(at, from, mid)
	r := b.plant(at, mid, to)
	b.nodes[at].left, b.nodes[at].right, b.nodes[at].leaf = l, r, false
	return at
}

// drop counts a place out.
func (b *blunts) drop(i int32) {
	for n := b.leaf[i]; n >= 0; n = b.nodes[n].up {
		b.nodes[n].alive--
	}
}

// inside tells whether a place other than a, i and o lies in their triangle,
// which runs counter-clockwise, on its border, or so near beyond one of the
// sides at i that rounding may have put it there: the outline then runs
// through the triangle though no corner lies in it.
func (b *blunts) inside(a, i, o int32) bool {
	if len(b.nodes) == 0 {
		return false
	}
	c := b.c
	t := [3][2]float64{c.at(a), c.at(i), c.at(o)}
	own := [3]int32{c.ring[a], c.ring[i], c.ring[o]}
	var lo, hi [2]float64
	for k := range 2 {
		lo[k], hi[k] = min(t[0][k], t[1][k], t[2][k])-b.width, max(t[0][k], t[1][k], t[2][k])+b.width
	}
	var stack [64]int32
	for n := 1; n > 0; {
		n--
		d := &b.nodes[stack[n]]
		b.tried++
		if d.alive == 0 || d.lo[0] > hi[0] || d.hi[0] < lo[0] || d.lo[1] > hi[1] || d.hi[1] < lo[1] || d.beside(&t, b.width) {
			continue
		}
		if !d.leaf {
			stack[n], stack[n+1] = d.right, d.left
			n += 2
			continue
		}
		for _, m := range b.order[d.left:d.right] {
			b.tried++
			if im := c.ring[m]; c.stamp[m] < 0 || im == own[0] || im == own[1] || im == own[2] {
				continue
			}
			x := c.at(m)
			if adjoins(x, t[0], b.width) || adjoins(x, t[2], b.width) {
				// The outline comes by an end of the diagonal again. To run
				// through the triangle from there it would have to cross a side.
				continue
			}
			if exact.Orient2D(t[2], t[0], x) >= 0 && b.within(&t, 0, x) && b.within(&t, 1, x) {
				return true
			}
		}
	}
	return false
}

// within tells whether x lies on the inner side of side e of a triangle, or
// near beyond it and not at one of its ends.
func (b *blunts) within(t *[3][2]float64, e int, x [2]float64) bool {
	p, q := t[e], t[e+1]
	if exact.Orient2D(p, q, x) >= 0 {
		return true
	}
	return b.width > 0 && offLine(p, q, x) <= b.width && !adjoins(p, x, b.width) && !adjoins(q, x, b.width)
}

func adjoins(p, q [2]float64, width float64) bool {
	return abs(p[0]-q[0]) <= width && abs(p[1]-q[1]) <= width
}

// beside tells whether the whole box, with width round it, certainly lies
// beyond one side of the triangle: then so does its corner furthest the other
// way. It only spares a look at what lies in the box, so it need not be exact,
// but must not say so of a box that reaches in.
func (d *bluntNode) beside(t *[3][2]float64, width float64) bool {
	for e := range 3 {
		p, q := &t[e], &t[(e+1)%3]
		x := [2]float64{d.lo[0] - width, d.lo[1] - width}
		if q[1] < p[1] {
			x[0] = d.hi[0] + width
		}
		if q[0] > p[0] {
			x[1] = d.hi[1] + width
		}
		l, r := float64((q[0]-p[0])*(x[1]-p[1])), float64((q[1]-p[1])*(x[0]-p[0]))
		if l-r < -float64(1e-12*(abs(l)+abs(r))) {
			return true
		}
	}
	return false
}
