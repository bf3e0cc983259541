package meshtest

import (
	"math"
	"slices"

	"falsework/mesh"
)

// A node of a tree of boxes over triangles: a leaf holds triangles, an inner
// node two others.
type node struct {
	box  mesh.Box
	leaf []int
	kids [2]*node
}

// eachPair calls f for every two triangles whose boxes meet, once each.
func eachPair(m *mesh.Mesh, f func(a, b int)) { eachNear(m, 0, f) }

// eachNear calls f for every two triangles whose boxes come within a length
// of each other along every axis, once each, and perhaps for some others.
func eachNear(m *mesh.Mesh, near float64, f func(a, b int)) {
	if len(m.Triangles) == 0 {
		return
	}
	boxes := make([]mesh.Box, len(m.Triangles))
	all := make([]int, len(m.Triangles))
	for t := range all {
		all[t] = t
		boxes[t] = boxOf(triangleOf(m, t))
		for k := range 3 {
			boxes[t].Min[k] -= near
			boxes[t].Max[k] += near
		}
	}
	selfPairs(plant(boxes, all), boxes, f)
}

func boxOf(t tri) mesh.Box {
	b := mesh.Box{Min: t[0], Max: t[0]}
	for _, p := range t[1:] {
		for i, x := range p {
			b.Min[i], b.Max[i] = min(b.Min[i], x), max(b.Max[i], x)
		}
	}
	return b
}

func meet(a, b mesh.Box) bool {
	for i := range 3 {
		if a.Max[i] < b.Min[i] || b.Max[i] < a.Min[i] {
			return false
		}
	}
	return true
}

// plant builds the tree: the triangles are halved along the longest side of
// their common box.
func plant(boxes []mesh.Box, ts []int) *node {
	n := &node{box: boxes[ts[0]]}
	for _, t := range ts {
		for i := range 3 {
			n.box.Min[i] = math.Min(n.box.Min[i], boxes[t].Min[i])
			n.box.Max[i] = math.Max(n.box.Max[i], boxes[t].Max[i])
		}
	}
	if len(ts) <= 8 {
		n.leaf = ts
		return n
	}
	axis := 0
	for i := range 3 {
		if n.box.Max[i]-n.box.Min[i] > n.box.Max[axis]-n.box.Min[axis] {
			axis = i
		}
	}
	slices.SortFunc(ts, func(a, b int) int {
		x, y := boxes[a].Min[axis]+boxes[a].Max[axis], boxes[b].Min[axis]+boxes[b].Max[axis]
		switch {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return a - b
	})
	h := len(ts) / 2
	n.kids = [2]*node{plant(boxes, ts[:h]), plant(boxes, ts[h:])}
	return n
}

func selfPairs(n *node, boxes []mesh.Box, f func(a, b int)) {
	if n.leaf == nil {
		selfPairs(n.kids[0], boxes, f)
		selfPairs(n.kids[1], boxes, f)
		crossPairs(n.kids[0], n.kids[1], boxes, f)
		return
	}
	for i, a := range n.leaf {
		for _, b := range n.leaf[:i] {
			if meet(boxes[a], boxes[b]) {
				f(a, b)
			}
		}
	}
}

func crossPairs(p, q *node, boxes []mesh.Box, f func(a, b int)) {
	switch {
	case !meet(p.box, q.box):
	case p.leaf == nil:
		crossPairs(p.kids[0], q, boxes, f)
		crossPairs(p.kids[1], q, boxes, f)
	case q.leaf == nil:
		crossPairs(p, q.kids[0], boxes, f)
		crossPairs(p, q.kids[1], boxes, f)
	default:
		for _, a := range p.leaf {
			for _, b := range q.leaf {
				if meet(boxes[a], boxes[b]) {
					f(a, b)
				}
			}
		}
	}
}
