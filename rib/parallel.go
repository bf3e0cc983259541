package rib

import (
	"runtime"
	"sync"
	"sync/atomic"

	"falsework/mesh/par"
)

// each runs f for 0 to n-1 on all cores until one says no. Numbers begin in
// ascending order, and what has begun is finished: below the lowest number that
// said no, all have been run.
func each(n int, f func(i int) bool) {
	workers := min(n, runtime.GOMAXPROCS(0))
	if workers <= 1 {
		for i := 0; i < n && f(i); i++ {
		}
		return
	}
	var next atomic.Int64
	var stop atomic.Bool
	par.Each(workers, func(int) {
		for !stop.Load() {
			i := int(next.Add(1)) - 1
			if i >= n {
				return
			}
			if !f(i) {
				stop.Store(true)
			}
		}
	})
}

// A store remembers the answers to questions asked from several goroutines;
// each is worked out once.
type store[K comparable, V any] struct {
	lock  sync.Mutex
	known map[K]*answer[V]
}

type answer[V any] struct {
	once  sync.Once
	value V
	err   error
}

func (s *store[K, V]) get(key K, find func() (V, error)) (V, error) {
	s.lock.Lock()
	a := s.known[key]
	if a == nil {
		a = new(answer[V])
		if s.known == nil {
			s.known = map[K]*answer[V]{}
		}
		s.known[key] = a
	}
	s.lock.Unlock()
	a.once.Do(func() { a.value, a.err = find() })
	return a.value, a.err
}

// has tells whether a question was asked.
func (s *store[K, V]) has(key K) bool {
	s.lock.Lock()
	defer s.lock.Unlock()
	return s.known[key] != nil
}
