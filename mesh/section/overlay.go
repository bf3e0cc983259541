package section

import "sync"

// An overlay is the memory that one overlay of regions works in. A survey and a plan
// make thousands, most of them small: what they left to the collector, and fresh
// memory, took a good part of their time. Nothing of it stays in a result.
type overlay struct {
	es     []edge    // as the operands give them
	split  []edge    // by node
	dealt  []edge    // by sortEdges
	begin  []int32   // of stacks
	keys   []uint64  // of points
	active [][]int32 // by strip: edges that the sweep has not passed
	cross  []ipt     // crossings
	rest   []ipt     // second ends and crossings
	hot    []ipt     // all of them
	start  []int32   // of strips
	pts    []ipt     // hot points by strip
	ends   []ipt
	above  [][2]int32
	status []int32
	halves []half
	used   []bool
	path   []ipt
}

var overlays = sync.Pool{New: func() any { return new(overlay) }}

// takeOverlay returns memory to work in; it is to be given back.
func takeOverlay() *overlay { return overlays.Get().(*overlay) }

// done gives the memory back, with the edges that were made in it.
func (o *overlay) done(es []edge) {
	if cap(es) > cap(o.es) {
		o.es = es
	}
	overlays.Put(o)
}

// room returns n values in *b, which grows where it must. They are what they were.
func room[T any](b *[]T, n int) []T {
	if cap(*b) < n {
		*b = make([]T, n, n+n/4)
	}
	return (*b)[:n]
}

// zeroes is room with values that are zero.
func zeroes[T any](b *[]T, n int) []T {
	out := room(b, n)
	clear(out)
	return out
}
