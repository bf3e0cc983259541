package mend

import (
	"cmp"
	"math"
	"slices"
)

// A cloud is points in space, laid out so that those near a line are found
// without looking at all others: a tree, halved along the widest side.
type cloud struct {
	ids   []int32
	at    [][3]float64 // of ids
	nodes []cloudNode  // the children of node n are 2n+1 and 2n+2
}

// A cloudNode bounds the points from:to.
type cloudNode struct {
	from, to int32
	lo, hi   [3]float64
}

// cloudLeaf is how many points a node holds that is not halved further.
const cloudLeaf = 8

// newCloud lays out the points of the given vertices.
func newCloud(vs []int32, at func(v int32) [3]float64) *cloud {
	c := &cloud{ids: slices.Clone(vs), at: make([][3]float64, len(vs))}
	if len(vs) > 0 {
		c.build(0, 0, int32(len(vs)), at)
	}
	for i, v := range c.ids {
		c.at[i] = at(v)
	}
	return c
}

func (c *cloud) build(n int, from, to int32, at func(v int32) [3]float64) {
	for n >= len(c.nodes) {
		c.nodes = append(c.nodes, cloudNode{})
	}
	p := at(c.ids[from])
	node := cloudNode{from, to, p, p}
	for _, v := range c.ids[from:to] {
		for k, x := range at(v) {
			node.lo[k], node.hi[k] = min(node.lo[k], x), max(node.hi[k], x)
		}
	}
	c.nodes[n] = node
	if to-from <= cloudLeaf {
		return
	}
	axis := 0
	for k := range 3 {
		if node.hi[k]-node.lo[k] > node.hi[axis]-node.lo[axis] {
			axis = k
		}
	}
	slices.SortFunc(c.ids[from:to], func(a, b int32) int {
		return cmp.Or(cmp.Compare(at(a)[axis], at(b)[axis]), cmp.Compare(a, b))
	})
	half := (from + to) / 2
	c.build(2*n+1, from, half, at)
	c.build(2*n+2, half, to, at)
}

// along calls f for every point that may lie within reach of the line from a
// to b, and some others near it.
func (c *cloud) along(a, b [3]float64, reach float64, f func(v int32, p [3]float64)) {
	if len(c.nodes) > 0 {
		c.search(0, a, b, reach, f)
	}
}

func (c *cloud) search(n int, a, b [3]float64, reach float64, f func(v int32, p [3]float64)) {
	node := &c.nodes[n]
	if !meets(a, b, node.lo, node.hi, reach) {
		return
	}
	if node.to-node.from > cloudLeaf {
		c.search(2*n+1, a, b, reach, f)
		c.search(2*n+2, a, b, reach, f)
		return
	}
	for i := node.from; i < node.to; i++ {
		f(c.ids[i], c.at[i])
	}
}

// meets tells whether the line from a to b comes into a box grown by reach
// and a hair more, for rounding.
func meets(a, b, lo, hi [3]float64, reach float64) bool {
	s0, s1 := 0.0, 1.0
	for k := range 3 {
		grow := reach + 0x1p-40*(math.Abs(a[k])+math.Abs(b[k])+math.Abs(lo[k])+math.Abs(hi[k]))
		l, h := lo[k]-grow, hi[k]+grow
		d := b[k] - a[k]
		if d == 0 {
			if a[k] < l || a[k] > h {
				return false
			}
			continue
		}
		u, v := (l-a[k])/d, (h-a[k])/d
		s0, s1 = max(s0, min(u, v)), min(s1, max(u, v))
	}
	return s0 <= s1
}
