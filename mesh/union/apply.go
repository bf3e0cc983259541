package union

import (
	"math/bits"
	"sort"

	"falsework/mesh"
)

// apply carries out a change: what stays of the part comes first, in order,
// then what is new. Vertices that nothing uses any more go.
func (c *change) apply(part *mesh.Mesh) (*mesh.Mesh, []int32) {
	runs := c.staying(len(part.Triangles))
	stay := 0
	if n := len(runs); n > 0 {
		stay = runs[n-1].at + runs[n-1].to - runs[n-1].from
	}
	n := numbering(part, runs, c.added)
	base := n.count()
	m := &mesh.Mesh{
		Vertices:  make([][3]float32, int(base)+len(c.fresh)),
		Triangles: make([][3]int32, stay+len(c.added)),
	}
	workers(len(n.used), func(_, from, to int) { n.copy(m.Vertices, part.Vertices, from, to) })
	copy(m.Vertices[base:], c.fresh)
	source := make([]int32, len(m.Triangles))
	workers(stay, func(_, from, to int) {
		share(runs, from, to, func(r stretch) {
			old := part.Triangles[r.from:r.to]
			src := source[r.at : r.at+len(old)]
			for i, k := range old {
				m.Triangles[r.at+i] = [3]int32{n.of(k[0]), n.of(k[1]), n.of(k[2])}
				src[i] = int32(r.from + i)
			}
		})
	})
	for i, k := range c.added {
		for e, v := range k {
			if v >= 0 {
				k[e] = n.of(v)
			} else {
				k[e] = base + (-1 - v)
			}
		}
		m.Triangles[stay+i] = k
		source[stay+i] = -1
	}
	return m, source
}

// A stretch is triangles of the part that follow each other and stay; at is where
// the first of them comes to lie.
type stretch struct{ from, to, at int }

// staying lists the triangles of a part of n that stay.
func (c *change) staying(n int) (runs []stretch) {
	next, at := 0, 0
	upTo := func(to int) {
		if next < to {
			runs = append(runs, stretch{next, to, at})
			at += to - next
		}
	}
	for j, t := range c.touched {
		t := int(t)
		if !c.keepRest {
			next = t
		}
		if c.stay[j] {
			if !c.keepRest {
				upTo(t + 1)
			}
			continue
		}
		upTo(t)
		next = t + 1
	}
	if c.keepRest {
		upTo(n)
	}
	return runs
}

// share calls f for what of the runs comes to lie in from..to.
func share(runs []stretch, from, to int, f func(stretch)) {
	i := sort.Search(len(runs), func(i int) bool { return runs[i].at+runs[i].to-runs[i].from > from })
	for ; i < len(runs) && runs[i].at < to; i++ {
		r := runs[i]
		if d := from - r.at; d > 0 {
			r.from, r.at = r.from+d, from
		}
		if d := r.at + r.to - r.from - to; d > 0 {
			r.to -= d
		}
		f(r)
	}
}

// Numbers count vertices that are used: a bit for each, and how many come
// before a word of bits. That is small enough to stay in the nearer caches
// while a million triangles ask for their corners.
type numbers struct {
	used   []uint64
	before []int32 // one more than words
}

// numbering numbers the vertices of a part that some of its triangles or the
// added ones use.
func numbering(part *mesh.Mesh, runs []stretch, added [][3]int32) *numbers {
	words := (len(part.Vertices) + 63) / 64
	n := &numbers{make([]uint64, words), make([]int32, words+1)}
	stay := 0
	for _, r := range runs {
		stay += r.to - r.from
	}
	each := make([][]uint64, limit(stay)) // bits of each worker
	workers(stay, func(w, from, to int) {
		each[w] = make([]uint64, words)
		used := each[w]
		share(runs, from, to, func(r stretch) {
			for i := range part.Triangles[r.from:r.to] {
				k := &part.Triangles[r.from+i]
				used[k[0]>>6] |= 1 << (k[0] & 63)
				used[k[1]>>6] |= 1 << (k[1] & 63)
				used[k[2]>>6] |= 1 << (k[2] & 63)
			}
		})
	})
	for _, used := range each {
		for i, b := range used {
			n.used[i] |= b
		}
	}
	for _, k := range added {
		for _, v := range k {
			if v >= 0 {
				n.used[v>>6] |= 1 << (v & 63)
			}
		}
	}
	for i, b := range n.used {
		n.before[i+1] = n.before[i] + int32(bits.OnesCount64(b))
	}
	return n
}

func (n *numbers) count() int32 { return n.before[len(n.used)] }

// copy puts those of some words of old vertices that are used to their places.
func (n *numbers) copy(to, old [][3]float32, from, end int) {
	for i := from; i < end; i++ {
		at, used := int(n.before[i]), n.used[i]
		if used == ^uint64(0) {
			copy(to[at:at+64], old[i*64:])
			continue
		}
		for ; used != 0; used &= used - 1 {
			to[at] = old[i*64+bits.TrailingZeros64(used)]
			at++
		}
	}
}

func (n *numbers) of(v int32) int32 {
	return n.before[v>>6] + int32(bits.OnesCount64(n.used[v>>6]&(1<<(v&63)-1)))
}
