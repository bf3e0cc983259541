package field

import (
	"cmp"
	"math"
	"slices"

	"falsework/mesh"
)

type vec = [3]float64

func minus(a, b vec) vec { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

func plus(a vec, s float64, b vec) vec { return vec{a[0] + s*b[0], a[1] + s*b[1], a[2] + s*b[2]} }

func dot(a, b vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func cross(a, b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func norm(a vec) float64 { return math.Sqrt(dot(a, a)) }

// A tree holds triangles in boxes within boxes. It answers how far a point is
// from them and what their winding number about it is.
type tree struct {
	nodes []node
	tris  [][3]vec // in the order of the leaves
}

// A node is a leaf, which holds triangles first..first+count, or has two
// children, at left and left+1.
type node struct {
	lo, hi       vec
	left         int32 // 0 in a leaf
	first, count int32
	area         vec     // sum of the triangles' areas times their normals
	middle       vec     // mean of the triangles' middles, by area
	radius       float64 // of the ball about it that holds them
}

const leafSize = 6

// depth is more than log(mesh.MaxTriangles) to the base 8/7, the longest way
// down a tree.
const depth = 160

func plant(m *mesh.Mesh) *tree {
	t := &tree{tris: make([][3]vec, len(m.Triangles))}
	for i := range t.tris {
		for c := range 3 {
			for k, x := range m.Corner(i, c) {
				t.tris[i][c][k] = float64(x)
			}
		}
	}
	t.nodes = append(t.nodes, node{first: 0, count: int32(len(t.tris))})
	for i := 0; i < len(t.nodes); i++ {
		t.grow(i)
	}
	for i := len(t.nodes) - 1; i >= 0; i-- { // children stand after their parents
		t.weigh(i)
	}
	return t
}

func middle(t [3]vec) (p vec) {
	for k := range p {
		p[k] = (t[0][k] + t[1][k] + t[2][k]) / 3
	}
	return p
}

// grow measures the box of a node and splits it at the middle of its
// triangles' middles, or in halves of equal number where one side would get
// less than an eighth: no way down is then longer than depth.
func (t *tree) grow(i int) {
	n := &t.nodes[i]
	inf := math.Inf(1)
	n.lo, n.hi = vec{inf, inf, inf}, vec{-inf, -inf, -inf}
	lo, hi := n.lo, n.hi
	ts := t.tris[n.first : n.first+n.count]
	for _, tri := range ts {
		for _, p := range tri {
			for k, x := range p {
				n.lo[k], n.hi[k] = min(n.lo[k], x), max(n.hi[k], x)
			}
		}
		for k, x := range middle(tri) {
			lo[k], hi[k] = min(lo[k], x), max(hi[k], x)
		}
	}
	if len(ts) <= leafSize {
		return
	}
	axis := 0
	for k := range 3 {
		if hi[k]-lo[k] > hi[axis]-lo[axis] {
			axis = k
		}
	}
	cut, at := (lo[axis]+hi[axis])/2, 0
	for j := range ts {
		if middle(ts[j])[axis] < cut {
			ts[at], ts[j] = ts[j], ts[at]
			at++
		}
	}
	if min(at, len(ts)-at) < len(ts)/8+1 {
		at = len(ts) / 2
		slices.SortFunc(ts, func(p, q [3]vec) int { return cmp.Compare(middle(p)[axis], middle(q)[axis]) })
	}
	n.left = int32(len(t.nodes))
	f, c := n.first, n.count
	t.nodes = append(t.nodes, node{first: f, count: int32(at)}, node{first: f + int32(at), count: c - int32(at)})
}

// weigh sums up what the triangles of a node look like from afar.
func (t *tree) weigh(i int) {
	n := &t.nodes[i]
	var mass float64
	add := func(area vec, at vec, w float64) {
		n.area = plus(n.area, 1, area)
		n.middle = plus(n.middle, w, at)
		mass += w
	}
	for _, tri := range t.tris[n.first : n.first+n.count] {
		a := cross(minus(tri[1], tri[0]), minus(tri[2], tri[0]))
		a = vec{a[0] / 2, a[1] / 2, a[2] / 2}
		add(a, middle(tri), norm(a))
	}
	if mass > 0 {
		for k := range 3 {
			n.middle[k] /= mass
		}
	} else {
		n.middle = vec{(n.lo[0] + n.hi[0]) / 2, (n.lo[1] + n.hi[1]) / 2, (n.lo[2] + n.hi[2]) / 2}
	}
	for k := range 3 { // the corner of the box furthest from the middle bounds all
		d := max(n.hi[k]-n.middle[k], n.middle[k]-n.lo[k])
		n.radius += d * d
	}
	n.radius = math.Sqrt(n.radius)
}
