package union

import "math/bits"

// A table maps directed edges, see key, to numbers. It takes a third of the
// time of a map, and edges are what most of the time goes to. The two ends of
// an edge are different.
type table struct {
	keys []uint64
	vals []int32
	mask uint64
	n    int
}

// none is what free places hold: an edge from a vertex to itself.
const none = ^uint64(0)

// newTable makes a table with room for n edges; more may come.
func newTable(n int) *table {
	size := 1 << bits.Len(uint(n+n/2+8))
	t := &table{keys: make([]uint64, size), vals: make([]int32, size), mask: uint64(size - 1)}
	for i := range t.keys {
		t.keys[i] = none
	}
	return t
}

// scatter is a number that belongs to an edge.
func scatter(k uint64) uint64 {
	hi, lo := bits.Mul64(k^0x9e3779b97f4a7c15, bits.RotateLeft64(k, 32)^0xd1b54a32d192ed03)
	return hi ^ lo
}

// find returns the place of an edge, or the one where it would be put.
func (t *table) find(k uint64) uint64 {
	i := scatter(k) & t.mask
	for t.keys[i] != k && t.keys[i] != none {
		i = (i + 1) & t.mask
	}
	return i
}

func (t *table) get(k uint64) (int32, bool) {
	if i := t.find(k); t.keys[i] == k {
		return t.vals[i], true
	}
	return 0, false
}

// at returns where the number of an edge is kept, 0 when the edge is new. The
// place is good until the next call of at.
func (t *table) at(k uint64) *int32 {
	i := t.find(k)
	if t.keys[i] == none {
		if t.n*4 >= len(t.keys)*3 {
			t.grow()
			i = t.find(k)
		}
		t.keys[i], t.vals[i] = k, 0
		t.n++
	}
	return &t.vals[i]
}

// add puts in an edge that is new, and says whether it was.
func (t *table) add(k uint64, v int32) bool {
	n := t.n
	p := t.at(k)
	if t.n == n {
		return false
	}
	*p = v
	return true
}

func (t *table) grow() {
	old := *t
	*t = *newTable(len(old.keys))
	for i, k := range old.keys {
		if k != none {
			*t.at(k) = old.vals[i]
		}
	}
}

// drop takes an edge out: what was put behind it for want of its place moves
// up.
func (t *table) drop(k uint64) {
	i := t.find(k)
	if t.keys[i] != k {
		return
	}
	t.n--
	for j := i; ; {
		j = (j + 1) & t.mask
		if t.keys[j] == none {
			break
		}
		// It may move to i when i lies on the way from its own place to j.
		if home := scatter(t.keys[j]) & t.mask; (j-home)&t.mask >= (j-i)&t.mask {
			t.keys[i], t.vals[i] = t.keys[j], t.vals[j]
			i = j
		}
	}
	t.keys[i] = none
}

// all calls f for every edge, in an order that follows from the edges put in.
func (t *table) all(f func(k uint64, v int32) bool) {
	for i, k := range t.keys {
		if k != none && !f(k, t.vals[i]) {
			return
		}
	}
}
