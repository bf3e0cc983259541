package rib

import (
	"cmp"
	"fmt"
	"reflect"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"falsework/mesh/par"
	"falsework/mesh/section"
	"falsework/rib/web"
	"falsework/span"
)

// The order of work. Ceilings are planned side by side, the largest first: one
// search keeps a second core busy only now and then. What is built under a
// ceiling keeps clear of what is built under those before it, so one that lies
// over or under an earlier one waits for it. The others are planned as if nothing
// stood under those; afterwards each, in the order of the survey, is held against
// what does stand there, and planned again where that would have been in its way.
// So the plan is what planning one ceiling after the other gives.

// A work is the planning of one ceiling.
type work struct {
	c     *span.Ceiling
	at    int     // its place in the survey
	after []*work // it waits for these
	state state
	queue func() *queue // of its layouts, found when first asked for
	found bool          // somebody finds the queue, or has
	asked *asked
	plan  CeilingPlan
	err   error
}

type state int

const (
	waiting state = iota
	begun
	done
)

// An order hands out work.
type order struct {
	m       *maker
	lock    sync.Mutex
	changed *sync.Cond
	works   []*work // in the order of the survey
	rank    []*work // in the order in which they are begun
	fell    bool    // one of them ended in a panic
}

func (m *maker) newOrder() *order {
	o := &order{m: m}
	o.changed = sync.NewCond(&o.lock)
	for i := range m.plan.Survey.Ceilings {
		c := &m.plan.Survey.Ceilings[i]
		if why, _ := m.left(c); why != "" {
			continue
		}
		w := &work{c: c, at: i, queue: sync.OnceValue(func() *queue { return m.queue(c) })}
		for _, v := range o.works {
			if overlap(v.c, c) {
				w.after = append(w.after, v)
			}
		}
		o.works = append(o.works, w)
	}
	o.rank = slices.Clone(o.works)
	slices.SortStableFunc(o.rank, func(a, b *work) int { return cmp.Compare(b.c.Area, a.c.Area) })
	return o
}

// overlap tells whether the boxes of two ceilings overlap in plan.
func overlap(a, b *span.Ceiling) bool {
	for k := range a.Min {
		if a.Min[k] >= b.Max[k] || b.Min[k] >= a.Max[k] {
			return false
		}
	}
	return true
}

// plans plans all ceilings.
func (m *maker) plans() error {
	for i := range m.plan.Survey.Ceilings {
		c := &m.plan.Survey.Ceilings[i]
		m.plan.Ceilings[i] = CeilingPlan{ID: c.ID, Spared: m.spared[c.ID]}
		m.plan.Ceilings[i].Left, m.plan.Ceilings[i].Fault = m.left(c)
	}
	o := m.newOrder()
	par.Each(min(len(o.works), runtime.GOMAXPROCS(0)), func(int) { o.work() })
	again := map[*work]bool{}
	for _, w := range o.works {
		if err := m.ctx.Err(); err != nil {
			return err
		}
		again[w] = w.err != nil || w.asked.disturbed(m.plan.Ceilings[:w.at], m.plan.Settings.Width) ||
			slices.ContainsFunc(w.after, func(v *work) bool { return again[v] })
		if again[w] {
			w.plan, _, w.err = m.ceiling(w.c, func() *queue { return m.queue(w.c) }, m.plan.Ceilings[:w.at])
		}
		if w.err != nil {
			return fmt.Errorf("ceiling %d: %w", w.c.ID, w.err)
		}
		m.plan.Ceilings[w.at] = w.plan
	}
	return nil
}

// work does what there is to do until nothing is left.
func (o *order) work() {
	ended := false
	defer func() {
		if !ended { // nobody may wait for it
			o.lock.Lock()
			o.fell = true
			o.lock.Unlock()
			o.changed.Broadcast()
		}
	}()
	for {
		w, plan := o.next()
		switch {
		case w == nil:
			ended = true
			return
		case !plan:
			w.queue()
			continue
		}
		planned := make([]CeilingPlan, w.at)
		for _, v := range w.after {
			planned[v.at] = v.plan
		}
		o.m.busy.Add(1)
		w.plan, w.asked, w.err = o.m.ceiling(w.c, w.queue, planned)
		o.m.busy.Add(-1)
		o.lock.Lock()
		w.state = done
		o.lock.Unlock()
		o.changed.Broadcast()
	}
}

// next returns the next ceiling to plan, or, while all have to wait, one whose
// layouts can be found; nil when nothing is left.
func (o *order) next() (w *work, plan bool) {
	o.lock.Lock()
	defer o.lock.Unlock()
	for !o.fell {
		left := false
		for _, w := range o.rank {
			if w.state != waiting {
				continue
			}
			left = true
			if !slices.ContainsFunc(w.after, func(v *work) bool { return v.state != done }) {
				w.state, w.found = begun, true
				return w, true
			}
		}
		if !left {
			return nil, false
		}
		for _, w := range o.rank {
			if w.state == waiting && !w.found {
				w.found = true
				return w, false
			}
		}
		o.changed.Wait()
	}
	return nil, false
}

// queue finds the layouts under a ceiling, which do not depend on what is
// planned.
func (m *maker) queue(c *span.Ceiling) *queue {
	return newQueue(newView(c, m.probes, m.plan.Settings.under(c.ID), m.plan.Survey.Settings))
}

// An asked is what the plan of a ceiling took to be free: the sites of webs, and
// the braces that met nothing.
type asked struct {
	lock   sync.Mutex
	sites  []answered
	chains []*chain
}

// An answered is a site and what came of it: the cost of its web, or the web.
type answered struct {
	r    ribLine
	site *web.Site
	draw bool
	cost float64
	web  *web.Web
	err  error
}

func (a *asked) add(x answered) {
	a.lock.Lock()
	a.sites = append(a.sites, x)
	a.lock.Unlock()
}

// disturbed tells whether something planned would have been in the way.
func (a *asked) disturbed(planned []CeilingPlan, width float64) bool {
	if slices.ContainsFunc(a.chains, func(c *chain) bool { return c.meets(planned, width) }) {
		return true
	}
	others := webs(planned, width)
	var found atomic.Bool
	each(len(a.sites), func(i int) bool { // each may be a web to draw
		x := &a.sites[i]
		var boxes []web.Box
		for i := range others {
			for _, b := range others[i].on(x.r) {
				if !slices.Contains(x.site.Forbidden, b) { // or it was planned with that in its way
					boxes = append(boxes, b)
				}
			}
		}
		if len(boxes) > 0 && !x.same(boxes) {
			found.Store(true)
		}
		return !found.Load()
	})
	return found.Load()
}

// same tells whether the same comes of a site with further boxes to keep out of.
// Most reach into a site by a hair, and lower than any leg or corbel there.
func (x *answered) same(boxes []web.Box) bool {
	site := *x.site
	site.Forbidden = slices.Concat(site.Forbidden, boxes)
	var now answered
	if x.draw {
		now.web, now.err = web.Shape(site)
	} else {
		now.cost, now.err = web.Estimate(site)
	}
	return now.cost == x.cost && fmt.Sprint(now.err) == fmt.Sprint(x.err) && reflect.DeepEqual(now.web, x.web)
}

// webs are the webs planned, as obstacles.
func webs(planned []CeilingPlan, width float64) []obstacle {
	var out []obstacle
	clear := 2 * width
	for i := range planned {
		for _, r := range planned[i].Ribs {
			lo, hi := box(r.Outline)
			b := bar(r.axis, stretch{lo[0] - clear, hi[0] + clear}, width+2*clear)
			out = append(out, obstacle{section.Polygons{b}, [2]float64{r.Bottom - 0.1, r.Top + 0.1}, 0})
		}
	}
	return out
}

// on are the boxes of an obstacle on a rib's plane, where legs and corbels may
// come to lie.
func (o *obstacle) on(r ribLine) []web.Box {
	const beside = 2.0 // more than the section may prolong a stretch by
	var out []web.Box
	lines := []axis{r.axis}
	if o.half > 0 {
		lines = append(lines, r.shift(-o.half), r.shift(o.half))
	}
	for _, a := range lines {
		for _, s := range clip(o.foot, a) {
			x := web.Box{U: [2]float64{s.from, s.to}, Z: o.z}
			if s.to > r.under.from-beside && s.from < r.under.to+beside && !slices.Contains(out, x) {
				out = append(out, x)
			}
		}
	}
	return out
}

// idle tells whether a core has nothing to do, as far as one can see.
func (m *maker) idle() bool { return int(m.busy.Load()) < runtime.GOMAXPROCS(0) }
