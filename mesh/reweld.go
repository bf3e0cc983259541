package mesh

import (
	"context"
	"math/bits"
	"math/rand/v2"
	"slices"
	"sync/atomic"

	"falsework/mesh/par"
)

// Reweld reads back what was written of m: it returns the surface that
// [Weld] makes of the records, its vertices numbered otherwise at most. Where
// the records are the triangles of m in their order, bit for bit, and no
// welding could join or drop a vertex of m, that is m itself, which is found
// out in half the time that welding takes, without a second surface. The only error is that of
// ctx.
func Reweld(ctx context.Context, records []byte, m *Mesh) (*Mesh, error) {
	holds, err := m.isIn(ctx, records)
	if err == nil && holds {
		holds, err = m.distinct(ctx)
	}
	if err != nil {
		return nil, err
	}
	if holds {
		return m, nil
	}
	return Weld(ctx, records)
}

// isIn tells whether the records are the triangles of m in their order,
// corner for corner and bit for bit.
func (m *Mesh) isIn(ctx context.Context, records []byte) (bool, error) {
	if len(records)/RecordSize != len(m.Triangles) {
		return false, nil
	}
	var other atomic.Bool
	err := par.Range(ctx, len(m.Triangles), 1<<14, func(lo, hi int) {
		for t := lo; t < hi && !other.Load(); t++ {
			rec := records[t*RecordSize+12 : t*RecordSize+48]
			for c, v := range m.Triangles[t] {
				xy, z := bitsOf(&m.Vertices[v])
				if a, b := raw(rec[12*c : 12*c+12]); a != xy || b != z {
					other.Store(true)
				}
			}
		}
	})
	return !other.Load(), err
}

// distinct tells whether no two vertices have the same coordinates, none is
// written with -0, and every one has a triangle.
//
// Each worker looks at the places whose hash falls to it, in a table of its
// own: there are six corners to a vertex, so this costs less than to weld.
func (m *Mesh) distinct(ctx context.Context) (bool, error) {
	workers := min(par.Workers(len(m.Vertices), 4096), 16)
	seed := [2]uint64{rand.Uint64(), rand.Uint64()}
	var no atomic.Bool
	par.Each(workers+1, func(k int) {
		if k == workers {
			if !m.allUsed() {
				no.Store(true)
			}
			return
		}
		t := &places{m: m, table: make([]slot, 1<<bits.Len(uint(len(m.Vertices)/workers*3/2+64)))}
		for v := range m.Vertices {
			if v&0xffff == 0 && (ctx.Err() != nil || no.Load()) {
				return
			}
			xy, z := bitsOf(&m.Vertices[v])
			h := hash(seed, xy, z)
			if owner, _ := bits.Mul64(h, uint64(workers)); owner != uint64(k) {
				continue
			}
			negative := uint32(xy) == minusZero || xy>>32 == minusZero || z == minusZero
			if negative || !t.add(v, h) {
				no.Store(true)
				return
			}
		}
		if !t.flush() {
			no.Store(true)
		}
	})
	return !no.Load(), ctx.Err()
}

// places are those of vertices entered so far. Vertices wait until there are
// many, so that their slots, far off in memory, are fetched side by side.
type places struct {
	m      *Mesh
	table  []slot // open addressing
	held   int
	wait   [lookups]int32
	hashes [lookups]uint64 // of those that wait
	n      int             // how many wait
}

// add enters a vertex, now or later, and tells whether all is well so far: no
// two in one place, and room in the table, which ill luck alone can fill.
func (p *places) add(v int, h uint64) bool {
	p.wait[p.n], p.hashes[p.n] = int32(v), h
	p.n++
	return p.n < len(p.wait) || p.flush()
}

// flush enters those that wait.
func (p *places) flush() bool {
	mask := uint64(len(p.table) - 1)
	fetch(p.table, p.hashes[:p.n])
	if p.held += p.n; p.held > len(p.table)*3/4 {
		return false
	}
	for k, v := range p.wait[:p.n] {
		h := p.hashes[k]
		i := h & mask
		for ; p.table[i] != 0; i = (i + 1) & mask {
			if p.table[i].may(h) && p.m.Vertices[p.table[i].vertex()] == p.m.Vertices[v] {
				return false
			}
		}
		p.table[i] = slotOf(int(v), h)
	}
	p.n = 0
	return true
}

// allUsed tells whether every vertex has a triangle.
func (m *Mesh) allUsed() bool {
	used := make([]bool, len(m.Vertices))
	for _, t := range m.Triangles {
		for _, v := range t {
			used[v] = true
		}
	}
	return !slices.Contains(used, false)
}
