package rib

import (
	"errors"
	"fmt"
	"runtime"
	"sync/atomic"
	"testing"

	"falsework/mesh/meshtest"
)

// Below the lowest number that says no, everything is run, whatever the number
// of cores.
func TestEachFinishesWhatComesBefore(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, cores := range []int{1, 2, 7} {
		runtime.GOMAXPROCS(cores)
		for stop := range 40 {
			var ran [40]atomic.Bool
			each(len(ran), func(i int) bool {
				ran[i].Store(true)
				return i < stop
			})
			for i := range stop + 1 {
				if !ran[i].Load() {
					t.Fatalf("%d cores, no at %d: %d was not run", cores, stop, i)
				}
			}
		}
	}
}

// An answer is worked out once, errors too.
func TestStoreAsksOnce(t *testing.T) {
	var s store[int, int]
	var asked [3]atomic.Int32
	wrong := errors.New("odd")
	each(300, func(i int) bool {
		k := i % 3
		v, err := s.get(k, func() (int, error) {
			asked[k].Add(1)
			if k == 1 {
				return 0, wrong
			}
			return 10 * k, nil
		})
		if k == 1 && err != wrong || k != 1 && (v != 10*k || err != nil) {
			t.Errorf("%d: %d, %v", k, v, err)
		}
		return true
	})
	for k := range asked {
		if n := asked[k].Load(); n != 1 {
			t.Errorf("%d was asked %d times", k, n)
		}
	}
}

// The same plan from one core and from several.
func TestCoresDoNotMatter(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var first string
	for _, cores := range []int{1, 2, 5} {
		runtime.GOMAXPROCS(cores)
		got := planText(t)
		if first == "" {
			first = got
		}
		if got != first {
			t.Errorf("%d cores plan\n%s\none plans\n%s", cores, got, first)
		}
	}
}

// planText is the plan of a roof over a room with a window, in words and
// figures.
func planText(t *testing.T) string {
	part := meshtest.Blocks(meshtest.Add(0, 0, 0, 130, 90, 70), meshtest.Cut(3, 3, -1, 127, 87, 67), meshtest.Cut(20, -1, 10, 105, 4, 50))
	s := surveyOf(t, part)
	p, err := Make(t.Context(), part, s, DefaultSettings(s.Settings))
	if err != nil {
		t.Fatal(err)
	}
	if p.Ribbed() == 0 {
		t.Fatal("nothing is ribbed: this compares nothing")
	}
	return fmt.Sprint(p.Ceilings, p.Totals, p.Warnings)
}
