package mend

import (
	"math"

	"falsework/mesh"
)

// A hole is a closed chain of open edges: vertices in the order that its
// filling has them.
type hole struct {
	rim    []int32
	beyond []int32 // per side rim[i], rim[i+1], the triangle on its other side
	middle [3]float64
	size   float64 // diagonal of its box
}

// smallHole is the greatest size of a hole, as a part of the surface's
// diagonal, that is filled only for being small.
const smallHole = 0.03

// maxRim bounds the sides of a hole that is filled; ears are cut in cubic
// time at worst.
const maxRim = 200

// fill closes holes whose filling is certain: a hole small against the part;
// a missing triangle that continues the facet beside it; a gap in a plane
// facet. A lid that would be as large as a wall is not certain, and left.
func (w *work) fill() error {
	if !w.has(mesh.OpenEdge) || w.torn() {
		return nil
	}
	holes := w.holes()
	edges := w.edgesAmong(holes)
	old := len(w.m.Triangles)
	all := &mesh.Mesh{Vertices: w.m.Vertices, Triangles: append([][3]int32(nil), w.m.Triangles...)}
	var of []int // per new triangle its hole
	for i, h := range holes {
		if w.ctx.Err() != nil {
			return w.ctx.Err()
		}
		if patch, ok := w.patch(h, edges); ok && w.certain(h) {
			all.Triangles = append(all.Triangles, patch...)
			for range patch {
				of = append(of, i)
			}
		}
	}
	if len(of) == 0 {
		return nil
	}
	bad := map[int]bool{} // holes whose filling meets the surface elsewhere
	for s := range pierced(all, old) {
		bad[of[s-old]] = true
	}
	m := &mesh.Mesh{Vertices: w.m.Vertices, Triangles: all.Triangles[:old:old]}
	src := make([]int32, old)
	for t := range src {
		src[t] = int32(t)
	}
	n, first, last := 0, -1, -1
	for k, i := range of {
		if bad[i] {
			continue
		}
		m.Triangles, src = append(m.Triangles, all.Triangles[old+k]), append(src, -1)
		if first < 0 {
			first = i
		}
		if i != last {
			n, last = n+1, i
		}
	}
	if n == 0 {
		return nil
	}
	a, err := m.Audit(w.ctx)
	if err != nil {
		return err
	}
	if badness(a) < w.bad() {
		w.note(Hole, n, holes[first].middle, 0)
		w.adopt(m, src, a)
	}
	return nil
}

// holes walks along the open edges. At a vertex where holes touch, each goes
// round its own gap; a chain that passes a vertex twice is cut there in two.
// Chains that do not close are left out.
func (w *work) holes() []hole {
	var hs []hole
	done := map[int32]bool{}
	for t, mates := range w.a.Mates {
		for c, mate := range mates {
			start := int32(3*t + c)
			if mate != mesh.None || broken(w.m.Triangles[t]) || done[start] {
				continue
			}
			var chain []int32
			closed := false
			for h := start; ; {
				done[h] = true
				chain = append(chain, h)
				g, ok := w.nextOpen(h)
				if closed = ok && g == start; closed || !ok || done[g] {
					break
				}
				h = g
			}
			if closed {
				hs = append(hs, w.cutAtRepeats(chain)...)
			}
		}
	}
	return hs
}

// nextOpen returns the open half-edge that goes on where h ends, round the
// gap at that vertex.
func (w *work) nextOpen(h int32) (int32, bool) {
	g := after(h)
	for range 1 << 16 {
		switch mate := w.a.Mates.Of(g); {
		case mate == mesh.None:
			return g, true
		case mate < 0:
			return 0, false
		default:
			g = after(mate)
		}
	}
	return 0, false
}

// after returns the next half-edge of the same triangle.
func after(h int32) int32 { return h - h%3 + (h%3+1)%3 }

// cutAtRepeats makes holes of a closed chain, one for each stretch that comes
// back to a vertex.
func (w *work) cutAtRepeats(chain []int32) []hole {
	var hs []hole
	var stack []int32
	at := map[int32]int{} // by starting vertex, the place in the stack
	from := func(h int32) int32 { return w.m.Triangles[h/3][h%3] }
	for _, h := range append(chain, chain[0]) {
		if i, ok := at[from(h)]; ok {
			hs = append(hs, w.hole(stack[i:]))
			for _, g := range stack[i:] {
				delete(at, from(g))
			}
			stack = stack[:i]
		}
		at[from(h)] = len(stack)
		stack = append(stack, h)
	}
	return hs
}

// hole makes a hole of open half-edges. Its filling runs the other way.
func (w *work) hole(chain []int32) hole {
	var x hole
	lo, hi := [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}, [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for i := len(chain) - 1; i >= 0; i-- {
		h := chain[i]
		v := w.m.Triangles[h/3][(h%3+1)%3]
		x.rim = append(x.rim, v)
		x.beyond = append(x.beyond, h/3)
		for k, c := range wide(w.m.Vertices[v]) {
			lo[k], hi[k] = min(lo[k], c), max(hi[k], c)
		}
	}
	x.size = distance(lo, hi)
	for k := range x.middle {
		x.middle[k] = (lo[k] + hi[k]) / 2
	}
	return x
}

// edgesAmong returns the edges of the surface between vertices of holes: a
// filling must not make one of them again.
func (w *work) edgesAmong(hs []hole) map[[2]int32]bool {
	on := map[int32]bool{}
	for _, h := range hs {
		for _, v := range h.rim {
			on[v] = true
		}
	}
	es := map[[2]int32]bool{}
	for _, t := range w.m.Triangles {
		for c := range 3 {
			if u, v := t[c], t[(c+1)%3]; on[u] && on[v] {
				es[edge(u, v)] = true
			}
		}
	}
	return es
}

// certain judges whether there is one way to fill a hole.
func (w *work) certain(h hole) bool {
	d := w.a.Bounds.Diagonal()
	n, off := w.plane(h)
	if n == ([3]float64{}) {
		return false
	}
	along := 0 // sides whose neighbour lies in the plane of the filling and faces alike
	for _, t := range h.beyond {
		switch cos := dot(w.normal(int(t)), n); {
		case cos > 0.9998: // within a degree
			along++
		case cos < -0.98: // the filling would be the back of a leaf
			return false
		}
	}
	if h.size <= smallHole*d && off <= 0.25*h.size {
		return true
	}
	switch {
	case len(h.rim) == 3:
		return along > 0
	case off <= w.tol:
		return along == len(h.rim)
	}
	return false
}

// plane returns the unit normal of the rim (Newell's method) and how far its
// vertices lie off the plane through their middle. The normal is zero where
// the rim encloses no area.
func (w *work) plane(h hole) (n [3]float64, off float64) {
	var o [3]float64
	k := float64(len(h.rim))
	for _, v := range h.rim {
		p := wide(w.m.Vertices[v])
		for i := range o {
			o[i] += p[i] / k
		}
	}
	for i, v := range h.rim {
		p, q := minus(wide(w.m.Vertices[v]), o), minus(wide(w.m.Vertices[h.rim[(i+1)%len(h.rim)]]), o)
		c := cross(p, q)
		for i := range n {
			n[i] += c[i]
		}
	}
	if n = unit(n); n == [3]float64{} {
		return n, 0
	}
	for _, v := range h.rim {
		off = max(off, math.Abs(dot(n, minus(wide(w.m.Vertices[v]), o))))
	}
	return n, off
}

func unit(n [3]float64) [3]float64 {
	l := math.Sqrt(dot(n, n))
	if l == 0 {
		return n
	}
	return [3]float64{n[0] / l, n[1] / l, n[2] / l}
}

func (w *work) normal(t int) [3]float64 {
	a := wide(w.m.Corner(t, 0))
	return unit(cross(minus(wide(w.m.Corner(t, 1)), a), minus(wide(w.m.Corner(t, 2)), a)))
}
