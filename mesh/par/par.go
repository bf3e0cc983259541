// Package par spreads loops over the processors. What a loop computes must
// not depend on the split: each call of the body owns its range alone. A panic
// in a goroutine is raised again in the one that waits for it, so that the
// program can still word it. Start at [Range], [Each] or [Begin].
package par

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// Workers returns how many goroutines are worth starting for n items when a
// goroutine is not worth its start for less than grain of them.
func Workers(n, grain int) int {
	return max(1, min(runtime.GOMAXPROCS(0), n/max(grain, 1)))
}

// Range calls body for consecutive ranges of 0..n, grain long but for the
// last, each once, from several goroutines. It stops early and returns the
// context's error when ctx is done.
func Range(ctx context.Context, n, grain int, body func(lo, hi int)) error {
	var next atomic.Int64
	work := func() {
		for ctx.Err() == nil {
			lo := int(next.Add(int64(grain))) - grain
			if lo >= n {
				return
			}
			body(lo, min(lo+grain, n))
		}
	}
	Each(Workers(n, grain), func(int) { work() })
	return ctx.Err()
}

// Each calls body with 0..n-1, each from a goroutine of its own, and waits
// for all. A panic in one is raised again in the caller.
func Each(n int, body func(k int)) {
	if n == 1 {
		body(0)
		return
	}
	var wg sync.WaitGroup
	var once sync.Once
	var caught any
	for k := range n {
		wg.Add(1)
		go func() {
			defer wg.Done()
			defer func() {
				if p := recover(); p != nil {
					once.Do(func() { caught = p })
				}
			}()
			body(k)
		}()
	}
	wg.Wait()
	if caught != nil {
		panic(caught)
	}
}

// Begin runs f in a goroutine of its own. The function returned waits for its
// end, and raises a panic of f again.
func Begin(f func()) (wait func()) {
	done := make(chan struct{})
	var caught any
	go func() {
		defer close(done)
		defer func() { caught = recover() }()
		f()
	}()
	return func() {
		<-done
		if caught != nil {
			panic(caught)
		}
	}
}
