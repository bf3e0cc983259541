package mesh

import (
	"cmp"
	"slices"
)

// A boxTree finds, among boxes that are taken away one by one, those that lie
// within another box. It is a tree over their low corners, halved along the
// widest side in turn.
type boxTree struct {
	boxes []Box
	order []int32   // the boxes, those of each node together
	nodes []boxNode // the children of node n are 2n+1 and 2n+2
	place []int32   // of each box in order
	gone  []bool
}

// A boxNode bounds the boxes order[from:to].
type boxNode struct {
	from, to int32
	low      Box        // of their low corners
	high     [3]float64 // least of their high corners
	left     int32      // boxes that are still there
}

// leaf is how many boxes or points a node holds that is not halved further.
const leaf = 8

func newBoxTree(boxes []Box) *boxTree {
	t := &boxTree{boxes: boxes, order: make([]int32, len(boxes)), place: make([]int32, len(boxes)), gone: make([]bool, len(boxes))}
	for i := range t.order {
		t.order[i] = int32(i)
	}
	t.build(0, 0, int32(len(boxes)))
	for i, b := range t.order {
		t.place[b] = int32(i)
	}
	return t
}

func (t *boxTree) build(n int, from, to int32) {
	for n >= len(t.nodes) {
		t.nodes = append(t.nodes, boxNode{})
	}
	first := t.boxes[t.order[from]]
	node := boxNode{from: from, to: to, left: to - from, low: Box{first.Min, first.Min}, high: first.Max}
	for _, b := range t.order[from:to] {
		node.low.grow(t.boxes[b].Min)
		for k, x := range t.boxes[b].Max {
			node.high[k] = min(node.high[k], x)
		}
	}
	t.nodes[n] = node
	if to-from <= leaf {
		return
	}
	size, axis := node.low.Size(), 0
	for k := range size {
		if size[k] > size[axis] {
			axis = k
		}
	}
	slices.SortFunc(t.order[from:to], func(a, b int32) int {
		return cmp.Or(cmp.Compare(t.boxes[a].Min[axis], t.boxes[b].Min[axis]), cmp.Compare(a, b))
	})
	half := (from + to) / 2
	t.build(2*n+1, from, half)
	t.build(2*n+2, half, to)
}

// within calls f for the boxes within b that are still there.
func (t *boxTree) within(b Box, f func(i int32)) { t.search(0, b, f) }

func (t *boxTree) search(n int, b Box, f func(i int32)) {
	node := &t.nodes[n]
	if node.left == 0 {
		return
	}
	for k := range 3 {
		if node.low.Max[k] < b.Min[k] || node.low.Min[k] > b.Max[k] || node.high[k] > b.Max[k] {
			return
		}
	}
	if node.to-node.from > leaf {
		t.search(2*n+1, b, f)
		t.search(2*n+2, b, f)
		return
	}
	for _, i := range t.order[node.from:node.to] {
		if !t.gone[i] && within(t.boxes[i], b) {
			f(i)
		}
	}
}

// remove takes a box away.
func (t *boxTree) remove(i int32) {
	t.gone[i] = true
	for n := 0; ; {
		node := &t.nodes[n]
		node.left--
		if node.to-node.from <= leaf {
			return
		}
		n = 2*n + 1
		if t.place[i] >= t.nodes[n].to {
			n++
		}
	}
}
