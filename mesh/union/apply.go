package union

import (
	"math/bits"

	"falsework/mesh"
)

// apply carries out a change: what stays of the part comes first, in order,
// then what is new. Vertices that nothing uses any more go.
func (c *change) apply(part *mesh.Mesh) (*mesh.Mesh, []int32) {
	source := c.staying(len(part.Triangles))
	n := numbering(part, source, c.added)
	base := n.count()
	m := &mesh.Mesh{
		Vertices:  make([][3]float32, int(base)+len(c.fresh)),
		Triangles: make([][3]int32, len(source)+len(c.added)),
	}
	workers(len(part.Vertices), func(_, from, to int) {
		for v := from; v < to; v++ {
			if n.has(int32(v)) {
				m.Vertices[n.of(int32(v))] = part.Vertices[v]
			}
		}
	})
	copy(m.Vertices[base:], c.fresh)
	workers(len(source), func(_, from, to int) {
		for i := from; i < to; i++ {
			k := &part.Triangles[source[i]]
			m.Triangles[i] = [3]int32{n.of(k[0]), n.of(k[1]), n.of(k[2])}
		}
	})
	added := m.Triangles[len(source):]
	for i, k := range c.added {
		for e, v := range k {
			if v >= 0 {
				k[e] = n.of(v)
			} else {
				k[e] = base + (-1 - v)
			}
		}
		added[i] = k
		source = append(source, -1)
	}
	return m, source
}

// staying lists the triangles of a part of n that stay, with room for what is
// added.
func (c *change) staying(n int) []int32 {
	source := make([]int32, 0, n+len(c.added))
	next := 0
	run := func(to int) {
		if c.keepRest {
			for ; next < to; next++ {
				source = append(source, int32(next))
			}
		}
	}
	for j, t := range c.touched {
		run(int(t))
		if c.stay[j] {
			source = append(source, t)
		}
		next = int(t) + 1
	}
	run(n)
	return source
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
func numbering(part *mesh.Mesh, triangles []int32, added [][3]int32) *numbers {
	words := (len(part.Vertices) + 63) / 64
	n := &numbers{make([]uint64, words), make([]int32, words+1)}
	each := make([][]uint64, limit(len(triangles))) // bits of each worker
	workers(len(triangles), func(w, from, to int) {
		each[w] = make([]uint64, words)
		used := each[w]
		for _, t := range triangles[from:to] {
			for _, v := range part.Triangles[t] {
				used[v>>6] |= 1 << (v & 63)
			}
		}
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

func (n *numbers) has(v int32) bool { return n.used[v>>6]>>(v&63)&1 != 0 }

func (n *numbers) of(v int32) int32 {
	return n.before[v>>6] + int32(bits.OnesCount64(n.used[v>>6]&(1<<(v&63)-1)))
}
