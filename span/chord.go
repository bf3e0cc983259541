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

// sweep visits every chord of one direction, on parallel lines so close that
// none misses a cell. Rims are the border of the footprint; inner are further
// held places that end a chord. When only is not nil, lines that pass none of
// its nodes are left out.
func (s *sheet) sweep(angle float64, rims, inner []rim, only []int32, visit func(chord)) {
	c, n := math.Cos(angle), math.Sin(angle)
	step := s.cell * max(math.Abs(c), math.Abs(n))
	lo, hi := math.Inf(1), math.Inf(-1)
	turn := func(p Point) (u, w float64) {
		return float64(p[0]*c) + float64(p[1]*n), float64(p[1]*c) - float64(p[0]*n)
	}
	for _, r := range rims {
		_, a := turn(r.a)
		_, b := turn(r.b)
		lo, hi = min(lo, a, b), max(hi, a, b)
	}
	if !(hi > lo) {
		return
	}
	// Lines lie even about the middle, so that a mirrored part is cut alike.
	lines := int(math.Ceil((hi - lo) / step))
	first := (lo+hi)/2 - float64(float64(lines-1)/2*step)
	count := make([]int32, lines+1)
	var wanted []bool
	if only != nil {
		wanted = make([]bool, lines+1)
		for _, m := range only {
			_, w := turn(s.pos(m))
			i := min(max(int(math.Floor((w-first)/step)), 0), lines-1)
			wanted[i], wanted[i+1] = true, true
		}
	}
	each := func(f func(line int, x crossing)) {
		for k, set := range [2][]rim{rims, inner} {
			for _, r := range set {
				ua, wa := turn(r.a)
				ub, wb := turn(r.b)
				if wa > wb {
					ua, wa, ub, wb = ub, wb, ua, wa
				}
				i0 := max(int(math.Ceil((wa-first)/step)), 0)
				i1 := min(int(math.Ceil((wb-first)/step)), lines)
				for i := i0; i < i1; i++ {
					if wanted != nil && !wanted[i] {
						continue
					}
					w := first + float64(float64(i)*step)
					f(i, crossing{ua + float64((w-wa)/(wb-wa)*(ub-ua)), r.held, k == 0})
				}
			}
		}
	}
	each(func(i int, _ crossing) { count[i+1]++ })
	for i := range lines {
		count[i+1] += count[i]
	}
	all := make([]crossing, count[lines])
	fill := append([]int32(nil), count[:lines]...)
	each(func(i int, x crossing) { all[fill[i]] = x; fill[i]++ })
	for i := range lines {
		row := all[count[i]:count[i+1]]
		slices.SortStableFunc(row, func(a, b crossing) int { return cmp.Compare(a.u, b.u) })
		w := first + float64(float64(i)*step)
		at := func(u float64) Point { return Point{float64(u*c) - float64(w*n), float64(u*n) + float64(w*c)} }
		in := false
		for k, x := range row {
			if k > 0 && in && x.u > row[k-1].u {
				visit(chord{at(row[k-1].u), at(x.u), x.u - row[k-1].u, x.held && row[k-1].held})
			}
			if x.border {
				in = !in
			}
		}
	}
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
