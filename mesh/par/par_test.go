package par

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
)

func TestRangeCoversEachOnce(t *testing.T) {
	for _, n := range []int{0, 1, 7, 64, 1000} {
		hits := make([]int32, n)
		if err := Range(context.Background(), n, 7, func(lo, hi int) {
			for i := lo; i < hi; i++ {
				atomic.AddInt32(&hits[i], 1)
			}
		}); err != nil {
			t.Fatal(err)
		}
		for i, h := range hits {
			if h != 1 {
				t.Errorf("n %d: item %d visited %d times", n, i, h)
			}
		}
	}
}

func TestRangeStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	var n atomic.Int32
	err := Range(ctx, 1000, 1, func(lo, hi int) {
		if n.Add(1) == 3 {
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) || n.Load() > 10 {
		t.Errorf("err %v after %d ranges", err, n.Load())
	}
}

func TestPanicReachesTheCaller(t *testing.T) {
	defer func() {
		if p := recover(); p != "here" {
			t.Errorf("recovered %v", p)
		}
	}()
	Each(3, func(k int) {
		if k == 1 {
			panic("here")
		}
	})
}

func TestBegin(t *testing.T) {
	n := 0
	wait := Begin(func() { n = 1 })
	if wait(); n != 1 {
		t.Error("not waited for")
	}
	defer func() {
		if p := recover(); p != "fell" {
			t.Errorf("raised %v, want what the goroutine raised", p)
		}
	}()
	Begin(func() { panic("fell") })()
	t.Error("no panic is raised again")
}
