package union

import (
	"falsework/mesh/exact"
)

// A levels is a forest of vertices with known differences of winding number:
// a union-find whose links carry the difference to the parent.
type levels struct {
	up   []int32
	diff []int32 // level of the vertex less that of its parent
}

func newLevels(n int) *levels {
	l := &levels{make([]int32, n), make([]int32, n)}
	for i := range l.up {
		l.up[i] = int32(i)
	}
	return l
}

// root returns the root of v and the level of v above it.
func (l *levels) root(v int32) (r, d int32) {
	r = v
	for l.up[r] != r {
		d += l.diff[r]
		r = l.up[r]
	}
	for at := d; l.up[v] != r && v != r; {
		next, step := l.up[v], l.diff[v]
		l.up[v], l.diff[v] = r, at
		v, at = next, at-step
	}
	return r, d
}

// tie records that v lies d levels above u, and reports whether that agrees
// with what is known.
func (l *levels) tie(u, v, d int32) bool {
	ru, du := l.root(u)
	rv, dv := l.root(v)
	if ru == rv {
		return dv-du == d
	}
	if ru < rv {
		l.up[rv], l.diff[rv] = ru, du+d-dv
	} else {
		l.up[ru], l.diff[ru] = rv, dv-d-du
	}
	return true
}

// label finds the winding number of the other operand at every vertex of
// operand own: differences along the edges, which change by one at each
// point, and one absolute value for each piece that hangs together, which
// absolute returns.
func (w *weave) label(own int, absolute func(v int32) (int32, bool)) error {
	l, err := w.differences(own)
	if err != nil {
		return err
	}
	o := w.op[own]
	base := make(map[int32]int32)
	for v := range o.v {
		r, d := l.root(int32(v))
		if _, ok := base[r]; ok {
			continue
		}
		if x, ok := absolute(int32(v)); ok {
			base[r] = x - d
		}
	}
	o.wind = make([]int32, len(o.v))
	for v := range o.v {
		r, d := l.root(int32(v))
		b, ok := base[r]
		if !ok {
			return errInternal("a piece without a winding number")
		}
		o.wind[v] = b + d
	}
	return nil
}

// differences ties the vertices of an operand together by their edges.
func (w *weave) differences(own int) (*levels, error) {
	o := w.op[own]
	l := newLevels(len(o.v))
	for t, k := range o.t {
		for c := range 3 {
			if w.passes(own, int32(t), int8(c)) {
				continue
			}
			if u, v := k[c], k[(c+1)%3]; !l.tie(u, v, 0) {
				return nil, w.torn(own, u)
			}
		}
	}
	for i := range w.edges[own] {
		e := &w.edges[own][i]
		d := int32(0)
		for _, p := range e.points {
			d += w.step(p, true)
		}
		if !l.tie(e.u, e.v, d) {
			return nil, w.torn(own, e.u)
		}
	}
	return l, nil
}

// passes tells whether a half-edge passes through the other operand.
func (w *weave) passes(own int, t int32, c int8) bool {
	return w.edgeOf[own][t][c] >= 0
}

// step is the change of the winding number at a point, going along its edge
// from u to v or back.
func (w *weave) step(p int32, forth bool) int32 {
	if w.points[p].enters == forth {
		return 1
	}
	return -1
}

// torn says that the other operand is no closed surface: going round by two
// ways gives two winding numbers at v.
func (w *weave) torn(own int, v int32) error {
	p := w.op[own].v[v]
	return &broken{kind: OpenEdge, own: 1 - own, at: [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}}
}

// winding counts how often the triangles over a point wrap round it: those
// that a ray upwards from it passes. own is the operand the triangles belong
// to; the point belongs to the other.
func (m *motion) winding(own int, corners func(int32) (a, b, c vec), over []int32, p vec) int32 {
	n := int32(0)
	for _, t := range over {
		a, b, c := corners(t)
		s := m.underneath(own, a, b, c, p)
		if s != 0 && m.above(own, a, b, c, p) == -s {
			n += int32(s)
		}
	}
	return n
}

// underneath returns 1 when the vertical line through p passes the triangle
// and it is counter-clockwise seen from above, -1 when clockwise, 0 when the
// line misses it.
func (m *motion) underneath(own int, a, b, c, p vec) int {
	s := m.planarSide(own, a, b, p)
	if s == 0 || m.planarSide(own, b, c, p) != s || m.planarSide(own, c, a, p) != s {
		return 0
	}
	return s
}

// planarSide is the turn a b p seen from above, under the same symbolic motion
// of B as the other predicates.
func (m *motion) planarSide(own int, a, b, p vec) int {
	x, y, z := exact.Drop(a, 2), exact.Drop(b, 2), exact.Drop(p, 2)
	if s := exact.Orient2D(x, y, z); s != 0 {
		return s
	}
	if m != nil {
		var v series
		if own == 1 {
			v = m.moving(a).planar(m.moving(b), m.still(p))
		} else {
			v = m.still(a).planar(m.still(b), m.moving(p))
		}
		if s := v.sign(); s != 0 {
			return s
		}
	}
	// The derivative for p moving by d is (b-a) x d: -(by-ay) for x, bx-ax
	// for y.
	s := 0
	switch {
	case y[1] != x[1]:
		s = sign(x[1] - y[1])
	case y[0] != x[0]:
		s = sign(y[0] - x[0])
	}
	if own == 1 {
		return -s
	}
	return s
}

func sign(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}
