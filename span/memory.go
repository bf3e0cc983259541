package span

import "sync"

// A memory is what one sheet is measured in. It is used again for the next: a survey
// measures hundreds and a plan thousands, and fresh memory, with what it leaves to
// the collector, took a tenth of their time. What lies in it is gone when it is
// given back.
type memory struct {
	floats arena[float64]
	ints   arena[int32]
	bools  arena[bool]
}

var memories = sync.Pool{New: func() any { return new(memory) }}

func takeMemory() *memory { return memories.Get().(*memory) }

func (m *memory) done() {
	m.floats.used, m.ints.used, m.bools.used = 0, 0, 0
	memories.Put(m)
}

// An arena gives out slices of one block.
type arena[T any] struct {
	block []T
	used  int
}

// take returns n zeroes.
func (a *arena[T]) take(n int) []T {
	if len(a.block)-a.used < n {
		a.block, a.used = make([]T, max(2*len(a.block), n)), 0 // what was given out keeps the old block
	}
	out := a.block[a.used : a.used+n : a.used+n]
	a.used += n
	clear(out)
	return out
}

// measured returns the sheet as it is measured in m.
func (s *sheet) measured(m *memory) *sheet {
	out := *s
	out.mem = m
	return &out
}

// floats, ints and bools return zeroes in the memory of a sheet that is measured,
// else in memory of their own.

func (s *sheet) floats(n int) []float64 {
	if s.mem == nil {
		return make([]float64, n)
	}
	return s.mem.floats.take(n)
}

func (s *sheet) ints(n int) []int32 {
	if s.mem == nil {
		return make([]int32, n)
	}
	return s.mem.ints.take(n)
}

func (s *sheet) bools(n int) []bool {
	if s.mem == nil {
		return make([]bool, n)
	}
	return s.mem.bools.take(n)
}

// spareSheets are those that nobody will look at again: the next are laid out in
// their memory.
var spareSheets = sync.Pool{New: func() any { return new(sheet) }}
