package union

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"

	"falsework/mesh/exact"
	"falsework/mesh/par"
)

// An edge is an undirected edge of one operand that passes through triangles
// of the other.
type edge struct {
	u, v   int32 // u < v
	uses   []use
	points []int32 // from u to v
}

// A use is a half-edge: corner c of triangle t to the next corner.
type use struct {
	t     int32
	c     int8
	forth bool // from u to v
}

// A point is a new vertex: where an edge passes a triangle of the other
// operand. It is made once and shared by all that meet there.
type point struct {
	own    int8
	edge   int32
	tri    int32 // of the other operand
	enters bool  // going from u to v
	at     [3]float64
}

// A segment is the cut of a pair, in the direction that has the inside of B
// on its left when seen on A's triangle, and so the outside of A on its left
// when seen on B's.
type segment struct{ from, to int32 }

// A weave holds the points and segments of all pairs.
type weave struct {
	op     [2]*operand
	motion *motion
	edges  [2][]edge
	edgeOf [2][][3]int32 // per triangle and corner: the edge, or -1
	points []point
	cuts   [2][]cut
}

// A cut is a triangle with the segments on it.
type cut struct {
	t    int32
	segs []segment
}

// weaveOf makes the shared points of all pairs, orders them along their edges
// and joins them by segments.
func weaveOf(a, b *operand, m *motion, pairs []pair) (*weave, error) {
	w := &weave{op: [2]*operand{a, b}, motion: m}
	var errs [2]error
	par.Each(2, func(own int) { errs[own] = w.collect(own, pairs) })
	if err := cmp.Or(errs[0], errs[1]); err != nil {
		return nil, err
	}
	if err := w.join(pairs); err != nil {
		return nil, err
	}
	par.Each(2, func(own int) {
		for i := range w.edges[own] {
			w.sort(own, &w.edges[own][i])
		}
	})
	return w, nil
}

// collect finds the edges of one operand that pass through the other.
func (w *weave) collect(own int, pairs []pair) error {
	o := w.op[own]
	w.edgeOf[own] = make([][3]int32, len(o.t))
	for t := range w.edgeOf[own] {
		w.edgeOf[own][t] = [3]int32{-1, -1, -1}
	}
	at := newTable(len(pairs))
	for i := range pairs {
		p := &pairs[i]
		t := p.a
		if own == 1 {
			t = p.b
		}
		for _, h := range p.hits {
			if int(h.own) != own {
				continue
			}
			if w.edgeOf[own][t][h.edge] >= 0 {
				continue
			}
			u, v := o.t[t][h.edge], o.t[t][(h.edge+1)%3]
			k := key(min(u, v), max(u, v))
			e, ok := at.get(k)
			if !ok {
				e = int32(len(w.edges[own]))
				at.add(k, e)
				w.edges[own] = append(w.edges[own], edge{u: min(u, v), v: max(u, v)})
			}
			w.edgeOf[own][t][h.edge] = e
			w.edges[own][e].uses = append(w.edges[own][e].uses, use{t, h.edge, u < v})
		}
	}
	for e := range w.edges[own] {
		if err := w.part(own, int32(e)); err != nil {
			return err
		}
	}
	return nil
}

// part checks that an edge has one triangle on each side. Where more meet, as
// many one way as the other, they are paired so that each pair bounds one
// wedge of material, and each pair gets an edge of its own.
func (w *weave) part(own int, e int32) error {
	d := &w.edges[own][e]
	forth := 0
	for _, u := range d.uses {
		if u.forth {
			forth++
		}
	}
	o := w.op[own]
	if 2*forth != len(d.uses) {
		kind := OpenEdge
		if len(d.uses) > 1 {
			kind = NonManifoldEdge
		}
		p, q := o.v[d.u], o.v[d.v]
		if own == 1 { // proved closed before
			return errInternal(fmt.Sprintf("an edge that passes on one side only, near (%.3f, %.3f, %.3f)", p[0], p[1], p[2]))
		}
		return &broken{kind: kind, own: own, at: [3]float64{
			(float64(p[0]) + float64(q[0])) / 2, (float64(p[1]) + float64(q[1])) / 2, (float64(p[2]) + float64(q[2])) / 2}}
	}
	if forth == 1 {
		return nil
	}
	uses := w.around(own, d)
	// Counter-clockwise about u to v, material begins at a triangle that runs
	// back and ends at one that runs forth.
	start := slices.IndexFunc(uses, func(u use) bool { return !u.forth })
	uses = append(uses[start:len(uses):len(uses)], uses[:start]...)
	var open []use
	var pairs [][2]use
	for range 2 {
		for _, u := range uses {
			if !u.forth {
				open = append(open, u)
			} else if len(open) > 0 {
				pairs = append(pairs, [2]use{open[len(open)-1], u})
				open = open[:len(open)-1]
			}
			if len(pairs) == forth {
				break
			}
		}
		if len(pairs) == forth {
			break
		}
	}
	u, v := d.u, d.v
	d.uses = pairs[0][:]
	for _, p := range pairs[1:] {
		id := int32(len(w.edges[own]))
		w.edges[own] = append(w.edges[own], edge{u: u, v: v, uses: p[:]})
		for _, h := range p {
			w.edgeOf[own][h.t][h.c] = id
		}
	}
	return nil
}

// around sorts the triangles at an edge counter-clockwise about the direction
// from u to v, beginning with the first.
func (w *weave) around(own int, d *edge) []use {
	o := w.op[own]
	p, q := o.v[d.u], o.v[d.v]
	apex := func(u use) vec { return o.v[o.t[u.t][(u.c+2)%3]] }
	first := apex(d.uses[0])
	// half is 0 for directions within half a turn of the first.
	half := func(x vec) int {
		switch s := exact.Orient3D(p, q, first, x); {
		case s > 0:
			return 0
		case s < 0:
			return 1
		case behind(p, q, first, x):
			return 1
		}
		return 0
	}
	uses := slices.Clone(d.uses)
	slices.SortStableFunc(uses, func(a, b use) int {
		x, y := apex(a), apex(b)
		if c := half(x) - half(y); c != 0 {
			return c
		}
		if c := -exact.Orient3D(p, q, x, y); c != 0 {
			return c
		}
		return 0
	})
	return uses
}

// behind tells for x in the plane of p, q and y whether the line pq parts it
// from y.
func behind(p, q, y, x vec) bool {
	for k := range 3 {
		a := exact.Orient2D(exact.Drop(p, k), exact.Drop(q, k), exact.Drop(y, k))
		b := exact.Orient2D(exact.Drop(p, k), exact.Drop(q, k), exact.Drop(x, k))
		if a != 0 && b != 0 {
			return a != b
		}
	}
	return false
}

// join makes the points and segments of all pairs.
func (w *weave) join(pairs []pair) error {
	// By edge and triangle of the other operand.
	made := [2]*table{newTable(len(pairs)), newTable(len(pairs))}
	segs := make([]segment, len(pairs))
	for i := range pairs {
		p := &pairs[i]
		s := &segs[i]
		n := 0
		for _, h := range p.hits {
			t, other := p.a, p.b
			if h.own == 1 {
				t, other = p.b, p.a
			}
			e := w.edgeOf[h.own][t][h.edge]
			k := key(e, other)
			id, ok := made[h.own].get(k)
			if !ok {
				id = int32(len(w.points))
				made[h.own].add(k, id)
				d := &w.edges[h.own][e]
				forth := w.op[h.own].t[t][h.edge] == d.u
				w.points = append(w.points, point{own: h.own, edge: e, tri: other, enters: h.enters == forth})
				d.points = append(d.points, id)
			}
			if (h.own == 1) == h.enters {
				s.from = id
				n |= 1
			} else {
				s.to = id
				n |= 2
			}
		}
		if n != 3 {
			return errInternal("a cut without a direction")
		}
	}
	workers(len(w.points), func(_, from, to int) {
		for i := from; i < to; i++ {
			p := &w.points[i]
			d := &w.edges[p.own][p.edge]
			v := w.op[p.own].v
			p.at = w.motion.place(int(p.own), v[d.u], v[d.v], w.station(int(p.own), p.tri))
		}
	})
	for own := range 2 {
		w.cuts[own] = cutsOf(own, pairs, segs, len(w.op[own].t))
	}
	return nil
}

// cutsOf sorts the segments of pairs by the triangles of one operand, of which
// there are n. Those of one triangle stay in order.
func cutsOf(own int, pairs []pair, segs []segment, n int) []cut {
	tri := func(p *pair) int32 {
		if own == 0 {
			return p.a
		}
		return p.b
	}
	next := make([]int32, n+1) // where the segments of a triangle go
	cuts := 0
	for i := range pairs {
		t := tri(&pairs[i])
		if next[t+1] == 0 {
			cuts++
		}
		next[t+1]++
	}
	for t := range n {
		next[t+1] += next[t]
	}
	sorted := make([]segment, len(pairs))
	for i := range pairs {
		t := tri(&pairs[i])
		sorted[next[t]] = segs[i]
		next[t]++
	}
	out := make([]cut, 0, cuts)
	from := int32(0)
	for t := range n {
		if to := next[t]; to > from {
			out = append(out, cut{int32(t), sorted[from:to:to]})
			from = to
		}
	}
	return out
}

// station returns the triangle of the operand that is not own.
func (w *weave) station(own int, tri int32) station {
	a, b, c := w.op[1-own].corners(tri)
	return station{a, b, c}
}

func (w *weave) sort(own int, e *edge) {
	if len(e.points) < 2 {
		return
	}
	o := w.op[own]
	slices.SortFunc(e.points, func(i, j int32) int {
		p, q := w.points[i], w.points[j]
		if c := w.motion.before(own, o.v[e.u], o.v[e.v], w.station(own, p.tri), w.station(own, q.tri)); c != 0 {
			return -c
		}
		return int(p.tri - q.tri)
	})
}

// place computes where the edge uv of operand own passes a triangle of the
// other. When float64 cannot promise the position to a small part of a float32
// unit, rationals are used.
func (m *motion) place(own int, u, v vec, s station) (p [3]float64) {
	su, eu := exact.Volume(s.a, s.b, s.c, u)
	sv, ev := exact.Volume(s.a, s.b, s.c, v)
	d := su - sv
	t := 0.0
	switch {
	case abs(d) > 0x1p30*(eu+ev):
		t = su / d
	case m != nil:
		t = ratio(m.volume(1-own, s.a, s.b, s.c, u), m.volume(1-own, s.a, s.b, s.c, v))
	default:
		nu, _ := exact.VolumeExact(s.a, s.b, s.c, u)
		nv, _ := exact.VolumeExact(s.a, s.b, s.c, v)
		t, _ = new(big.Rat).SetFrac(nu, nv.Sub(nu, nv)).Float64()
	}
	for k := range 3 {
		x, y := float64(u[k]), float64(v[k])
		if t <= 0.5 {
			p[k] = x + float64(t*(y-x))
		} else {
			p[k] = y - float64((1-t)*(y-x))
		}
	}
	return p
}
