package rib

import (
	"errors"
	"fmt"
	"math"

	"falsework/mesh/par"
	"falsework/mesh/section"
	"falsework/rib/web"
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

// drawnOnce draws the webs, or waits until they are drawn.
func (t *trial) drawnOnce(b *shaper) (fault string) {
	if t.drawn != nil {
		return t.drawn()
	}
	return t.draw(b)
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

// A verdict is whether a layout carries.
type verdict struct {
	ok  bool
	at  []section.Point // where it does not, most
	err error
}

// judgeBeside begins to judge a drawn layout.
func (t *trial) judgeBeside(s *search) {
	if t.judged != nil || t.beside != nil {
		return
	}
	var v verdict
	wait := par.Begin(func() { v = s.maker.carries(s.b, t.contact) })
	t.beside = func() verdict { wait(); return v }
}

// carries judges a drawn layout, or waits for the verdict.
func (t *trial) carries(s *search) (bool, error) {
	if t.judged == nil {
		var v verdict
		if t.beside == nil {
			v = s.maker.carries(s.b, t.contact)
		} else {
			v = t.beside()
		}
		t.judged = &v
		s.learn(v)
	}
	return t.judged.ok, t.judged.err
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
