package mend

import (
	"slices"

	"falsework/mesh"
)

// dropBroken drops triangles that name a vertex twice. To their neighbours it
// makes no difference.
func (w *work) dropBroken() error {
	if !w.has(mesh.Degenerate) {
		return nil
	}
	n, first := 0, -1
	m, src := w.keep(func(t int) bool {
		if !broken(w.m.Triangles[t]) {
			return false
		}
		if first < 0 {
			first = t
		}
		n++
		return true
	})
	if n == 0 {
		return nil
	}
	w.note(Degenerate, n, w.middle(first), 0)
	return w.take(m, src)
}

func broken(t [3]int32) bool { return t[0] == t[1] || t[1] == t[2] || t[2] == t[0] }

func (w *work) middle(t int) (p [3]float64) {
	for c := range 3 {
		for i, x := range w.m.Corner(t, c) {
			p[i] += float64(x) / 3
		}
	}
	return p
}

// sorted returns the corners of a triangle in rising order, and whether that
// is a rotation of it (and not of its reverse).
func sorted(t [3]int32) (key [3]int32, forth bool) {
	key = t
	slices.Sort(key[:])
	return key, t == key || t == [3]int32{key[1], key[2], key[0]} || t == [3]int32{key[2], key[0], key[1]}
}

// dropDuplicates keeps of triangles with the same corners one or none: the
// one that the other triangles at its edges want. Two that lie back to back
// between bodies that share a whole facet both go, and the bodies are one.
func (w *work) dropDuplicates() error {
	if !w.has(mesh.Duplicate) {
		return nil
	}
	sets := map[[3]int32][]int{} // by corners, the triangles with them
	for t, tri := range w.m.Triangles {
		key, _ := sorted(tri)
		sets[key] = append(sets[key], t)
	}
	around := w.around(sets)
	best := func(key [3]int32, ts []int) []int {
		keep := w.wanted(key, ts, around)
		return slices.DeleteFunc(slices.Clone(ts), func(t int) bool { return t == keep })
	}
	done, err := w.dropSome(sets, best)
	if done || err != nil {
		return err
	}
	// Where that opens edges, as where facets are folded onto each other, two
	// back to back still go: that changes no balance.
	_, err = w.dropSome(sets, w.backToBack)
	return err
}

// dropSome drops of each set of triangles with the same corners those that
// choose names, unless that opens edges, and tells whether it did.
func (w *work) dropSome(sets map[[3]int32][]int, choose func(key [3]int32, ts []int) []int) (bool, error) {
	drop := make([]bool, len(w.m.Triangles))
	n, first := 0, -1
	for t, tri := range w.m.Triangles {
		key, _ := sorted(tri)
		ts := sets[key]
		if len(ts) < 2 || ts[0] != t {
			continue
		}
		for _, s := range choose(key, ts) {
			drop[s] = true
			n++
			if first < 0 || s < first {
				first = s
			}
		}
	}
	if n == 0 {
		return false, nil
	}
	m, src := w.keep(func(t int) bool { return drop[t] })
	a, err := m.Audit(w.ctx)
	if err != nil || badness(a) > w.bad() {
		return false, err
	}
	w.note(Duplicate, n, w.middle(first), 0)
	w.adopt(m, src, a)
	return true, nil
}

// backToBack returns as many triangles that run one way as run the other.
func (w *work) backToBack(_ [3]int32, ts []int) []int {
	var forth, back []int
	for _, t := range ts {
		if _, f := sorted(w.m.Triangles[t]); f {
			forth = append(forth, t)
		} else {
			back = append(back, t)
		}
	}
	k := min(len(forth), len(back))
	return append(forth[:k:k], back[:k]...)
}

// uses says how the triangles that are there once use an edge: how many, and
// how many more run from the lesser vertex to the greater than back.
type uses struct{ n, net int }

// around returns the uses of the edges of duplicates by all other triangles.
func (w *work) around(sets map[[3]int32][]int) map[[2]int32]uses {
	of := map[[2]int32]uses{}
	for key, ts := range sets {
		if len(ts) > 1 {
			for i := range 3 {
				of[edge(key[i], key[(i+1)%3])] = uses{}
			}
		}
	}
	for _, tri := range w.m.Triangles {
		key, _ := sorted(tri)
		if len(sets[key]) > 1 {
			continue
		}
		for i := range 3 {
			u, v := tri[i], tri[(i+1)%3]
			if x, ok := of[edge(u, v)]; ok {
				x.n++
				if u < v {
					x.net++
				} else {
					x.net--
				}
				of[edge(u, v)] = x
			}
		}
	}
	return of
}

// wanted returns which of triangles with the same corners stays, -1 for none:
// what leaves the least unbalanced at the edges that other triangles use too,
// and between equals one of the sort that is there more often.
func (w *work) wanted(key [3]int32, ts []int, around map[[2]int32]uses) int {
	up, down, net := -1, -1, 0 // the first that runs as key does, the first that does not
	for _, t := range ts {
		if _, forth := sorted(w.m.Triangles[t]); forth {
			net++
			if up < 0 {
				up = t
			}
		} else {
			net--
			if down < 0 {
				down = t
			}
		}
	}
	cost := func(way int) (c int) { // way 1 runs as key does, -1 the other way, 0 is none
		for i, side := range [3]int{1, 1, -1} {
			if x := around[edge(key[i], key[(i+1)%3])]; x.n > 0 {
				c += max(x.net+side*way, -x.net-side*way)
			}
		}
		return c
	}
	best, least := -1, cost(0)
	if net == 0 {
		least-- // between equals, both go
	} else {
		least++
	}
	for _, o := range []struct{ t, way int }{{up, 1}, {down, -1}} {
		if o.t < 0 {
			continue
		}
		c := cost(o.way)
		if c < least || c == least && o.way*net > 0 {
			best, least = o.t, c
		}
	}
	return best
}

func edge(u, v int32) [2]int32 { return [2]int32{min(u, v), max(u, v)} }
