package mend

import (
	"math"

	"falsework/mesh"
	"falsework/mesh/exact"
	"github.com/tidwall/rtree"
)

// patch triangulates a hole by cutting ears, the best shaped first, seen
// along the axis nearest to the rim's normal. It makes no edge that the
// surface has already, and adds its own to them. It reports false where
// there is no such filling.
func (w *work) patch(h hole, edges map[[2]int32]bool) ([][3]int32, bool) {
	n, _ := w.plane(h)
	if len(h.rim) < 3 || len(h.rim) > maxRim || n == ([3]float64{}) {
		return nil, false
	}
	axis := 0
	for i := range n {
		if math.Abs(n[i]) > math.Abs(n[axis]) {
			axis = i
		}
	}
	f := flat{vs: h.rim, edges: edges, left: 1}
	if n[axis] < 0 {
		f.left = -1
	}
	for _, v := range h.rim {
		f.ps = append(f.ps, exact.Drop(w.m.Vertices[v], axis))
	}
	return f.cut()
}

// A flat is a rim seen in a plane. Left is the sign of a turn to the inside.
type flat struct {
	vs    []int32
	ps    [][2]float64
	left  int
	edges map[[2]int32]bool
}

func (f *flat) cut() (ts [][3]int32, ok bool) {
	ring := make([]int, len(f.vs))
	for i := range ring {
		ring[i] = i
	}
	var added [][2]int32
	defer func() {
		if !ok {
			for _, e := range added {
				delete(f.edges, e)
			}
		}
	}()
	for len(ring) > 3 {
		i := f.ear(ring)
		if i < 0 {
			return nil, false
		}
		n := len(ring)
		a, b, c := ring[(i+n-1)%n], ring[i], ring[(i+1)%n]
		ts = append(ts, [3]int32{f.vs[a], f.vs[b], f.vs[c]})
		e := edge(f.vs[a], f.vs[c])
		f.edges[e] = true
		added = append(added, e)
		ring = append(ring[:i:i], ring[i+1:]...)
	}
	if f.turn(ring[0], ring[1], ring[2]) != f.left {
		return nil, false
	}
	return append(ts, [3]int32{f.vs[ring[0]], f.vs[ring[1]], f.vs[ring[2]]}), true
}

func (f *flat) turn(a, b, c int) int { return exact.Orient2D(f.ps[a], f.ps[b], f.ps[c]) }

// ear returns the place in the ring of the best shaped ear, or -1.
func (f *flat) ear(ring []int) int {
	best, at := 0.0, -1
	n := len(ring)
	for i, b := range ring {
		a, c := ring[(i+n-1)%n], ring[(i+1)%n]
		if f.turn(a, b, c) != f.left || f.edges[edge(f.vs[a], f.vs[c])] {
			continue
		}
		clear := true
		for _, q := range ring {
			if q != a && q != b && q != c &&
				f.turn(a, b, q) != -f.left && f.turn(b, c, q) != -f.left && f.turn(c, a, q) != -f.left {
				clear = false
				break
			}
		}
		if s := f.shape(a, b, c); clear && s > best {
			best, at = s, i
		}
	}
	return at
}

// shape is the area of a triangle against the square of its longest side.
func (f *flat) shape(a, b, c int) float64 {
	l := 0.0
	for _, s := range [3][2]int{{a, b}, {b, c}, {c, a}} {
		x, y := f.ps[s[1]][0]-f.ps[s[0]][0], f.ps[s[1]][1]-f.ps[s[0]][1]
		l = max(l, float64(x*x)+float64(y*y))
	}
	p, q, r := f.ps[a], f.ps[b], f.ps[c]
	return math.Abs(float64((q[0]-p[0])*(r[1]-p[1]))-float64((q[1]-p[1])*(r[0]-p[0]))) / l
}

// pierced returns which of the triangles from number old on go through
// another triangle.
func pierced(m *mesh.Mesh, old int) map[int]bool {
	var tree rtree.RTreeG[int]
	for s := old; s < len(m.Triangles); s++ {
		lo, hi := box(m, s)
		tree.Insert(seen(lo), seen(hi), s)
	}
	bad := map[int]bool{}
	for t := range m.Triangles {
		lo, hi := box(m, t)
		tree.Search(seen(lo), seen(hi), func(_, _ [2]float64, s int) bool {
			if l, h := box(m, s); s != t && l[2] <= hi[2] && h[2] >= lo[2] && (crosses(m, s, t) || crosses(m, t, s)) {
				bad[s] = true
			}
			return true
		})
	}
	return bad
}

func seen(p [3]float32) [2]float64 { return [2]float64{float64(p[0]), float64(p[1])} }

func box(m *mesh.Mesh, t int) (lo, hi [3]float32) {
	a, b, c := m.Corner(t, 0), m.Corner(t, 1), m.Corner(t, 2)
	for i := range 3 {
		lo[i], hi[i] = min(a[i], b[i], c[i]), max(a[i], b[i], c[i])
	}
	return lo, hi
}

// crosses tells whether an edge of s that holds no corner of t goes through
// t, its ends strictly on either side.
func crosses(m *mesh.Mesh, s, t int) bool {
	a, b, c := m.Corner(t, 0), m.Corner(t, 1), m.Corner(t, 2)
	own := func(v int32) bool { return v == m.Triangles[t][0] || v == m.Triangles[t][1] || v == m.Triangles[t][2] }
	for i := range 3 {
		u, v := m.Triangles[s][i], m.Triangles[s][(i+1)%3]
		if own(u) || own(v) {
			continue
		}
		p, q := m.Vertices[u], m.Vertices[v]
		if exact.Orient3D(a, b, c, p)*exact.Orient3D(a, b, c, q) >= 0 {
			continue
		}
		x, y, z := exact.Orient3D(p, q, a, b), exact.Orient3D(p, q, b, c), exact.Orient3D(p, q, c, a)
		if min(x, y, z) >= 0 || max(x, y, z) <= 0 {
			return true
		}
	}
	return false
}
