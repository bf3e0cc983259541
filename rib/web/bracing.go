package web

import (
	"errors"
	"math"
	"sort"
)

// braceClear is how far the top of a brace stays below the ceiling.
const braceClear = 5.0

// Brace returns the least set of braces among those that may takes, which is
// asked with the middle of the strip and its bottom; nil takes all. The web is
// walked from the bottom up; where the walk becomes too long a brace is set as
// high as may be on the way back. Without such a set the error says where one is
// missing; it wraps [ErrSteady].
func (w *Web) Brace(may func(u, z float64) bool) ([]Brace, error) {
	return w.Walk().Brace(nil, may)
}

// Brace is [Web.Brace] for a web that some braces hold already: it returns
// those that are still missing.
func (k *Walk) Brace(have []Brace, may func(u, z float64) bool) ([]Brace, error) {
	return k.brace(have, may, math.MaxInt, 0)
}

// Some is Brace for a web that cannot be made steady: where no brace finds a
// place the web is taken to be held nevertheless, so that what lies above is
// braced as well as can be. It returns the braces that found a place, and the
// error says where the first is missing.
func (k *Walk) Some(have []Brace, may func(u, z float64) bool) ([]Brace, error) {
	return k.brace(have, may, math.MaxInt, math.MaxInt)
}

// errMany says that there would be more braces than are worth having.
var errMany = errors.New("too many braces")

// brace is Brace with at most so many braces, of which so many may lack a place.
func (k *Walk) brace(have []Brace, may func(u, z float64) bool, most, lack int) ([]Brace, error) {
	w := k.w
	if may == nil {
		may = func(u, z float64) bool { return true }
	}
	if w.column {
		return w.columnBraces(may, lack)
	}
	var best *attempt
	var err error
	for _, in := range inward {
		a := k.greedy(have, in, may, most, lack)
		if a.stopped {
			err = a.err
			continue
		}
		if best == nil || a.missing < best.missing || len(a.set) < len(best.set) {
			best = a
		}
		if lack = best.missing; lack > 0 {
			continue
		}
		if len(best.set) <= 1 {
			break
		}
		most = len(best.set) - 1 // as many are no gain
	}
	if best == nil {
		return nil, err
	}
	if len(have) == 0 && best.missing == 0 {
		best.set = k.even(best.set, may)
	}
	for i := range best.set {
		best.set[i].On = w.member(best.set[i].U, best.set[i].Z[0])
	}
	return best.set, best.err
}

// inward are the distances tried by which braces sit further inside than where
// the walk became too long: a brace at a tip holds the tip, one further in
// holds more of what comes above.
var inward = [...]float64{0, 6, 12}

// An attempt is the braces set from the bottom up, and how many more found no
// place.
type attempt struct {
	set     []Brace
	missing int
	err     error // where the first is missing, or why it was given up
	stopped bool  // it was given up
}

// greedy sets braces from the bottom up, until there are more than most or more
// than lack find no place.
func (k *Walk) greedy(have []Brace, in float64, may func(u, z float64) bool, most, lack int) *attempt {
	h := k.h
	k.set(have)
	a := &attempt{set: []Brace{}}
	for {
		i, j, over := k.over()
		if !over {
			break
		}
		if len(a.set) >= most {
			a.err, a.stopped = errMany, true
			return a
		}
		if b, ok := k.place(i, j, in, may); ok && len(a.set) < mostBraces {
			a.set = append(a.set, b)
			k.add(b)
			continue
		}
		if a.missing++; a.err == nil {
			a.err = at(ErrSteady, h.u0+h.cell*(float64(j)+0.5), h.z0+h.cell*(float64(i)+0.5))
		}
		if a.missing > lack {
			a.stopped = true
			return a
		}
		k.relieve(i, j)
	}
	sort.SliceStable(a.set, func(i, j int) bool { return a.set[i].Z[0] < a.set[j].Z[0] })
	return a
}

// mostBraces is how many braces one web may ask for.
const mostBraces = 2000

// place finds the highest place for a brace on the way from cell (i, j) back
// to its hold.
func (k *Walk) place(i, j int, in float64, may func(u, z float64) bool) (Brace, bool) {
	h, w, s := k.h, k.w, &k.w.settings
	thick := float64(s.BraceLayers) * s.Layer
	row, col := i, j
	for {
		c, weight := h.at(row, col)
		if c < 0 || k.d[c] <= 0 {
			break
		}
		var ok bool
		if row, col, ok = k.back(row, col, k.d[c], weight); !ok {
			break
		}
		top := h.z0 + h.cell*float64(row+1)
		u := h.u0 + h.cell*(float64(col)+0.5)
		// Below a ceiling the way runs level, too near to it: lower down, the
		// brace holds the same.
		top = math.Min(top, math.Min(h.z0+h.cell*float64(i), w.roof(u)))
		z := s.boundaryBelow(top - thick)
		b := Brace{U: w.inset(u, z+thick/2, in), Z: [2]float64{snap(z), snap(z + thick)}}
		r := int(math.Floor((z + thick/2 - h.z0) / h.cell))
		if r < 0 || r >= i || z <= s.Bed || k.near(r, b.U) < 1 {
			continue
		}
		if w.clear(b) && may(b.U, b.Z[0]) {
			return b, true
		}
	}
	return Brace{}, false
}

// near returns the walk of the cell at run u in a row.
func (k *Walk) near(row int, u float64) float64 {
	if c, _ := k.h.at(row, int(math.Floor((u-k.h.u0)/k.h.cell))); c >= 0 {
		return k.d[c]
	}
	return 0
}

// back returns the neighbour by which cell (i, j) of a walk and a weight was
// reached.
func (k *Walk) back(i, j int, d float64, weight float32) (row, col int, ok bool) {
	h := k.h
	best := math.Inf(1)
	try := func(ii, jj int, length float64) {
		n, its := h.at(ii, jj)
		if n < 0 {
			return
		}
		cost := k.d[n] + float64(length*h.cell*float64(weight+its)/2)
		if cost < best && k.d[n] < d {
			best, row, col, ok = cost, ii, jj, true
		}
	}
	for _, s := range steps {
		try(i-s.dz, j+s.du, s.length)
	}
	try(i, j-1, 1)
	try(i, j+1, 1)
	return row, col, ok
}

// boundaryBelow returns the highest layer boundary not above z.
func (s *Settings) boundaryBelow(z float64) float64 {
	k := math.Floor((z - s.Bed - s.First) / s.Layer * (1 + 1e-12))
	if k < 0 {
		return s.Bed
	}
	return s.Bed + s.First + float64(k*s.Layer)
}

// inset moves the middle of a brace so far into the web that the strip lies in
// it and by in further, or to the middle where the web is less deep.
func (w *Web) inset(u, z, in float64) float64 {
	rows := crossings(w.Outline, z, 1, 1, math.Inf(-1), math.Inf(1))[0]
	best, at := math.Inf(1), u
	for k := 0; k+1 < len(rows); k += 2 {
		a, b := rows[k], rows[k+1]
		off := math.Max(0, math.Max(a-u, u-b))
		if off >= best {
			continue
		}
		best, at = off, (a+b)/2
		if b-a > braceDepth+2*in {
			at = math.Max(a+braceDepth/2+in, math.Min(b-braceDepth/2-in, u))
		}
	}
	return snap(at)
}

// clear says whether a brace keeps off the ceiling.
func (w *Web) clear(b Brace) bool { return b.Z[1] <= w.roof(b.U) }

// roof is how high the top of a brace may be at run u, to keep off the ceiling.
func (w *Web) roof(u float64) float64 {
	z := math.Inf(1)
	for _, c := range w.ceilings {
		if u >= c.from()-1 && u <= c.to()+1 {
			z = math.Min(z, c.top(math.Max(c.from(), math.Min(c.to(), u)))-braceClear)
		}
	}
	return z
}

// even moves the braces of each leg to equal distances, the last one keeping
// its place, where that holds the web as well.
func (k *Walk) even(braces []Brace, may func(u, z float64) bool) []Brace {
	w, s := k.w, &k.w.settings
	out := append([]Brace(nil), braces...)
	for _, leg := range w.Legs {
		var mine []int
		for i, b := range out {
			if b.U >= leg.U[0] && b.U <= leg.U[1] && b.Z[0] < leg.Z[1] {
				mine = append(mine, i)
			}
		}
		if len(mine) < 2 || leg.Depth() > 3*braceDepth {
			continue
		}
		try := append([]Brace(nil), out...)
		n := len(mine)
		top := try[mine[n-1]].Z[0]
		ok := true
		for i, m := range mine[:n-1] {
			z := s.boundaryBelow(leg.Z[0] + float64((top-leg.Z[0])*float64(i+1)/float64(n)))
			t := try[m].Z[1] - try[m].Z[0]
			try[m].Z = [2]float64{snap(z), snap(z + t)}
			try[m].U = snap((leg.U[0] + leg.U[1]) / 2)
			ok = ok && may(try[m].U, z)
		}
		if ok && k.Stable(try) {
			out = try
		}
	}
	return out
}

// member names what a brace holds.
func (w *Web) member(u, z float64) string {
	for _, l := range w.Legs {
		if u >= l.U[0] && u <= l.U[1] && z < l.Z[1] {
			return "leg"
		}
	}
	for _, s := range w.Springings {
		reach := (s.Z[1] - s.Z[0]) / 0.9
		if math.Abs(u-s.U) < reach && z >= s.Z[0] {
			return "corbel"
		}
	}
	return "arch"
}

// columnBraces spaces the braces of a column equally, with no clear gap wider
// than the pitch: practice has shown this to hold in thin-walled openings.
func (w *Web) columnBraces(may func(u, z float64) bool, lack int) ([]Brace, error) {
	s := &w.settings
	thick := float64(s.BraceLayers) * s.Layer
	var out []Brace
	var missing error
	for _, l := range w.Legs {
		lo, hi := l.Z[0], l.Z[1]
		n := 0
		for (hi-lo-float64(float64(n)*thick))/float64(n+1) > s.BracePitch+1e-6 {
			n++
		}
		for i := 1; i <= n; i++ {
			gap := (hi - lo - float64(float64(n)*thick)) / float64(n+1)
			z := s.boundaryBelow(lo + float64(gap*float64(i)) + float64(thick*float64(i-1)) + s.Layer/2)
			b := Brace{U: w.inset((l.U[0]+l.U[1])/2, z, 0), Z: [2]float64{snap(z), snap(z + thick)}, On: "column"}
			if may(b.U, b.Z[0]) {
				out = append(out, b)
				continue
			}
			if missing == nil {
				missing = at(ErrSteady, b.U, b.Z[0])
			}
			if lack == 0 {
				return nil, missing
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Z[0] < out[j].Z[0] })
	return out, missing
}

// columnSlack is the brace pitch less the widest clear gap of a column.
func (w *Web) columnSlack(braces []Brace) (slack, u, z float64) {
	slack = w.settings.BracePitch
	for _, l := range w.Legs {
		u = (l.U[0] + l.U[1]) / 2
		last := l.Z[0]
		next := func(lo, hi float64) {
			if s := w.settings.BracePitch - (lo - last); s < slack {
				slack, z = s, (lo+last)/2
			}
			last = math.Max(last, hi)
		}
		for _, b := range braces {
			if b.U > l.U[0]-braceDepth && b.U < l.U[1]+braceDepth {
				next(b.Z[0], b.Z[1])
			}
		}
		next(l.Z[1], l.Z[1])
	}
	return slack + w.settings.Layer, u, z // the layer grid may cost a part of one layer
}
