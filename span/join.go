package span

import (
	"cmp"
	"context"
	"math"
	"slices"

	"falsework/mesh/section"
)

// A unit is one connected piece of what a layer adds.
type unit struct {
	k    int
	foot section.Polygons
	self bool  // carries itself: of a slab's spread
	root int   // union-find
	cell []run // sample points in it, or about it when it is narrower than the lattice
	core []run // sample points in it

	// Of what is looked at in tiles (see tile.go):
	whole  int   // its first tile
	parts  int   // how many tiles there are
	tile   tile  // which one this is
	beside []int // tiles about it
}

// area is that of the unit's sample points.
func (u *unit) area(cell float64) float64 {
	n := 0
	for _, r := range u.core {
		n += int(r.to - r.from)
	}
	return float64(n) * cell * cell
}

// A joiner makes ceilings out of units: pieces of layers that touch in plan
// and follow one another in height.
type joiner struct {
	c      *cuts
	g      *ground
	slabs  []slab
	slope  float64
	window int // layers within the rise that still joins
	cell   float64
	origin Point
	units  []unit
	// How wide the last places of a file may make an upright wall in one layer.
	rounding float64
	near     map[[2]int][]Point // touching units that are not of neighbouring layers, with contact points
	touch    map[[2]int]bool    // touching units, at least one of which carries itself
	above    [][]int            // by unit: higher units it touches, where one of both carries itself
}

func (j *joiner) find(i int) int {
	for j.units[i].root != i {
		j.units[i].root = j.units[j.units[i].root].root
		i = j.units[i].root
	}
	return i
}

// join makes a and b one; the lower index leads, so that the order of joining
// does not show.
func (j *joiner) join(a, b int) {
	a, b = j.find(a), j.find(b)
	if a != b {
		j.units[max(a, b)].root = min(a, b)
	}
}

// addUnits makes units of every slab.
func (j *joiner) addUnits(ctx context.Context) error {
	pieces := make([][]unit, len(j.slabs))
	err := forEach(ctx, len(j.slabs), nil, func(k int) error {
		pieces[k] = j.unitsOf(j.unitsOf(nil, k, j.slabs[k].foot, false), k, j.slabs[k].spread, true)
		return nil
	})
	if err != nil {
		return err
	}
	for _, list := range pieces {
		for _, u := range list {
			if u.self {
				j.tiles(u.k, u.foot, u.cell, u.core)
				continue
			}
			u.root = len(j.units)
			j.units = append(j.units, u)
		}
	}
	return nil
}

// unitsOf appends what is connected in a part of slab k, as far as it meets the
// lattice.
func (j *joiner) unitsOf(out []unit, k int, p section.Polygons, self bool) []unit {
	for _, q := range components(p) {
		if self && 2*q.Area() < j.rounding*perimeter(q) {
			continue // an upright wall whose corners were rounded
		}
		u := unit{k: k, foot: q, self: self, core: scan(q, j.origin, j.cell)}
		u.cell = u.core
		if 2*q.Area() < 1.5*j.cell*perimeter(q) {
			// Narrower than the lattice: the cells its border passes count.
			u.cell = scan(section.Offset(q, 0.75*j.cell, section.Miter), j.origin, j.cell)
		}
		if len(u.cell) > 0 {
			out = append(out, u)
		}
	}
	return out
}

type tagged struct {
	run
	unit int
	k    int
}

// findTouching meets all pairs of units whose cells touch.
func (j *joiner) findTouching() {
	all := make([]int, len(j.units))
	for i := range all {
		all[i] = i
	}
	j.contacts(all, j.meet)
}

// contacts visits the pairs among units whose cells touch and whose layers lie
// within the rise that still joins, the lower one first.
func (j *joiner) contacts(units []int, visit func(a, b tagged)) {
	all := j.byRow(units)
	n := len(all)
	// Where the rows beside a run begin, from its layer on, only moves on.
	var at [3]int
	for i, a := range all {
		at[1] = i + 1
		for dj := range int32(3) {
			row := a.row + dj - 1
			if dj != 1 {
				for at[dj] < n && (all[at[dj]].row < row || all[at[dj]].row == row && all[at[dj]].k < a.k) {
					at[dj]++
				}
			}
			for _, b := range all[at[dj]:] {
				if b.row != row || b.k > a.k+j.window {
					break
				}
				if b.unit != a.unit && a.to >= b.from && b.to >= a.from {
					visit(a, b)
				}
			}
		}
	}
}

// byRow lists the cells of units by row, then layer, column and unit. They are
// counted into their rows first: each is then a short list nearly in order, where
// sorting them all was a good part of joining.
func (j *joiner) byRow(units []int) []tagged {
	first, last, n := int32(math.MaxInt32), int32(math.MinInt32), 0
	for _, i := range units {
		for _, r := range j.units[i].cell {
			first, last, n = min(first, r.row), max(last, r.row), n+1
		}
	}
	if n == 0 {
		return nil
	}
	all, begin := make([]tagged, n), make([]int32, last-first+3)
	for _, i := range units {
		for _, r := range j.units[i].cell {
			begin[r.row-first+2]++
		}
	}
	for k := range begin[1:] {
		begin[k+1] += begin[k]
	}
	for _, i := range units {
		u := &j.units[i]
		for _, r := range u.cell {
			at := &begin[r.row-first+1]
			all[*at] = tagged{r, i, u.k}
			*at++
		}
	}
	for k := range last - first + 1 {
		slices.SortFunc(all[begin[k]:begin[k+1]], func(a, b tagged) int {
			return cmp.Or(cmp.Compare(a.k, b.k), cmp.Compare(a.from, b.from), cmp.Compare(a.unit, b.unit))
		})
	}
	return all
}

// meet notes that two units touch; a is not above b.
func (j *joiner) meet(a, b tagged) {
	ua, ub := &j.units[a.unit], &j.units[b.unit]
	key := [2]int{a.unit, b.unit}
	switch {
	case ua.self || ub.self:
		if ua.k != ub.k {
			j.touch[key] = true
		}
	case b.k-a.k <= 1:
		j.join(a.unit, b.unit)
	default:
		// All along where they touch: at its ends it may be held.
		const every = 8
		from := min(max(a.from, b.from), b.to-1)
		for col := from; col == from || col < min(a.to, b.to); col += every {
			j.near[key] = append(j.near[key], Point{j.origin[0] + (float64(col)+0.5)*j.cell, j.origin[1] + (float64(b.row)+0.5)*j.cell})
		}
	}
}

// sorted returns the keys of a set of pairs, upper unit first in order.
func sorted[T any](m map[[2]int]T) [][2]int {
	out := make([][2]int, 0, len(m))
	for p := range m {
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b [2]int) int { return cmp.Or(cmp.Compare(a[1], b[1]), cmp.Compare(a[0], b[0])) })
	return out
}

// joinSteps joins pieces a step apart while something of the lower one is
// still beyond the slope cone that grows from what is held. What begins in
// mid-air and hangs lower than half that rise, as a boss does, is not carried by
// the ceiling that is laid over it later; less is the noise of a scan.
func (j *joiner) joinSteps() error {
	loose := j.findLoose()
	for _, p := range sorted(j.near) {
		if j.find(p[0]) == j.find(p[1]) {
			continue
		}
		if a, b := &j.units[p[0]], &j.units[p[1]]; 2*(b.k-a.k) > j.window && loose[p[0]] && !loose[p[1]] {
			continue
		}
		ok, err := j.beyond(p[0], j.units[p[1]].k, j.near[p])
		if err != nil {
			return err
		}
		if ok {
			j.join(p[0], p[1])
		}
	}
	return nil
}

// findLoose tells for each unit whether all that it is joined to so far begins in
// mid-air.
func (j *joiner) findLoose() []bool {
	firm := make([]bool, len(j.units)) // by root
	for i, u := range j.units {
		if l := j.g.find[u.k]; l == nil {
			firm[j.find(i)] = true
		} else if !u.self {
			r := u.cell[len(u.cell)/2]
			p := Point{j.origin[0] + (float64(r.from+r.to)/2)*j.cell, j.origin[1] + (float64(r.row)+0.5)*j.cell}
			firm[j.find(i)] = firm[j.find(i)] || !l.has(p)
		}
	}
	out := make([]bool, len(j.units))
	for i := range out {
		out[i] = !firm[j.find(i)]
	}
	return out
}

// beyond reports whether, just below layer top, some contact point is on
// material of unit a that the slope cone has not reached.
func (j *joiner) beyond(a, top int, contact []Point) (bool, error) {
	u := j.units[a]
	young := section.Intersect(u.foot, j.slabs[u.k].hangs)
	lo, hi := bounds(u.foot)
	const room = 3
	frame := section.Polygons{{{lo[0] - room, lo[1] - room}, {hi[0] + room, lo[1] - room}, {hi[0] + room, hi[1] + room}, {lo[0] - room, hi[1] + room}}}
	below, err := j.c.at(u.k)
	if err != nil {
		return false, err
	}
	below = section.Intersect(below, frame)
	for k := u.k + 1; k < top; k++ {
		now, err := j.c.at(k)
		if err != nil {
			return false, err
		}
		now = section.Intersect(now, frame)
		d := offsetOf(j.c.st, k, j.slope)
		// Old material outside the frame carries too: what touches the frame
		// is taken as it is.
		young = section.Subtract(now, section.Offset(section.Subtract(below, young), d, section.Miter))
		young = section.Intersect(young, section.Offset(u.foot, room, section.Miter))
		if empty(young) {
			return false, nil
		}
		below = now
	}
	l := newLocator(section.Offset(young, offsetOf(j.c.st, top, j.slope)+2*j.cell, section.Miter))
	for _, p := range contact {
		if l.has(p) {
			return true, nil
		}
	}
	return false, nil
}

// joinSelf joins ceilings over pieces that carry themselves: those that rest
// on young ceiling and lead to more of it, and those that close a gable.
func (j *joiner) joinSelf() {
	below := make([][]int, len(j.units)) // lower units touching a unit
	above := make([][]int, len(j.units))
	j.above = above
	for _, p := range sorted(j.touch) {
		if j.units[p[0]].k < j.units[p[1]].k {
			below[p[1]] = append(below[p[1]], p[0])
			above[p[0]] = append(above[p[0]], p[1])
		}
	}
	// birth is the layer of the youngest ceiling a piece rests on, -1 if none
	// is young enough.
	birth := make([]int, len(j.units))
	for i, u := range j.units {
		birth[i] = -1
		if !u.self {
			birth[i] = u.k
			continue
		}
		for _, b := range below[i] {
			if birth[b] >= 0 && u.k-birth[b] <= j.window {
				birth[i] = max(birth[i], birth[b])
			}
		}
	}
	birth = j.spread(birth, func(a, b int) bool { return a > b })
	// leads is the lowest layer of ceiling reached from a piece upwards.
	const none = 1 << 30
	leads := make([]int, len(j.units))
	for i := len(j.units) - 1; i >= 0; i-- {
		leads[i] = none
		if !j.units[i].self {
			leads[i] = j.units[i].k
			continue
		}
		for _, a := range above[i] {
			leads[i] = min(leads[i], leads[a])
		}
	}
	leads = j.spread(leads, func(a, b int) bool { return a < b })
	through := func(i int) bool {
		return birth[i] >= 0 && leads[i] != none && leads[i]-birth[i] <= j.window
	}
	closing := make([]bool, len(j.units)) // as things stand before any of it joins
	for i, u := range j.units {
		closing[i] = u.self && birth[i] >= 0 && !through(i) && j.closes(i, below)
	}
	for i, u := range j.units {
		if !u.self || birth[i] < 0 {
			continue
		}
		on := through(i)
		if !on && !closing[i] {
			continue
		}
		for _, b := range u.beside {
			if on && through(b) || closing[i] && closing[b] {
				j.join(b, i)
			}
		}
		for _, b := range below[i] {
			if birth[b] >= 0 && u.k-birth[b] <= j.window && (!j.units[b].self || on) {
				j.join(b, i)
			}
		}
		for _, a := range above[i] {
			if on && leads[a] != none && leads[a]-birth[i] <= j.window {
				j.join(a, i)
			}
		}
	}
}

// spread gives every tile the best of its own value and those of the tiles
// about it.
func (j *joiner) spread(v []int, better func(a, b int) bool) []int {
	out := append([]int(nil), v...)
	for i, u := range j.units {
		for _, b := range u.beside {
			if better(v[b], out[i]) {
				out[i] = v[b]
			}
		}
	}
	return out
}

// closes reports whether a piece, with the tiles about it, lies between two
// pieces of ceiling of the layer below: the ridge of a gable. They may be of one
// ceiling already, where the ridge is narrower than the lattice.
func (j *joiner) closes(i int, below [][]int) bool {
	first := -1
	for _, t := range append([]int{i}, j.units[i].beside...) {
		for _, b := range below[t] {
			if j.units[b].self || j.units[b].k != j.units[i].k-1 {
				continue
			}
			if first < 0 {
				first = b
			} else if b != first {
				return true
			}
		}
	}
	return false
}

// groups returns the units of each ceiling, lowest first; pieces that carry
// themselves and joined none are left out.
func (j *joiner) groups() [][]int {
	all := make([]int, len(j.units))
	for i := range all {
		all[i] = i
	}
	return j.hanging(all, j.find)
}

// hanging gathers units by their root, in the order of the first of each, and
// leaves out groups in which all carry themselves.
func (j *joiner) hanging(units []int, find func(int) int) [][]int {
	at := map[int]int{}
	var out [][]int
	hangs := map[int]bool{}
	for _, i := range units {
		if !j.units[i].self {
			hangs[find(i)] = true
		}
	}
	for _, i := range units {
		r := find(i)
		if !hangs[r] {
			continue
		}
		g, ok := at[r]
		if !ok {
			g = len(out)
			at[r] = g
			out = append(out, nil)
		}
		out[g] = append(out[g], i)
	}
	return out
}

// extend returns a group with the pieces that carry themselves and rest on it
// within the rise that still joins: what a keel or a needle grows to.
func (j *joiner) extend(group []int) []int {
	in := map[int]bool{}
	out := append([]int(nil), group...)
	for _, i := range group {
		in[i] = true
	}
	first := j.units[group[0]].k
	for n := 0; n < len(out); n++ {
		for _, a := range j.above[out[n]] {
			if u := j.units[a]; !in[a] && u.self && u.k-first <= j.window {
				in[a] = true
				out = append(out, a)
			}
		}
	}
	slices.Sort(out)
	return out
}
