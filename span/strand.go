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
		for _, w := range [4]int{0, 1, 4, 5} {
			// Nearly all neighbours hang on one anchor.
			if b := s.id[s.at[n]+s.off[w]]; b < 0 || f.anchor[a] == f.anchor[b] {
				continue
			}
			b := s.next(a, w)
			if b < 0 || math.IsInf(f.d[a], 1) || math.IsInf(f.d[b], 1) {
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

// A weave is the strands found so far: for every node the length of the
// shortest one through it, +Inf where there is none.
type weave struct {
	s      *sheet
	length []float64
	// enough tells for each node what length needs no shorter one; +Inf where a
	// strand is of use but none is needed.
	enough []float64
	left   int // nodes that need a shorter one
	// While some node has none up to span, strands of any length are of use;
	// from then on only those up to limit are, as long as none is longer.
	limit, span float64
	far         int // nodes that need one and have none up to span
}

func newWeave(s *sheet, limit, span float64, enough []float64) *weave {
	w := &weave{s: s, length: s.floats(len(s.at)), enough: enough, limit: limit, span: span}
	for n := range w.length {
		w.length[n] = math.Inf(1)
		if !math.IsInf(enough[n], 1) {
			w.left++
		}
	}
	if span > 0 {
		w.span, w.far = max(span, limit), w.left
	}
	return w
}

// serves reports whether a strand of length l may be of use to some node.
func (w *weave) serves(l float64) bool { return l <= w.limit || w.far > 0 }

// put gives node n a strand.
func (w *weave) put(n int32, l float64) {
	old := w.length[n]
	if l >= old {
		return
	}
	w.length[n] = l
	e := w.enough[n]
	if old > e && l <= e {
		w.left--
	}
	if old > w.span && l <= w.span && !math.IsInf(e, 1) {
		w.far--
	}
}

// lay gives the nodes along a chord a strand.
func (w *weave) lay(c chord) {
	w.s.mark(c.from, c.to, func(n int32) { w.put(n, c.length) })
}

// lacks reports whether some node needs a strand and has none at all.
func (w *weave) lacks() bool {
	for n, l := range w.length {
		if math.IsInf(l, 1) && !math.IsInf(w.enough[n], 1) {
			return true
		}
	}
	return false
}

// bare returns those of nodes that a further strand may serve, in place.
func (w *weave) bare(nodes []int32) []int32 {
	out := nodes[:0]
	for _, n := range nodes {
		if x := w.length[n]; x > w.enough[n] || math.IsInf(x, 1) {
			out = append(out, n)
		}
	}
	return out
}

// strands looks for strands: straight chords with both ends held, and the
// strings over ridges. Those beyond limit are looked for only until no node
// needs one beyond span, not at all where span is 0. It stops when every node
// has one that is short enough for it.
func (s *sheet) strands(f *field, ridges []ridge, rims, inner []rim, limit, span float64, enough []float64) *weave {
	w := newWeave(s, limit, span, enough)
	for _, r := range ridges {
		if w.serves(r.length) {
			for _, n := range [2]int32{r.a, r.b} {
				f.walk(n, func(m int32) { w.put(m, r.length) })
			}
		}
	}
	good := func(c chord) bool {
		return c.held && w.serves(c.length) && !s.crossesCliff(c.from, c.to)
	}
	// What has a strand needs no other: the later directions look only along
	// lines past what has none, and at what has none along them.
	bare := s.ints(len(s.at))
	for n := range bare {
		bare[n] = int32(n)
	}
	// A strand ends on two held rims: in most directions across a strip no line
	// meets so many.
	sw := sweep{s: s, ends: true}
	for _, a := range s.leads(append(rims[:len(rims):len(rims)], inner...), fanLines) {
		if w.left == 0 {
			return w
		}
		if !sw.aim(a, rims, inner) {
			continue
		}
		if w.left < len(s.at)/16 {
			bare = w.bare(bare)
		}
		if len(bare) > len(s.at)/16 {
			// Most lines would be wanted anyway.
			sw.chords(func(_ int, c chord) {
				if good(c) {
					w.lay(c)
				}
			})
			continue
		}
		sw.want(bare)
		sw.chords(func(line int, c chord) {
			if !good(c) {
				return
			}
			for _, n := range sw.nodes(line) {
				if s.marks(c.from, c.to, n) {
					w.put(n, c.length)
				}
			}
		})
	}
	if w.lacks() {
		most := w.limit
		if w.far > 0 {
			most = math.Inf(1)
		}
		s.tieEnds(rims, inner, most, func(c chord) {
			if good(c) {
				w.lay(c)
			}
		})
	}
	return w
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
