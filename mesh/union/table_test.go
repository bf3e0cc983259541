package union

import (
	"testing"

	"pgregory.net/rapid"

	"falsework/mesh/meshtest/property"
)

// A table does what a map does.
func TestTableAgainstMap(t *testing.T) {
	property.Check(t, func(t *rapid.T) {
		n := int32(rapid.IntRange(2, 40).Draw(t, "vertices"))
		tb, m := newTable(rapid.IntRange(0, 30).Draw(t, "room")), map[uint64]int32{}
		for range rapid.IntRange(0, 400).Draw(t, "steps") {
			u := rapid.Int32Range(-n, n).Draw(t, "u")
			v := rapid.Int32Range(-n, n).Draw(t, "v")
			if u == v {
				continue
			}
			k := key(u, v)
			switch rapid.IntRange(0, 2).Draw(t, "do") {
			case 0:
				m[k]++
				*tb.at(k) += 1
			case 1:
				delete(m, k)
				tb.drop(k)
			}
			want, ok := m[k]
			if got, found := tb.get(k); found != ok || found && got != want {
				t.Fatalf("edge %d %d: %d %v, want %d %v", u, v, got, found, want, ok)
			}
		}
		seen := 0
		tb.all(func(k uint64, v int32) bool {
			if w, ok := m[k]; !ok || w != v {
				t.Fatalf("edge %x: %d, want %d %v", k, v, w, ok)
			}
			seen++
			return true
		})
		if seen != len(m) || tb.n != len(m) {
			t.Fatalf("%d edges, %d counted, want %d", seen, tb.n, len(m))
		}
	})
}
