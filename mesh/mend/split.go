package mend

import (
	"cmp"
	"slices"

	"falsework/mesh"
)

// split mends T-junctions: an open edge with vertices of the rim on it, within
// the tolerance, is split at them where that makes edges that others have
// too. No vertex moves; the edge bends by the tolerance at most.
func (w *work) split() error {
	if !w.has(mesh.OpenEdge) || w.torn() {
		return nil
	}
	cuts := w.cuts()
	if w.ctx.Err() != nil {
		return w.ctx.Err()
	}
	w.useful(cuts)
	n := 0
	for _, ps := range cuts {
		n += min(len(ps), 1)
	}
	if n == 0 {
		return nil
	}
	m := &mesh.Mesh{Vertices: w.m.Vertices}
	var src []int32
	var at [3]float64
	noted := false
	for t, tri := range w.m.Triangles {
		on := [3][]int32{cuts[int32(3*t)], cuts[int32(3*t+1)], cuts[int32(3*t+2)]}
		if len(on[0])+len(on[1])+len(on[2]) == 0 {
			m.Triangles, src = append(m.Triangles, tri), append(src, int32(t))
			continue
		}
		if !noted {
			at, noted = w.middle(t), true
		}
		for _, p := range pieces(tri, on) {
			m.Triangles, src = append(m.Triangles, p), append(src, -1)
		}
	}
	a, err := m.Audit(w.ctx)
	if err != nil {
		return err
	}
	if badness(a) < w.bad() {
		w.note(TJunction, n, at, 0)
		w.adopt(m, src, a)
	}
	return nil
}

// cuts returns, by open half-edge, the rim vertices that lie on it, in its
// direction; none where there are so many that these cannot be T-junctions,
// of which a vertex has one or two.
func (w *work) cuts() map[int32][]int32 {
	rim := w.rim()
	c := newCloud(rim, func(v int32) [3]float64 { return wide(w.m.Vertices[v]) })
	cuts := map[int32][]int32{}
	n, most := 0, 64+8*len(rim)
	for t, hs := range w.a.Mates {
		if t&0xff == 0 && w.ctx.Err() != nil {
			return nil
		}
		for k, mate := range hs {
			if h := int32(3*t + k); mate == mesh.None && !broken(w.m.Triangles[t]) {
				if on := w.on(h, c); len(on) > 0 {
					cuts[h] = on
					n += len(on)
				}
				if n > most {
					return nil
				}
			}
		}
	}
	return cuts
}

// ends returns the points a half-edge runs between.
func (w *work) ends(h int32) (a, b [3]float64) {
	return wide(w.m.Corner(int(h/3), int(h%3))), wide(w.m.Corner(int(h/3), int(h%3+1)%3))
}

// on returns the vertices of the cloud within the tolerance of a half-edge and
// not at its ends, in its direction.
func (w *work) on(h int32, c *cloud) []int32 {
	tri := w.m.Triangles[h/3]
	a, b := w.ends(h)
	d := minus(b, a)
	l2 := dot(d, d)
	if l2 == 0 {
		return nil
	}
	type place struct {
		v int32
		s float64
	}
	var found []place
	c.along(a, b, w.tol, func(v int32, q [3]float64) {
		if v == tri[0] || v == tri[1] || v == tri[2] {
			return
		}
		s := dot(minus(q, a), d) / l2
		foot := [3]float64{a[0] + s*d[0], a[1] + s*d[1], a[2] + s*d[2]}
		if s > 0 && s < 1 && distance(q, foot) <= w.tol && distance(q, a) > w.tol && distance(q, b) > w.tol {
			found = append(found, place{v, s})
		}
	})
	slices.SortFunc(found, func(p, q place) int { return cmp.Or(cmp.Compare(p.s, q.s), cmp.Compare(p.v, q.v)) })
	vs := make([]int32, len(found))
	for i, f := range found {
		vs[i] = f.v
	}
	return vs
}

// useful removes cuts none of whose pieces meets an open edge or another
// piece.
func (w *work) useful(cuts map[int32][]int32) {
	for {
		count := map[[2]int32]int{}
		each := func(h int32, f func(e [2]int32)) {
			u := w.m.Triangles[h/3][h%3]
			for _, v := range append(slices.Clone(cuts[h]), w.m.Triangles[h/3][(h%3+1)%3]) {
				f(edge(u, v))
				u = v
			}
		}
		for t, hs := range w.a.Mates {
			for c, h := range hs {
				if h == mesh.None && !broken(w.m.Triangles[t]) {
					each(int32(3*t+c), func(e [2]int32) { count[e]++ })
				}
			}
		}
		var vain []int32
		for h := range cuts {
			met := false
			each(h, func(e [2]int32) { met = met || count[e] > 1 })
			if !met {
				vain = append(vain, h)
			}
		}
		if len(vain) == 0 {
			return
		}
		for _, h := range vain {
			delete(cuts, h)
		}
	}
}

// pieces cuts a triangle at vertices on its sides: a fan for the first side
// that has some, then the outer triangles of the fan at theirs.
func pieces(t [3]int32, on [3][]int32) [][3]int32 {
	for c := range 3 {
		if len(on[c]) == 0 {
			continue
		}
		u, v, x := t[c], t[(c+1)%3], t[(c+2)%3]
		chain := append(append([]int32{u}, on[c]...), v)
		var out [][3]int32
		for i := range len(chain) - 1 {
			var sides [3][]int32 // of the triangle chain[i], chain[i+1], x
			if i == len(chain)-2 {
				sides[1] = on[(c+1)%3]
			}
			if i == 0 {
				sides[2] = on[(c+2)%3]
			}
			out = append(out, pieces([3]int32{chain[i], chain[i+1], x}, sides)...)
		}
		return out
	}
	return [][3]int32{t}
}
