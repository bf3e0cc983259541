package span

import (
	"math"
	"reflect"
	"testing"
)

// A sheet laid out and measured in memory that others have left is as one in memory
// of its own.
func TestUsedMemory(t *testing.T) {
	fill := func(n int) *sheet { // what is left of a sheet of so many nodes
		s := &sheet{id: make([]int32, n), at: make([]int32, n), pts: make([]Point, n), z: make([]float64, n), clear: make([]int32, n), room: make([]int16, n)}
		for i := range n {
			s.id[i], s.at[i], s.pts[i], s.z[i], s.clear[i], s.room[i] = 7, 7, Point{7, 7}, math.NaN(), 7, 7
		}
		return s
	}
	m := new(memory)
	dirty := func() {
		for _, n := range []int{1000, 200_000} {
			f, i, b := m.floats.take(n), m.ints.take(n), m.bools.take(n)
			for k := range n {
				f[k], i[k], b[k] = math.NaN(), 7, true
			}
		}
		m.done()
	}
	for _, c := range flatShapes {
		fresh := c.p.sheet()
		want := fresh.measure(limits{most: 70}, 2, 45)
		for _, n := range []int{10, 1_000_000} {
			spareSheets.Put(fill(n))
			s := c.p.sheet()
			if !reflect.DeepEqual(s.id, fresh.id) || !reflect.DeepEqual(s.pts, fresh.pts) || !reflect.DeepEqual(s.z, fresh.z) ||
				!reflect.DeepEqual(s.clear, fresh.clear) || !reflect.DeepEqual(s.room, fresh.room) {
				t.Errorf("%s: laid out otherwise in what %d nodes left", c.name, n)
			}
			dirty()
			if got := s.measured(m).measure(limits{most: 70}, 2, 45); !reflect.DeepEqual(got, want) {
				t.Errorf("%s: %+v in used memory, %+v", c.name, got.span, want.span)
			}
		}
	}
}

// What an arena gave out stays when it needs a larger block.
func TestArenaGrows(t *testing.T) {
	var a arena[int32]
	first := a.take(3)
	first[0] = 1
	second := a.take(1000)
	second[0] = 2
	third := a.take(1000)
	if first[0] != 1 || second[0] != 2 || third[0] != 0 || len(first) != 3 || cap(first) != 3 {
		t.Errorf("%d %d %d", first[0], second[0], third[0])
	}
}
