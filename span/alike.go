package span

import (
	"encoding/binary"
	"math"
)

// A result is a piece on its way to a judged ceiling.
type result struct {
	c    Ceiling
	p    *piece // nil where no bead fits
	thin bool
	ok   bool // worth listing
}

// alike gathers the results whose pieces are equal in all that is measured on
// them, in the order of the first of each: the braces of a column lie one over
// another, so that of 180 ceilings of a ribbed part three quarters repeat one
// measured already.
func alike(all []result, turns []int) [][]*result {
	var out [][]*result
	at := map[string]int{}
	for _, i := range turns {
		r := &all[i]
		if r.p == nil {
			continue
		}
		key := r.p.likeness()
		n, ok := at[key]
		if !ok || key == "" {
			n = len(out)
			at[key] = n
			out = append(out, nil)
		}
		out[n] = append(out[n], r)
	}
	return out
}

// likeness is a key to the shape of a flat piece: its outline and border, bit by
// bit, without the height. The place in plan is a part of it, because a sum may
// differ by it in its last digit. It is empty for a piece with heights.
func (p *piece) likeness() string {
	if p.layers[0] != p.layers[1] {
		return ""
	}
	n := 0
	for _, r := range p.foot {
		n += 1 + 2*len(r)
	}
	key := make([]byte, 0, 8*(n+5*len(p.rims)))
	put := func(x uint64) { key = binary.LittleEndian.AppendUint64(key, x) }
	point := func(q Point) {
		put(math.Float64bits(q[0]))
		put(math.Float64bits(q[1]))
	}
	for _, r := range p.foot {
		put(uint64(len(r)))
		for _, q := range r {
			point(q)
		}
	}
	for i := range p.rims {
		r := &p.rims[i]
		point(r.a)
		point(r.b)
		held := uint64(0)
		if r.held {
			held = 1
		}
		put(held)
	}
	return string(key)
}

// judgeAlike judges equal pieces on one sheet, measured once for each limit that
// they are held to.
func (s *Survey) judgeAlike(kin []*result, under *undersides, o Options) {
	first := kin[0].p
	first.lay(s.rise()+0.5, s.Settings.Nozzle)
	sheet := first.sheet
	m := takeMemory()
	defer m.done()
	known := map[float64]load{}
	measure := func(limit limits) load {
		l, ok := known[limit.most]
		if !ok || limit.each != nil {
			l = sheet.measured(m).measure(limit, s.Settings.Ledge, s.Settings.Slope)
		}
		if limit.each == nil {
			known[limit.most] = l
		}
		return l
	}
	spare := true
	for _, r := range kin {
		if r.p != first {
			r.p.sheet = sheet.raised(s.cuts.st.lower(r.p.layers[0]), r.p.rims)
		}
		r.c, r.ok = s.judge(r.p, under, o, measure)
		r.ok = r.ok && !(r.thin && !r.c.NeedsRibs)
		if !r.c.NeedsRibs {
			r.p.lean()
		} else {
			spare = false
		}
	}
	if spare {
		spareSheets.Put(sheet)
	}
}
