package span

import (
	"cmp"
	"math"
	"slices"
)

// Chords are straight ways across a footprint from rim to rim. A bead can be
// laid along one when both of its ends are held.

// A fan holds rims turned so that chords of one direction run along the first
// coordinate.
type chord struct {
	from, to Point
	length   float64
	held     bool // both ends
}

// A lead is a direction worth trying, with its weight.
type lead struct{ angle, weight float64 }

// leads returns directions for chords: those square to and along the rims,
// those between the middles of held chains, and an even fan. The first are the
// likeliest.
func (s *sheet) leads(rims []rim, fan int) []float64 {
	const bins = 720 // quarter degrees over half a turn
	var sum [bins]float64
	var mean [bins]float64
	add := func(angle, w float64) {
		angle = math.Mod(angle, math.Pi)
		if angle < 0 {
			angle += math.Pi
		}
		b := min(int(angle/math.Pi*bins), bins-1)
		sum[b] += w
		mean[b] += float64(w * angle)
	}
	for _, r := range rims {
		l := r.length()
		t := math.Atan2(r.b[1]-r.a[1], r.b[0]-r.a[0])
		if r.held {
			add(t+math.Pi/2, 2*l)
		}
		add(t, l)
	}
	chains := heldChains(rims)
	slices.SortStableFunc(chains, func(a, b chain) int { return cmp.Compare(b.length, a.length) })
	for i, a := range chains[:min(len(chains), 12)] {
		for _, b := range chains[:i] {
			add(math.Atan2(b.middle[1]-a.middle[1], b.middle[0]-a.middle[0]), 2*min(a.length, b.length))
		}
	}
	var best []lead
	for b, w := range sum {
		if w > 0 {
			best = append(best, lead{mean[b] / w, w})
		}
	}
	slices.SortStableFunc(best, func(a, b lead) int { return cmp.Compare(b.weight, a.weight) })
	var out []float64
	for _, l := range best[:min(len(best), 24)] {
		out = append(out, l.angle)
	}
	for i := range fan {
		out = append(out, (float64(i)+0.5)*math.Pi/float64(fan))
	}
	return out
}

// A chain is a row of held rims that follow one another.
type chain struct {
	first, last Point // its ends, where what holds begins and stops
	middle      Point
	length      float64
	closed      bool
}

// heldChains joins held rims end to end.
func heldChains(rims []rim) []chain {
	from := map[Point]int{}
	ends := map[Point]bool{}
	for i, r := range rims {
		if r.held {
			from[r.a] = i
			ends[r.b] = true
		}
	}
	used := make([]bool, len(rims))
	var out []chain
	follow := func(i int) {
		c := chain{first: rims[i].a}
		var row []int
		for !used[i] {
			used[i] = true
			row = append(row, i)
			c.length += rims[i].length()
			c.last = rims[i].b
			j, ok := from[rims[i].b]
			if !ok {
				break
			}
			i = j
		}
		c.closed = c.first == c.last
		half := c.length / 2
		for _, k := range row {
			l := rims[k].length()
			if half <= l || k == row[len(row)-1] {
				t := min(half/max(l, 1e-12), 1)
				c.middle = Point{rims[k].a[0] + float64(t*(rims[k].b[0]-rims[k].a[0])), rims[k].a[1] + float64(t*(rims[k].b[1]-rims[k].a[1]))}
				break
			}
			half -= l
		}
		out = append(out, c)
	}
	for i, r := range rims {
		if r.held && !ends[r.a] {
			follow(i)
		}
	}
	for i, r := range rims {
		if r.held && !used[i] {
			follow(i)
		}
	}
	return out
}

// chainOf tells for each held rim the chain it belongs to; the others get -1.
func chainOf(rims []rim) []int32 {
	out := make([]int32, len(rims))
	from := map[Point]int32{}
	for i, r := range rims {
		out[i] = -1
		if r.held {
			out[i] = int32(i)
			from[r.a] = int32(i)
		}
	}
	// Rims come ring by ring, so that few steps lead to the least of a chain.
	for changed := true; changed; {
		changed = false
		for i, r := range rims {
			if j, ok := from[r.b]; ok && r.held && out[i] != out[j] {
				out[i] = min(out[i], out[j])
				out[j] = out[i]
				changed = true
			}
		}
	}
	return out
}

// A crossing is where a line meets a rim.
type crossing struct {
	u      float64
	held   bool
	border bool // of the footprint; otherwise a rib under it
}

// A sweep is the parallel lines of one direction across a footprint, so close
// that none misses a cell. One is used for all directions, for its memory.
type sweep struct {
	s           *sheet
	cos, sin    float64
	step, first float64
	lines       int

	rims   []turnedRim
	ends   bool       // only lines that meet two held rims are asked for
	only   bool       // wanted lines are asked for, not all
	wanted []bool     // by line
	meets  []int32    // by line: held rims that it meets
	begin  []int32    // of each line's crossings, and their end
	cross  []crossing // by line
	at     []int32    // by line and place: the nodes that are wanted
	atEnd  []int32
	fill   []int32
}

// A turnedRim has the place across the lines as its second coordinate, rising.
type turnedRim struct {
	ua, wa, ub, wb float64
	held, border   bool
}

// turn returns p with the direction of the lines as first coordinate.
func (w *sweep) turn(p Point) (along, across float64) {
	return float64(p[0]*w.cos) + float64(p[1]*w.sin), float64(p[1]*w.cos) - float64(p[0]*w.sin)
}

// aim lays the lines in a direction. Rims are the border of the footprint;
// inner are further held places that end a chord. It reports whether there
// are any lines.
func (w *sweep) aim(angle float64, rims, inner []rim) bool {
	w.cos, w.sin = math.Cos(angle), math.Sin(angle)
	w.step = w.s.cell * max(math.Abs(w.cos), math.Abs(w.sin))
	w.rims = w.rims[:0]
	lo, hi := math.Inf(1), math.Inf(-1)
	for k, set := range [2][]rim{rims, inner} {
		for i := range set {
			r := &set[i]
			t := turnedRim{held: r.held, border: k == 0}
			t.ua, t.wa = w.turn(r.a)
			t.ub, t.wb = w.turn(r.b)
			if k == 0 {
				lo, hi = min(lo, t.wa, t.wb), max(hi, t.wa, t.wb)
			}
			if t.wa > t.wb {
				t.ua, t.wa, t.ub, t.wb = t.ub, t.wb, t.ua, t.wa
			}
			w.rims = append(w.rims, t)
		}
	}
	if !(hi > lo) {
		return false
	}
	// Lines lie even about the middle, so that a mirrored part is cut alike.
	w.lines = int(math.Ceil((hi - lo) / w.step))
	w.first = (lo+hi)/2 - float64(float64(w.lines-1)/2*w.step)
	w.only = false
	return !w.ends || w.meet()
}

// meet counts the held rims that each line meets, and reports whether some line
// meets two.
func (w *sweep) meet() bool {
	w.meets = resize(w.meets, w.lines+1)
	for k := range w.rims {
		if t := &w.rims[k]; t.held {
			if from, to := w.span(t); from < to {
				w.meets[from]++
				w.meets[to]--
			}
		}
	}
	n, some := int32(0), false
	for i, m := range w.meets {
		n += m
		w.meets[i] = n
		some = some || n > 1
	}
	return some
}

// asked reports whether the chords of a line are asked for.
func (w *sweep) asked(line int) bool {
	return (!w.only || w.wanted[line]) && (!w.ends || w.meets[line] > 1)
}

// want restricts the sweep to the lines that pass nodes, two for each: one on
// either side of its middle.
func (w *sweep) want(nodes []int32) {
	w.only = true
	w.wanted = resize(w.wanted, w.lines+1)
	w.atEnd = resize(w.atEnd, w.lines+2)
	line := func(n int32) int {
		_, a := w.turn(w.s.pts[n])
		return min(max(int(math.Floor((a-w.first)/w.step)), 0), w.lines-1)
	}
	for _, n := range nodes {
		i := line(n)
		w.wanted[i], w.wanted[i+1] = true, true
		w.atEnd[i+1]++
		w.atEnd[i+2]++
	}
	for i := range w.lines + 1 {
		w.atEnd[i+1] += w.atEnd[i]
	}
	w.at = resize(w.at, 2*len(nodes))
	w.fill = append(w.fill[:0], w.atEnd...)
	for _, n := range nodes {
		i := line(n)
		w.at[w.fill[i]], w.at[w.fill[i+1]] = n, n
		w.fill[i]++
		w.fill[i+1]++
	}
}

// nodes returns those wanted about a line.
func (w *sweep) nodes(line int) []int32 { return w.at[w.atEnd[line]:w.atEnd[line+1]] }

// resize returns a slice of n zeroes in the memory of old where it suffices.
func resize[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, n, n+n/4)
	}
	old = old[:n]
	clear(old)
	return old
}

// span returns the lines that rim t meets.
func (w *sweep) span(t *turnedRim) (from, to int) {
	return max(int(math.Ceil((t.wa-w.first)/w.step)), 0), min(int(math.Ceil((t.wb-w.first)/w.step)), w.lines)
}

// find fills in the crossings of all wanted lines with the rims.
func (w *sweep) find() {
	w.begin = resize(w.begin, w.lines+1)
	for k := range w.rims {
		from, to := w.span(&w.rims[k])
		for i := from; i < to; i++ {
			if w.asked(i) {
				w.begin[i+1]++
			}
		}
	}
	for i := range w.lines {
		w.begin[i+1] += w.begin[i]
	}
	w.cross = resize(w.cross, int(w.begin[w.lines]))
	w.fill = append(w.fill[:0], w.begin...)
	for k := range w.rims {
		t := &w.rims[k]
		from, to := w.span(t)
		for i := from; i < to; i++ {
			if w.asked(i) {
				at := w.first + float64(float64(i)*w.step)
				w.cross[w.fill[i]] = crossing{t.ua + float64((at-t.wa)/(t.wb-t.wa)*(t.ub-t.ua)), t.held, t.border}
				w.fill[i]++
			}
		}
	}
}

// chords visits the chords of the direction aimed at, on wanted lines.
func (w *sweep) chords(visit func(line int, c chord)) {
	w.find()
	for i := range w.lines {
		row := w.cross[w.begin[i]:w.begin[i+1]]
		if len(row) < 2 {
			continue
		}
		sortCrossings(row)
		across := w.first + float64(float64(i)*w.step)
		at := func(u float64) Point {
			return Point{float64(u*w.cos) - float64(across*w.sin), float64(u*w.sin) + float64(across*w.cos)}
		}
		in := false
		for k, x := range row {
			if k > 0 && in && x.u > row[k-1].u {
				visit(i, chord{at(row[k-1].u), at(x.u), x.u - row[k-1].u, x.held && row[k-1].held})
			}
			if x.border {
				in = !in
			}
		}
	}
}

// sortCrossings sorts a row along its line; equal ones keep their order.
func sortCrossings(row []crossing) {
	if len(row) > 24 {
		slices.SortStableFunc(row, func(a, b crossing) int { return cmp.Compare(a.u, b.u) })
		return
	}
	for i := 1; i < len(row); i++ {
		x := row[i]
		j := i
		for ; j > 0 && row[j-1].u > x.u; j-- {
			row[j] = row[j-1]
		}
		row[j] = x
	}
}

// marks reports whether [sheet.mark] of a chord visits node n.
func (s *sheet) marks(from, to Point, n int32) bool {
	i, j := int(s.at[n])%s.nx, int(s.at[n])/s.nx
	dx, dy := (to[0]-from[0])/s.cell, (to[1]-from[1])/s.cell
	x, y := (from[0]-s.origin[0])/s.cell, (from[1]-s.origin[1])/s.cell
	if math.Abs(dx) < math.Abs(dy) {
		x, y, dx, dy, i, j = y, x, dy, dx, j, i
	}
	if dx < 0 {
		x, y, dx, dy = x+dx, y+dy, -dx, -dy
	}
	mid := float64(i) + 0.5
	return i >= int(math.Ceil(x-0.5)) && mid <= x+dx && j == int(math.Floor(y+float64((mid-x)/dx*dy)))
}

// mark calls f for every node within half a cell of a chord.
func (s *sheet) mark(from, to Point, f func(n int32)) {
	dx, dy := (to[0]-from[0])/s.cell, (to[1]-from[1])/s.cell
	x, y := (from[0]-s.origin[0])/s.cell, (from[1]-s.origin[1])/s.cell
	// One cell per column (or row) along the longer direction, at its centre.
	if math.Abs(dx) >= math.Abs(dy) {
		if dx < 0 {
			x, y, dx, dy = x+dx, y+dy, -dx, -dy
		}
		for i := int(math.Ceil(x - 0.5)); float64(i)+0.5 <= x+dx && i < s.nx; i++ {
			j := int(math.Floor(y + float64((float64(i)+0.5-x)/dx*dy)))
			if i >= 0 && j >= 0 && j < s.ny {
				if n := s.id[j*s.nx+i]; n >= 0 {
					f(n)
				}
			}
		}
		return
	}
	if dy < 0 {
		x, y, dx, dy = x+dx, y+dy, -dx, -dy
	}
	for j := int(math.Ceil(y - 0.5)); float64(j)+0.5 <= y+dy && j < s.ny; j++ {
		i := int(math.Floor(x + float64((float64(j)+0.5-y)/dy*dx)))
		if j >= 0 && i >= 0 && i < s.nx {
			if n := s.id[j*s.nx+i]; n >= 0 {
				f(n)
			}
		}
	}
}
