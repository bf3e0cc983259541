package span

import (
	"context"
	"errors"
	"math"
	"sync"
	"sync/atomic"

	"falsework/mesh/par"
	"falsework/mesh/section"
)

// tolerance is added to the slope, degrees, so that a chamfer of exactly the
// limit is not flagged when turned or rounded to a file's digits. It makes every
// arch shorter by its radius times as much on either side: half a degree would
// take 3 % off a pointed arch.
const tolerance = 0.15

// A slab is what is known of one printed layer.
type slab struct {
	hangs  section.Polygons // U: what the layers below do not carry
	grown  section.Polygons // S less what lies below
	foot   section.Polygons // F: the part of grown near hangs
	spread section.Polygons // E: the rest of grown, which carries itself
}

// offsetOf returns d of layer k: how far it may stand out beyond the one
// below and carry itself.
func offsetOf(st stack, k int, slope float64) float64 {
	return (st.mid(k) - st.mid(k-1)) * math.Tan((slope+tolerance)*math.Pi/180)
}

// cuts holds the sections of a part by layer, each made once, at first use.
type cuts struct {
	sl   *section.Slicer
	st   stack
	once []sync.Once
	have []section.Polygons
	errs []error
	find []*locator
	made []sync.Once
	open atomic.Bool // some section did not close
}

func newCuts(sl *section.Slicer, st stack) *cuts {
	return &cuts{sl: sl, st: st, once: make([]sync.Once, st.n), have: make([]section.Polygons, st.n),
		errs: make([]error, st.n), find: make([]*locator, st.n), made: make([]sync.Once, st.n)}
}

// at returns the section of layer k; there is nothing below the first and
// above the last.
func (c *cuts) at(k int) (section.Polygons, error) {
	if k < 0 || k >= c.st.n {
		return nil, nil
	}
	c.once[k].Do(func() {
		c.have[k], c.errs[k] = c.sl.At(c.st.mid(k))
		if open := (*section.OpenError)(nil); errors.As(c.errs[k], &open) {
			c.errs[k] = nil // gaps closed straight: others judge the surface
			c.open.Store(true)
		}
	})
	return c.have[k], c.errs[k]
}

// has reports whether p lies in the material of layer k.
func (c *cuts) has(k int, p Point) bool {
	if k < 0 || k >= c.st.n {
		return false
	}
	c.made[k].Do(func() {
		s, _ := c.at(k)
		c.find[k] = newLocator(s)
	})
	return c.find[k].has(p)
}

// near reports whether material of layer k lies within r of q.
func (c *cuts) near(k int, q Point, r float64) bool {
	return c.has(k, q) || k >= 0 && k < c.st.n && c.find[k].near(q, r)
}

// hangAt computes U of layer k and, when something hangs, the footprint.
func hangAt(c *cuts, k int, slope float64) (slab, error) {
	var s slab
	now, err := c.at(k)
	if err != nil {
		return s, err
	}
	below, err := c.at(k - 1)
	if err != nil {
		return s, err
	}
	// Only what is new can hang, and telling what is new is cheap.
	grown := section.Growth(now, below)
	if empty(grown) {
		return s, nil
	}
	d := offsetOf(c.st, k, slope)
	u := section.Beyond(grown, below, d)
	if empty(u) {
		return s, nil
	}
	s.grown = grown
	// A gap of one layer is contact.
	under, err := c.at(k - 2)
	if err != nil {
		return s, err
	}
	if !empty(section.Intersect(u, under)) {
		if u = section.Beyond(u, under, d); empty(u) {
			return slab{}, nil
		}
		s.grown = section.Subtract(s.grown, under)
	}
	s.hangs = u
	s.foot = section.Intersect(s.grown, section.Offset(u, d*1.01, section.Miter))
	return s, nil
}

// empty reports whether a region is nothing but rounding.
func empty(p section.Polygons) bool {
	for _, r := range p {
		if a := r.Area(); a > 1e-6 {
			return false
		}
	}
	return true
}

// growAt adds to slab k what carries itself.
func growAt(c *cuts, k int, s *slab) error {
	if s.grown == nil {
		now, err := c.at(k)
		if err != nil {
			return err
		}
		below, err := c.at(k - 1)
		if err != nil {
			return err
		}
		s.grown = section.Growth(now, below)
	}
	if s.grown.Area()-s.foot.Area() > 1e-6 {
		s.spread = section.Subtract(s.grown, s.foot)
	}
	return nil
}

// forEach runs f(0) to f(n-1) on two goroutines, one of them the caller's,
// which also calls tick. It stops early when ctx ends or f fails, and returns
// the failure of the least index seen. What f finds must go to places of its
// own index, so that the result does not depend on who ran when.
func forEach(ctx context.Context, n int, tick func(done int), f func(i int) error) error {
	var mu sync.Mutex
	next, done, failAt := 0, 0, -1
	var fail error
	work := func(tick func(int)) {
		for {
			mu.Lock()
			i := next
			if i >= n || fail != nil || ctx.Err() != nil {
				mu.Unlock()
				return
			}
			next++
			mu.Unlock()
			err := f(i)
			mu.Lock()
			if err != nil && (failAt < 0 || i < failAt) {
				fail, failAt = err, i
			}
			done++
			d := done
			mu.Unlock()
			if tick != nil {
				tick(d)
			}
		}
	}
	wait := func() {}
	if n > 1 {
		wait = par.Begin(func() { work(nil) })
	}
	work(tick)
	wait()
	if fail != nil {
		return fail
	}
	return ctx.Err()
}
