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
	balance := map[[2]int32]int{} // of the edges of duplicates: uses up minus uses down, by all others
	for key, ts := range sets {
		if len(ts) > 1 {
			for i := range 3 {
				balance[edge(key[i], key[(i+1)%3])] = 0
			}
		}
	}
	for t, tri := range w.m.Triangles {
		key, _ := sorted(tri)
		if len(sets[key]) > 1 {
			continue
		}
		for i := range 3 {
			u, v := w.m.Triangles[t][i], w.m.Triangles[t][(i+1)%3]
			if b, ok := balance[edge(u, v)]; ok {
				if u < v {
					balance[edge(u, v)] = b + 1
				} else {
					balance[edge(u, v)] = b - 1
				}
			}
		}
	}
	drop := make([]bool, len(w.m.Triangles))
	n, first := 0, -1
	for t, tri := range w.m.Triangles {
		key, _ := sorted(tri)
		ts := sets[key]
		if len(ts) < 2 || ts[0] != t {
			continue
		}
		keep := w.wanted(key, ts, balance)
		for _, s := range ts {
			if s != keep {
				drop[s] = true
				n++
				if first < 0 || s < first {
					first = s
				}
			}
		}
	}
	if n == 0 {
		return nil
	}
	w.note(Duplicate, n, w.middle(first), 0)
	return w.take(w.keep(func(t int) bool { return drop[t] }))
}

// wanted returns which of triangles with the same corners stays, -1 for none.
func (w *work) wanted(key [3]int32, ts []int, balance map[[2]int32]int) int {
	up, down := -1, -1 // the first that runs as key does, and the first that does not
	net := 0
	for i, t := range ts {
		if _, forth := sorted(w.m.Triangles[t]); forth {
			if up < 0 {
				up = ts[i]
			}
			net++
		} else {
			if down < 0 {
				down = ts[i]
			}
			net--
		}
	}
	// A triangle that runs as its sorted corners adds 1 to its first two edges and takes 1 from the third.
	need := -balance[edge(key[0], key[1])] - balance[edge(key[1], key[2])] + balance[edge(key[0], key[2])]
	switch {
	case need > 0 && up >= 0, need == 0 && net > 0 && up >= 0:
		return up
	case need < 0 && down >= 0, need == 0 && net < 0 && down >= 0:
		return down
	case need == 0:
		return -1
	}
	return ts[0] // faces the wrong way; turned later
}

func edge(u, v int32) [2]int32 { return [2]int32{min(u, v), max(u, v)} }
