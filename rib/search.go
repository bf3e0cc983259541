package rib

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"falsework/mesh/par"
)

// Limits of the search under one ceiling. To judge a layout costs more than to
// draw its webs, and to draw them more than to estimate them, so of many that
// are estimated some are drawn and few judged.
const (
	batch    = 12   // layouts estimated before the likeliest of them is drawn
	dear     = 1.25 // layouts of one batch cost at most so much more than its first
	enough   = 2    // layouts that carry, of which the better is taken
	near     = 1.15 // a layout may turn out so much cheaper than it looks
	patience = 150  // layouts tried before a ceiling is given up
	alike    = 4    // failures after which layouts of the same kind are passed over
	trials   = 3    // layouts that no brace can steady, before these get another chance
	unsteady = 28   // layouts that no brace can steady, before a ceiling is given up
)

const carriesNot = "ribs that can stand there do not carry all of it"

// A search tries layouts under one ceiling, in batches, cheapest first.
type search struct {
	*maker
	b       *shaper
	all     *queue
	next    int       // of all
	aside   []*layout // that pass the sieve, and not what was learned since
	hung    []failure // where layouts that passed the sieve did not carry
	tried   int
	failed  map[string]int
	good    []*trial // carry and are steady
	dearer  []*trial // than the best of these, and not judged
	shaky   []*trial // not steady, and not judged yet
	stepped int      // of these, so many had another chance
	// Some were not steady and carried neither: from then on what does not carry
	// is not braced.
	dropped bool
	aheadOf *layout        // it is judged before its turn
	ahead   func() verdict // waits for that
	least   float64        // guess of the best good one
	why     string
}

// search looks for layouts that carry until there are enough, and returns the
// cheapest with the reason why it was taken. Those with webs that no brace can
// steady are kept for when there is nothing else. Without any it says what was
// in the way.
func (m *maker) search(b *shaper, q *queue) (found *trial, why string, err error) {
	s := &search{maker: m, b: b, all: q, failed: map[string]int{}, least: math.Inf(1), why: "no layout of ribs carries it"}
	for s.peek(math.Inf(1)) != nil && len(s.good) == 0 && s.tried < patience && len(s.shaky) < unsteady {
		likely, err := s.pick()
		if err != nil {
			return nil, "", err
		}
		before := len(s.shaky)
		if err = s.judge(likely); err != nil {
			return nil, "", err
		}
		if err = s.inStep(); err != nil {
			return nil, "", err
		}
		s.dropIdle(before)
		s.stepped = len(s.shaky)
	}
	if t := s.best(); t != nil {
		return t, s.reason(t), nil
	}
	slices.SortStableFunc(s.shaky, func(a, b *trial) int {
		return cmp.Or(cmp.Compare(len(a.loose), len(b.loose)), cmp.Compare(a.rank(), b.rank()))
	})
	for _, t := range s.shaky {
		if ok, err := t.carries(s); err != nil {
			return nil, "", err
		} else if ok {
			t = t.bracedFully(s.b, s.slices)
			return t, s.reason(t), nil
		}
		s.why = carriesNot
	}
	return nil, s.why, nil
}

// pick estimates the next batch of layouts. Those that the sieve doubts have
// batches of their own.
func (s *search) pick() (likely []*trial, err error) {
	most := math.Inf(1)
	for len(likely) < batch && s.tried < patience {
		l := s.peek(most)
		if l == nil || len(likely) > 0 && l.doubt && !likely[0].layout.doubt {
			break
		}
		s.take(l)
		if s.failed[l.kind] >= alike {
			continue
		}
		if err := s.ctx.Err(); err != nil {
			return nil, err
		}
		if s.putAside(l) {
			continue
		}
		s.tried++
		l.lines = s.settle(s.b, l.lines)
		if l.doubt { // most of these fail: nothing is drawn before one is judged
			if v := s.verdict(l, most); v.err != nil {
				return nil, v.err
			} else if !v.ok {
				s.failed[l.kind]++
				continue
			}
		}
		t, fault := estimate(s.b, l)
		if t == nil {
			s.why = fault
			s.failed[l.kind]++
			continue
		}
		likely = append(likely, t)
		most = min(most, dear*l.cost)
	}
	return likely, nil
}

// peek returns the layout whose turn it is, nil when it costs more than most:
// those that pass the sieve, then what was put aside, then what the sieve doubts.
func (s *search) peek(most float64) *layout {
	l := s.all.at(s.next, most)
	if (l == nil || l.doubt) && s.all.drained() && len(s.aside) > 0 && s.aside[0].cost <= most {
		return s.aside[0]
	}
	return l
}

// take goes on to the layout after l, whose turn it is.
func (s *search) take(l *layout) {
	if len(s.aside) > 0 && l == s.aside[0] {
		s.aside = s.aside[1:]
	} else {
		s.next++
	}
}

// learn adds to the sieve where a layout does not carry: many are like it, and
// would be drawn and judged in vain.
func (s *search) learn(v verdict) {
	for _, p := range v.at {
		s.hung = append(s.hung, s.all.failure(p))
	}
}

// putAside puts a layout aside that passes the sieve and fails where others
// failed before, and tells whether it does.
func (s *search) putAside(l *layout) bool {
	if l.doubt || len(s.hung) == 0 {
		return false
	}
	lines := see(l, fine)
	if !slices.ContainsFunc(s.hung, func(o failure) bool { return !s.all.bears(&o, lines) }) {
		return false
	}
	doubted := *l // others may read the queue
	doubted.doubt = true
	s.aside = append(s.aside, &doubted)
	return true
}

// verdict judges a layout that the sieve doubts. Mostly it fails, and the next is
// judged: an idle core begins with that.
func (s *search) verdict(l *layout, most float64) verdict {
	now := s.ahead
	if s.aheadOf != l {
		now = func() verdict { return s.carries(s.b, contact(l, s.b.s, nil)) }
	}
	s.aheadOf = nil
	if next := s.peek(most); next != nil && next.doubt && s.failed[next.kind] < alike && s.idle() {
		var v verdict
		lines := next.lines
		wait := par.Begin(func() {
			v = s.carries(s.b, contact(&layout{lines: s.settle(s.b, lines)}, s.b.s, nil))
		})
		s.aheadOf, s.ahead = next, func() verdict { wait(); return v }
	}
	return now()
}

// judge draws, braces and judges the layouts of a batch, those first that look
// best. What a layout costs is known before it is known to carry, so one dearer
// than the best that does is not judged, and one that no brace steadies is given
// up at the first loose web when there is a better.
func (s *search) judge(likely []*trial) error {
	sort.SliceStable(likely, func(i, j int) bool { return likely[i].guess < likely[j].guess })
	for i, t := range likely {
		kind := t.layout.kind
		best := s.best()
		if len(s.good)+len(s.dearer) >= enough || t.guess > near*s.least || best != nil && t.guess > best.rank() {
			break // a layout costs hardly ever less than it looks
		}
		if s.failed[kind] >= alike || s.putAside(t.layout) {
			continue
		}
		if fault := t.drawnOnce(s.b); fault != "" {
			s.why = fault
			s.failed[kind]++
			continue
		}
		if best != nil && t.rank() >= best.rank() { // braces only add to it
			s.dearer = append(s.dearer, t)
			continue
		}
		if s.dropped { // bracing is the dearest step by far
			if ok, err := t.carries(s); err != nil {
				return err
			} else if !ok {
				s.why = carriesNot
				s.failed[kind]++
				continue
			}
		}
		if best == nil && len(s.shaky) == 0 { // most likely it will be judged: on the other core, while it is braced
			t.judgeBeside(s)
		}
		if s.idle() {
			s.drawNext(t, likely[i+1:])
		}
		how := fairly
		if best != nil {
			how = briefly
		}
		if t.brace(s.b, s.slices, how); len(t.loose) > 0 {
			s.shaky = append(s.shaky, t)
			s.failed[kind]++
			if len(s.shaky)-s.stepped >= trials {
				if err := s.inStep(); err != nil {
					return err
				}
			}
			continue
		}
		if best != nil && t.rank() >= best.rank() {
			s.dearer = append(s.dearer, t)
			continue
		}
		ok, err := t.carries(s)
		if err != nil {
			return err
		}
		if !ok {
			s.why = carriesNot
			s.failed[kind]++
			continue
		}
		s.good = append(s.good, t)
		s.least = min(s.least, t.guess)
	}
	return nil
}

// drawNext begins to draw the layout whose turn comes next, even if t proves
// good: a brace follows from the one before it, which leaves the other core idle.
// What is drawn does not depend on when it is.
func (s *search) drawNext(t *trial, rest []*trial) {
	for _, next := range rest {
		if s.failed[next.layout.kind] >= alike {
			continue
		}
		if next.drawn == nil && next.guess <= near*min(s.least, t.guess) && next.guess <= t.rank() {
			var fault string
			wait := par.Begin(func() { fault = next.draw(s.b) })
			next.drawn = func() string { wait(); return fault }
		}
		return
	}
}

// best is the cheapest layout that carries; of two alike the first.
func (s *search) best() *trial {
	var best *trial
	for _, t := range s.good {
		if best == nil || t.rank() < best.rank() {
			best = t
		}
	}
	return best
}

// inStep gives layouts another chance that no brace could steady, when none
// carries yet: with legs abreast of each other.
func (s *search) inStep() error {
	shaky := s.shaky[s.stepped:]
	s.stepped = len(s.shaky)
	for i, t := range shaky {
		if len(s.good) > 0 {
			return nil
		}
		if i+1 < len(shaky) && s.idle() {
			shaky[i+1].judgeBeside(s)
		}
		if ok, err := t.carries(s); err != nil {
			return err
		} else if !ok {
			continue
		}
		for next := t.abreast(s.b, s.slices); next != nil && len(next.loose) < len(t.loose); {
			t = next
			next = t.abreast(s.b, s.slices)
		}
		if t == shaky[i] {
			continue
		}
		ok, err := t.carries(s)
		if err != nil {
			return err
		}
		switch {
		case !ok: // a leg that was moved may have moved the crest's end
		case len(t.loose) == 0:
			s.good = append(s.good, t)
		default:
			shaky[i] = t
		}
	}
	return nil
}

// dropIdle drops the unsteady layouts from the given one on that do not carry
// either: they are no reason to give a ceiling up.
func (s *search) dropIdle(from int) {
	keep := s.shaky[:from]
	for _, t := range s.shaky[from:] {
		if t.judged == nil || t.judged.ok {
			keep = append(keep, t)
			continue
		}
		s.why, s.dropped = carriesNot, true
	}
	s.shaky = keep
}

// reason says in words why a layout was taken.
func (s *search) reason(t *trial) string {
	var next *trial
	for _, o := range append(s.good[:len(s.good):len(s.good)], s.dearer...) {
		if o != t && (next == nil || o.rank() < next.rank()) {
			next = o
		}
	}
	if next == nil {
		return fmt.Sprintf("least material of those that carry: %.1f cm3; no other layout near it does", t.volume/1e3)
	}
	return fmt.Sprintf("least of those that carry: %.2f cm3; the next, %s, would take %.2f cm3", t.volume/1e3, next.layout.words, next.volume/1e3)
}
