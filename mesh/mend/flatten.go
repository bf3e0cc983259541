package mend

import (
	"falsework/mesh"
	"falsework/mesh/exact"
)

// flatten removes triangles without area that name three vertices in line.
// The longest side of such a triangle runs along the two others; the
// neighbour beyond it is split at the vertex in the middle, and the triangle
// is gone. Nothing moves. One that cannot be removed so stays: it is
// harmless.
func (w *work) flatten() error {
	for range 8 {
		if !w.has(mesh.Degenerate) {
			return nil
		}
		m := &mesh.Mesh{Vertices: w.m.Vertices, Triangles: append([][3]int32(nil), w.m.Triangles...)}
		src := make([]int32, len(m.Triangles))
		for t := range src {
			src[t] = int32(t)
		}
		busy := make([]bool, len(m.Triangles))
		n, first := 0, -1
		for t, tri := range w.m.Triangles {
			if busy[t] || broken(tri) || !w.inLine(t) {
				continue
			}
			if o, a, b, ok := w.swap(t); ok && !busy[o] && w.free(t, busy) && w.free(o, busy) {
				m.Triangles[t], m.Triangles[o] = a, b
				src[t], src[o] = -1, -1
				busy[t], busy[o] = true, true
				if n++; first < 0 {
					first = t
				}
			}
		}
		if n == 0 {
			return nil
		}
		a, err := m.Audit(w.ctx)
		if err != nil {
			return err
		}
		if badness(a) > w.bad() || count(a, mesh.Degenerate) >= count(w.a, mesh.Degenerate) {
			return nil
		}
		w.note(Degenerate, n, w.middle(first), 0)
		w.adopt(m, src, a)
	}
	return nil
}

func count(a *mesh.Audit, k mesh.FaultKind) int {
	if f := a.Fault(k); f != nil {
		return f.Count
	}
	return 0
}

func (w *work) inLine(t int) bool {
	n := cross(minus(wide(w.m.Corner(t, 1)), wide(w.m.Corner(t, 0))), minus(wide(w.m.Corner(t, 2)), wide(w.m.Corner(t, 0))))
	l := max(distance(w.ends(int32(3*t))), distance(w.ends(int32(3*t+1))), distance(w.ends(int32(3*t+2))))
	if dot(n, n) > 1e-20*l*l*l*l { // far beyond what rounding makes of zero
		return false
	}
	return exact.Collinear(w.m.Corner(t, 0), w.m.Corner(t, 1), w.m.Corner(t, 2))
}

// free tells whether no neighbour of t is being changed, so that its mates
// still hold.
func (w *work) free(t int, busy []bool) bool {
	for _, h := range w.a.Mates[t] {
		if h >= 0 && busy[h/3] {
			return false
		}
	}
	return true
}

// swap returns the neighbour of t beyond its longest side, and the two
// triangles that take the place of both.
func (w *work) swap(t int) (other int, a, b [3]int32, ok bool) {
	long, c := -1.0, 0
	for i := range 3 {
		if l := distance(w.ends(int32(3*t + i))); l > long {
			long, c = l, i
		}
	}
	h := w.a.Mates[t][c]
	if h < 0 {
		return 0, a, b, false
	}
	other = int(h / 3)
	p, q, r := w.m.Triangles[t][c], w.m.Triangles[t][(c+1)%3], w.m.Triangles[t][(c+2)%3]
	d := w.m.Triangles[other][(h+2)%3]
	if d == r || w.joined(int32(3*t)+int32((c+2)%3), d) || w.inLine(other) {
		return 0, a, b, false
	}
	return other, [3]int32{p, d, r}, [3]int32{d, q, r}, true
}

// joined tells whether the vertex a half-edge starts from has an edge to d,
// as far as its triangles hang together.
func (w *work) joined(h, d int32) bool {
	for g, k := h, 0; k < 1<<20; k++ {
		t := w.m.Triangles[g/3]
		if t[0] == d || t[1] == d || t[2] == d {
			return true
		}
		// On to the next triangle at the vertex.
		back := g - g%3 + (g%3+2)%3
		if g = w.a.Mates.Of(back); g < 0 {
			return true // an open fan: leave it alone
		}
		if g == h {
			return false
		}
	}
	return true
}
