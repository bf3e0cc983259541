package span

import (
	"math"
)

// widest is the least angle at which the two halves of a bent strand leave a
// point: a bead does not turn back on itself.
const widest = 115 * math.Pi / 180

// fanLines is the number of directions tried beside those that the rims
// suggest: one every 2.5 degrees.
const fanLines = 72

// back is the least angle between the ends of a bent strand that begins and
// ends on one held edge. Round a hole in a plate that stands out from a wall
// there are two ways back to that wall, and nothing between them is a bridge.
const back = 60 * math.Pi / 180

// A ridge is a place where the taut strings to two held rims part.
type ridge struct {
	a, b   int32 // neighbouring nodes on either side
	length float64
	mid    Point
}

// ridges returns the places where a bent strand is shortest, each with the
// length of the strand over it.
func (f *field) ridges() []ridge {
	s := f.s
	var out []ridge
	chain := chainOf(f.rims)
	for n := range s.at {
		a := int32(n)
		if math.IsInf(f.d[a], 1) {
			continue
		}
		for _, w := range [4]int{0, 1, 4, 5} {
			b := s.next(a, w)
			if b < 0 || math.IsInf(f.d[b], 1) || f.anchor[a] == f.anchor[b] {
				continue
			}
			p, q := s.pos(a), s.pos(b)
			mid := Point{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2}
			da, pa := f.along(a, mid)
			db, pb := f.along(b, mid)
			if angleAt(mid, pa, pb) < widest || angleAt(mid, f.ahead(a, mid), f.ahead(b, mid)) < widest {
				continue
			}
			ra, ua := f.end(a, mid)
			rb, ub := f.end(b, mid)
			if chain[ra] == chain[rb] && angleAt(Point{}, ua, ub) < back {
				continue
			}
			out = append(out, ridge{a, b, da + db, mid})
		}
	}
	return out
}

// ahead returns the first point of the string from p over node n that lies so
// far off that its direction is more than the lattice's own.
func (f *field) ahead(n int32, p Point) Point {
	far := 6 * f.s.cell
	_, q := f.along(n, p)
	for a := f.anchor[n]; a < 0 && distance(p, q) < far; {
		n = ^a
		a = f.anchor[n]
		_, q = f.along(n, f.s.pos(n))
	}
	return q
}

// end returns the rim that the string from p over node n ends on, and the
// direction in which it arrives.
func (f *field) end(n int32, p Point) (int32, Point) {
	a := f.anchor[n]
	for a < 0 {
		p = f.s.pos(^a)
		a = f.anchor[^a]
	}
	q, _ := f.rims[a].nearest(p)
	return a, Point{q[0] - p[0], q[1] - p[1]}
}

// angleAt returns the angle at p between the ways to a and b, 0 when either is
// no way at all.
func angleAt(p, a, b Point) float64 {
	ax, ay := a[0]-p[0], a[1]-p[1]
	bx, by := b[0]-p[0], b[1]-p[1]
	l := math.Hypot(ax, ay) * math.Hypot(bx, by)
	if l == 0 {
		return 0
	}
	return math.Acos(min(max((ax*bx+ay*by)/l, -1), 1))
}

// strands returns for every node the length of the shortest strand through
// it, +Inf where there is none: straight chords with both ends held, and the
// strings over ridges. Lengths above limit need not be found (use +Inf to find
// all); needed tells which nodes matter (nil: all), and the search stops when
// each of those has one.
func (s *sheet) strands(f *field, rims, inner []rim, limit float64, needed []bool) []float64 {
	out := make([]float64, len(s.at))
	for i := range out {
		out[i] = math.Inf(1)
	}
	left := 0
	for i := range out {
		if needed == nil || needed[i] {
			left++
		}
	}
	stop := !math.IsInf(limit, 1)
	put := func(l float64) func(n int32) {
		return func(n int32) {
			if l < out[n] {
				if math.IsInf(out[n], 1) && (needed == nil || needed[n]) {
					left--
				}
				out[n] = l
			}
		}
	}
	lay := func(c chord) {
		if c.held && c.length <= limit && !s.crossesCliff(c.from, c.to) {
			s.mark(c.from, c.to, put(c.length))
		}
	}
	for _, r := range f.ridges() {
		if r.length <= limit {
			f.walk(r.a, put(r.length))
			f.walk(r.b, put(r.length))
		}
	}
	// With a limit, what has a strand needs no other: the later directions look
	// only along lines past what has none.
	var bare []int32
	for i, a := range s.leads(append(rims[:len(rims):len(rims)], inner...), fanLines) {
		if stop && left == 0 {
			return out
		}
		if stop && i > 0 {
			bare = s.bare(bare, out)
		}
		only := bare
		if len(bare) > len(out)/16 {
			only = nil // most lines would be wanted anyway
		}
		s.sweep(a, rims, inner, only, lay)
	}
	if left > 0 {
		s.tieEnds(rims, inner, limit, lay)
	}
	return out
}

// bare returns the nodes without a strand; last is its answer before, nil at
// first.
func (s *sheet) bare(last []int32, strands []float64) []int32 {
	if last == nil {
		last = make([]int32, len(strands))
		for n := range last {
			last[n] = int32(n)
		}
	}
	out := last[:0]
	for _, n := range last {
		if math.IsInf(strands[n], 1) {
			out = append(out, n)
		}
	}
	return out
}

// crossesCliff reports whether a chord passes a step of the underside too high
// for a bead.
func (s *sheet) crossesCliff(from, to Point) bool {
	if !s.cliffs {
		return false
	}
	last, cut := int32(-1), false
	s.mark(from, to, func(n int32) {
		if last >= 0 && math.Abs(s.z[n]-s.z[last]) > 1.5*s.step {
			cut = true
		}
		last = n
	})
	return cut
}

// tieEnds lays the chords that border what can be carried: from each end of
// what holds to each other one, and in a close fan about each.
func (s *sheet) tieEnds(rims, inner []rim, limit float64, lay func(chord)) {
	const most = 24
	all := append(rims[:len(rims):len(rims)], inner...)
	var ends []Point
	for _, c := range heldChains(all) {
		if !c.closed {
			ends = append(ends, c.first, c.last)
		}
	}
	if len(ends) == 0 || len(ends) > most {
		ends = ends[:min(len(ends), most)]
	}
	for i, p := range ends {
		for _, q := range ends[:i] {
			if l := distance(p, q); l > 0 && l <= limit && s.open(p, q) {
				lay(chord{p, q, l, true})
			}
		}
		s.fanAbout(p, all, limit, lay)
	}
}

// open reports whether the straight way from p to q stays in the sheet, the
// last cell at each end not looked at.
func (s *sheet) open(p, q Point) bool {
	if s.convex && !s.cliffs {
		return true
	}
	dx, dy := (q[0]-p[0])/s.cell, (q[1]-p[1])/s.cell
	long := max(math.Abs(dx), math.Abs(dy))
	if long < 2 {
		return true
	}
	dx, dy = dx/long, dy/long
	x, y := (p[0]-s.origin[0])/s.cell, (p[1]-s.origin[1])/s.cell
	for k := 1.0; k < long-1; {
		n := s.id[int(y+float64(k*dy))*s.nx+int(x+float64(k*dx))]
		if n < 0 {
			return false
		}
		k += max(float64(s.clear[n]-1), 1)
	}
	return true
}

// fanAbout lays chords from p to the held rims it sees, at every cell's length
// along them.
func (s *sheet) fanAbout(p Point, rims []rim, limit float64, lay func(chord)) {
	for _, r := range rims {
		if !r.held {
			continue
		}
		l := r.length()
		k := int(l/(2*s.cell)) + 1
		if k > 200 {
			k = 200
		}
		for i := 0; i <= k; i++ {
			t := float64(i) / float64(k)
			q := Point{r.a[0] + float64(t*(r.b[0]-r.a[0])), r.a[1] + float64(t*(r.b[1]-r.a[1]))}
			if d := distance(p, q); d > s.cell && d <= limit && s.open(p, q) {
				lay(chord{p, q, d, true})
			}
		}
	}
}
