package union

import "falsework/mesh"

// A tree finds the triangles of a mesh whose boxes meet a given one: boxes
// halved at the median along their longest side, as weighed.
type tree struct {
	nodes []node
	order []int32 // triangles, those of a leaf side by side
	boxes []box   // of triangles
	weigh [3]float32
}

type node struct {
	box         box
	left, right int32 // children, or a range of order when leaf
	leaf        bool
}

const leafSize = 4

func newTree(m *mesh.Mesh) *tree {
	boxes := make([]box, len(m.Triangles))
	for i := range boxes {
		boxes[i] = triangleBox(m, i)
	}
	return treeOf(boxes, [3]float32{1, 1, 1})
}

// treeOf makes a tree of boxes. Sides along an axis count for as much more as
// it weighs.
func treeOf(boxes []box, weigh [3]float32) *tree {
	t := &tree{order: make([]int32, len(boxes)), boxes: boxes, weigh: weigh}
	for i := range t.order {
		t.order[i] = int32(i)
	}
	if len(t.order) > 0 {
		t.build(0, int32(len(t.order)))
	}
	return t
}

func (t *tree) build(from, to int32) int32 {
	ids := t.order[from:to]
	b := t.boxes[ids[0]]
	for _, i := range ids[1:] {
		b = b.join(t.boxes[i])
	}
	at := int32(len(t.nodes))
	t.nodes = append(t.nodes, node{box: b})
	if len(ids) <= leafSize {
		t.nodes[at] = node{b, from, to, true}
		return at
	}
	k, widest := 0, float32(-1)
	for i := range 3 {
		if w := (b.hi[i] - b.lo[i]) * t.weigh[i]; w > widest {
			k, widest = i, w
		}
	}
	mid := (from + to) / 2
	t.halve(ids, int(mid-from), k)
	l := t.build(from, mid)
	r := t.build(mid, to)
	t.nodes[at] = node{b, l, r, false}
	return at
}

// halve puts the n triangles that lie lowest along axis k first, in no order:
// the quickselect of Hoare (1961), which spares a tree the sorting.
func (t *tree) halve(ids []int32, n, k int) {
	before := func(i, j int32) bool {
		a, b := t.boxes[i].lo[k]+t.boxes[i].hi[k], t.boxes[j].lo[k]+t.boxes[j].hi[k]
		return a < b || a == b && i < j
	}
	for lo, hi := 0, len(ids)-1; lo < hi; {
		pivot := ids[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for before(ids[i], pivot) {
				i++
			}
			for before(pivot, ids[j]) {
				j--
			}
			if i <= j {
				ids[i], ids[j] = ids[j], ids[i]
				i++
				j--
			}
		}
		switch {
		case n <= j:
			hi = j
		case n >= i:
			lo = i
		default:
			return
		}
	}
}

// meeting calls f for every triangle whose box meets b, in the tree's order.
func (t *tree) meeting(b box, f func(int32)) {
	if len(t.nodes) == 0 {
		return
	}
	var stack [64]int32
	n := 1
	for n > 0 {
		n--
		c := &t.nodes[stack[n]]
		if c.box.beside(&b) {
			continue
		}
		if c.leaf {
			for _, i := range t.order[c.left:c.right] {
				if !t.boxes[i].beside(&b) {
					f(i)
				}
			}
			continue
		}
		stack[n], stack[n+1] = c.right, c.left
		n += 2
	}
}
