package rib

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"falsework/mesh/par"
	"falsework/mesh/section"
	"falsework/rib/web"
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
	unsteady = 28   // layouts that no brace can steady, before a ceiling is given up
)

// A trial is a layout whose cost has been estimated and, later, whose webs are
// drawn and braced.
type trial struct {
	layout  *layout
	guess   float64 // what is thought to be its rank, trouble with braces included
	webs    []*web.Web
	contact section.Polygons
	column  bool    // they stand in the opening of a thin wall
	width   float64 // of ribs
	chains  []*chain
	loose   []int
	faults  []Unsteady // of those that are loose, once braced fully
	volume  float64
	beside  func() verdict // waits for what is judged beside other work
	drawn   func() string  // waits for what is drawn beside other work
	judged  *verdict
}

const carriesNot = "ribs that can stand there do not carry all of it"

// A search tries layouts under one ceiling, in batches, cheapest first.
type search struct {
	*maker
	b      *shaper
	all    *queue
	tried  int
	failed map[string]int
	good   []*trial // carry and are steady
	dearer []*trial // than the best of these, and not judged
	shaky  []*trial // not steady, and not judged yet
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
	for next := 0; q.at(next, math.Inf(1)) != nil && len(s.good) == 0 && s.tried < patience && len(s.shaky) < unsteady; {
		var likely []*trial
		if likely, next, err = s.pick(next); err != nil {
			return nil, "", err
		}
		before := len(s.shaky)
		if err = s.judge(likely); err != nil {
			return nil, "", err
		}
		if err = s.inStep(s.shaky[before:]); err != nil {
			return nil, "", err
		}
		s.dropIdle(before)
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
func (s *search) pick(from int) (likely []*trial, next int, err error) {
	most := math.Inf(1)
	for next = from; len(likely) < batch && s.tried < patience; next++ {
		l := s.all.at(next, most)
		if l == nil || len(likely) > 0 && l.doubt && !likely[0].layout.doubt {
			break
		}
		if s.failed[l.kind] >= alike {
			continue
		}
		if err := s.ctx.Err(); err != nil {
			return nil, 0, err
		}
		s.tried++
		l.lines = s.settle(s.b, l.lines)
		if l.doubt { // most of these fail: nothing is drawn before one is judged
			if v := s.verdict(l, next, most); v.err != nil {
				return nil, 0, v.err
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
	return likely, next, nil
}

// verdict judges a layout that the sieve doubts, handed out as number at. Mostly it
// fails, and the next is judged: an idle core begins with that.
func (s *search) verdict(l *layout, at int, most float64) verdict {
	now := s.ahead
	if s.aheadOf != l {
		now = func() (v verdict) {
			v.ok, v.err = s.carries(s.b, contact(l, s.b.s, nil))
			return v
		}
	}
	s.aheadOf = nil
	if next := s.all.at(at+1, most); next != nil && next.doubt && s.failed[next.kind] < alike && s.idle() {
		var v verdict
		lines := next.lines
		wait := par.Begin(func() {
			v.ok, v.err = s.carries(s.b, contact(&layout{lines: s.settle(s.b, lines)}, s.b.s, nil))
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
		if s.failed[kind] >= alike {
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

// drawnOnce draws the webs, or waits until they are drawn.
func (t *trial) drawnOnce(b *shaper) (fault string) {
	if t.drawn != nil {
		return t.drawn()
	}
	return t.draw(b)
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

// A verdict is whether a layout carries.
type verdict struct {
	ok  bool
	err error
}

// judgeBeside begins to judge a drawn layout.
func (t *trial) judgeBeside(s *search) {
	if t.judged != nil || t.beside != nil {
		return
	}
	var v verdict
	wait := par.Begin(func() { v.ok, v.err = s.maker.carries(s.b, t.contact) })
	t.beside = func() verdict { wait(); return v }
}

// carries judges a drawn layout, or waits for the verdict.
func (t *trial) carries(s *search) (bool, error) {
	if t.judged != nil {
		return t.judged.ok, t.judged.err
	}
	var v verdict
	if t.beside == nil {
		v.ok, v.err = s.maker.carries(s.b, t.contact)
	} else {
		v = t.beside()
	}
	t.judged = &v
	return v.ok, v.err
}

// inStep gives layouts another chance that no brace could steady, when none of
// the batch carries: with legs abreast of each other.
func (s *search) inStep(shaky []*trial) error {
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

// missed tells whether a rib that finds no place is missed: a short one is
// not, the layout is judged without it.
func (b *shaper) missed(r ribLine) bool { return r.under.length() > max(2*b.sv.Ledge, 6) }

// inWords says why a rib cannot stand, and where on the part as it stands on
// the bed.
func (r ribLine) inWords(err error, bed float64) string {
	var e *web.PlaceError
	if !errors.As(err, &e) {
		return err.Error()
	}
	p := r.at(e.U)
	return fmt.Sprintf("%v at x %.1f, y %.1f, %.1f mm above the bed", e.Err, p[0], p[1], e.Z-bed)
}

// estimate sums up what the webs of a layout are thought to cost, or says why
// one of them cannot stand.
func estimate(b *shaper, l *layout) (t *trial, fault string) {
	t = &trial{layout: l}
	costs, errs := make([]float64, len(l.lines)), make([]error, len(l.lines))
	each(len(l.lines), func(i int) bool {
		costs[i], errs[i] = b.estimate(l, i)
		return errs[i] == nil || !b.missed(l.lines[i])
	})
	n := 0
	for i, r := range l.lines {
		if errs[i] != nil {
			if fault = r.inWords(errs[i], b.bed()); b.missed(r) {
				return nil, fault
			}
			continue
		}
		n++
		t.guess += float64(costs[i]*b.s.Width) + float64(cutWeight*r.under.length()) + ribWeight
	}
	if n == 0 {
		return nil, fault
	}
	return t, ""
}

// draw draws the webs, or says why one of them cannot stand.
func (t *trial) draw(b *shaper) (fault string) {
	lines := t.layout.lines
	t.webs = make([]*web.Web, len(lines))
	t.column, t.width = true, b.s.Width
	errs := make([]error, len(lines))
	each(len(lines), func(i int) bool {
		t.webs[i], errs[i] = b.shape(t.layout, i)
		return errs[i] == nil || !b.missed(lines[i])
	})
	n := 0
	for i, r := range lines {
		if errs[i] != nil {
			t.webs[i] = nil
			if fault = r.inWords(errs[i], b.bed()); b.missed(r) {
				return fault
			}
			continue
		}
		n++
		t.column = t.column && b.column(r)
	}
	if n == 0 {
		return fault
	}
	for _, w := range t.webs {
		if w != nil {
			t.volume += w.Volume
		}
	}
	t.contact = contact(t.layout, b.s, t.webs)
	return ""
}

// bracedFully braces a layout once more that could not be made steady, so that
// what can be held is held, and says what is in the way of the rest.
func (t *trial) bracedFully(b *shaper, s *layers) *trial {
	out := &trial{layout: t.layout, guess: t.guess, webs: t.webs, contact: t.contact, column: t.column, width: t.width}
	for _, w := range t.webs {
		if w != nil {
			out.volume += w.Volume
		}
	}
	out.brace(b, s, fully)
	return out
}

// brace ties the webs of a trial that were drawn, and sums up.
func (t *trial) brace(b *shaper, s *layers, how pains) {
	br := &bracer{shaper: b, slices: s, column: t.column, pains: how}
	var index []int
	for i, w := range t.webs {
		if w != nil {
			br.lines = append(br.lines, t.layout.lines[i])
			br.webs = append(br.webs, w)
			br.walks = append(br.walks, w.Walk())
			lo, hi := box(w.Outline)
			br.runs = append(br.runs, stretch{lo[0], hi[0]})
			index = append(index, i)
		}
	}
	for _, i := range br.brace() {
		t.loose = append(t.loose, index[i])
		if how == fully {
			at, why := br.fault(i)
			t.faults = append(t.faults, Unsteady{At: at, Why: why})
		}
	}
	t.chains = br.chains
	for _, c := range t.chains {
		t.volume += float64(section.Polygons{c.plan}.Area() * (c.z[1] - c.z[0]))
	}
}

// rank is what a drawn layout costs: its volume, what cutting is worth, braces
// with it, and twice as much again for every web that could not be made steady.
func (t *trial) rank() float64 {
	r := t.volume
	for _, w := range t.webs {
		if w != nil {
			r += float64(cutWeight*w.Crest) + ribWeight
			r += t.slight(w)
		}
	}
	for _, c := range t.chains {
		r += float64(float64(len(c.ties)) * braceFuss * t.width)
	}
	for _, i := range t.loose {
		r += 2 * t.webs[i].Volume
	}
	return r
}

// slight is what a web's legs lack to their least depth, in material.
func (t *trial) slight(w *web.Web) float64 {
	var sum float64
	for _, l := range w.Legs {
		if !t.column && !math.IsInf(l.Z[0], 0) {
			sum += float64(max(0, legDepth-l.Depth()) * (l.Z[1] - l.Z[0]))
		}
	}
	return sum * t.width
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
