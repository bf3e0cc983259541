package span

import (
	"math"

	"falsework/mesh/section"
)

// over is by how much a length must pass a limit to count as over it.
const over = 0.1

// A load is how far the places of a sheet are from what carries them.
type load struct {
	reach    float64 // greatest distance to a held rim
	reachAt  Point
	span     float64 // longest shortest strand, 0 when there is none
	ridged   float64 // the longest string over a ridge
	ridge    bool    // a string held at both ends passes the furthest point
	hang     float64 // greatest distance to what holds or is carried within the limit
	hangAt   Point
	hangNode int32
	strand   float64 // shortest strand at hangAt, +Inf when there is none
	bridges  bool    // a strand, if too long, passes about there
	held     bool
	cut      bool      // some of it is cut off from everything held
	hangs    []float64 // hang by node
}

// limits are how long a strand may be, by the place that it carries.
type limits struct {
	most float64
	each []float64 // by node; nil where all have the most
}

func (l limits) at(n int32) float64 {
	if l.each == nil {
		return l.most
	}
	return l.each[n]
}

// measure finds reach, span and hang of a sheet.
func (s *sheet) measure(limit limits, ledge, slope float64) load {
	f := s.spread(s.rims, nil)
	var l load
	for _, d := range f.d {
		l.held = l.held || !math.IsInf(d, 1)
	}
	if !l.held {
		l.hangs = f.d
		l.reach, l.hang, l.strand = math.Inf(1), math.Inf(1), math.Inf(1)
		return l
	}
	l.cut = s.cutOff(f, s.bead)
	l.reach, l.reachAt, _ = f.greatest()
	ridges := f.ridges()
	for _, r := range ridges {
		if !s.counts(r.a) || !s.counts(r.b) {
			continue
		}
		l.ridge = l.ridge || s.shapes(r, l.reach)
		l.ridged = max(l.ridged, r.length)
	}
	l.span = l.ridged
	var carried []bool
	var strands []float64
	if l.reach > ledge {
		span := max(l.span, 2*l.reach) + hairsbreadth
		strands = s.strands(f, ridges, s.rims, nil, limit.most+over, span, enough(f, limit, span)).length
		carried = s.bools(len(strands))
		for n, x := range strands {
			carried[n] = x <= limit.at(int32(n))+over
			if !math.IsInf(x, 1) && f.d[n] > ledge && s.counts(int32(n)) {
				l.span = max(l.span, x)
			}
		}
	}
	s.findHang(&l, f, carried, slope)
	if carried != nil && l.hang <= ledge+over {
		s.shapeOf(&l, f, ridges, strands, limit, ledge, slope)
	}
	l.strand = math.Inf(1)
	if strands != nil && l.hangNode >= 0 {
		l.strand = s.strandAbout(strands, l.hangNode)
		l.bridges = s.bridged(&l, strands)
	}
	return l
}

// strandAbout returns the shortest strand through a node. The line nearest to it
// may pass outside a border that it follows: its neighbours count too.
func (s *sheet) strandAbout(strands []float64, n int32) float64 {
	l := strands[n]
	for w := range ways {
		if m := s.next(n, w); m >= 0 {
			l = min(l, strands[m])
		}
	}
	return l
}

// bridged reports whether a strand, too long as it is, passes where a sheet hangs
// furthest: then it is a bridge, else a ledge. The one furthest point would not
// do: on a plate whose outer corner is just touched by a strand, rounding would
// tell.
func (s *sheet) bridged(l *load, strands []float64) bool {
	for n, d := range l.hangs {
		if d >= 0.9*l.hang && !math.IsInf(s.strandAbout(strands, int32(n)), 1) {
			return true
		}
	}
	return false
}

// hairsbreadth is how far apart rounding holds chords of one length.
const hairsbreadth = 1e-6

// enough tells for each node from what length on a shorter strand would change
// neither what is carried within its limit nor the span, which is no less than
// span. No strand is shorter than twice the reach, less what the lattice is off.
func enough(f *field, limit limits, span float64) []float64 {
	out := f.s.floats(len(f.d))
	for n, d := range f.d {
		most := limit.at(int32(n)) + over
		out[n] = min(most, span)
		if 2*(d-f.s.cell) > most && !math.IsInf(d, 1) {
			out[n] = span
		}
	}
	return out
}

// shapeOf settles whether a sheet that needs no ribs is a bridge, and its span:
// the longest strand within the limit that something needs. What its own slope
// carries needs none.
func (s *sheet) shapeOf(l *load, f *field, ridges []ridge, strands []float64, limit limits, ledge, slope float64) {
	need := f.d
	if !s.flat() {
		if l.ridge = l.ridge && s.mostly(f, ridges, l.reach); !l.ridge {
			var alone load
			s.findHang(&alone, f, nil, slope)
			need = alone.hangs
		}
	}
	l.span = 0
	if l.ridge {
		l.span = l.ridged
	}
	for n, x := range strands {
		if x <= limit.at(int32(n))+over && need[n] > ledge+over && s.counts(int32(n)) {
			l.span = max(l.span, x)
		}
	}
}

// shapes reports whether a string over a ridge counts for the shape: where the
// furthest point hangs on it, not where it cuts a corner.
func (s *sheet) shapes(r ridge, reach float64) bool {
	return r.length/2 >= 0.9*reach-2*s.cell
}

// mostly reports whether strings that count for the shape pass a good part of
// the sheet.
func (s *sheet) mostly(f *field, ridges []ridge, reach float64) bool {
	on, n := s.bools(len(s.at)), 0
	put := func(m int32) {
		if !on[m] {
			on[m] = true
			n++
		}
	}
	for _, r := range ridges {
		if s.shapes(r, reach) {
			f.walk(r.a, put)
			f.walk(r.b, put)
		}
	}
	return 4*n >= len(s.at)
}

// findHang computes the distance of every node to what is held or carried,
// less what the rise of the underside from there carries by itself; f is the
// distance to what is held.
func (s *sheet) findHang(l *load, f *field, carried []bool, slope float64) {
	e := f.with(carried)
	if !s.flat() {
		// The slope cone may grow from a place further off, but lower.
		tan := math.Tan(slope * math.Pi / 180)
		cone := s.spreadFrom(f.rims, carried, tan)
		for n, d := range cone.d {
			e.d[n] = max(min(e.d[n], d-float64((s.z[n]-cone.low)*tan)), 0)
		}
	}
	best, at := 0.0, int32(-1)
	for n, d := range e.d {
		if math.IsInf(d, 1) || !s.counts(int32(n)) {
			e.d[n] = 0 // cut off by the lattice alone, or too narrow for a bead
		} else if d > best+1e-9 {
			best, at = d, int32(n)
		}
	}
	l.hangs, l.hang, l.hangNode = e.d, best, at
	if at >= 0 {
		l.hangAt = s.pos(at)
	}
}

// flat reports whether all of the underside is on one level.
func (s *sheet) flat() bool {
	for _, z := range s.z {
		if z != s.z[0] {
			return false
		}
	}
	return true
}

// cutOff reports whether a disc of the given diameter fits among the nodes
// that no source reaches; fewer are left out by the lattice alone.
func (s *sheet) cutOff(f *field, diameter float64) bool {
	for n, d := range f.d {
		if math.IsInf(d, 1) && (float64(s.clear[n])-0.5)*s.cell >= diameter/2 {
			return true
		}
	}
	return false
}

// ribRims returns the borders of ribs as held rims at the height of the
// underside they carry, cut where that rises by a cell: what the underside rises
// from a rim is taken off what hangs there.
func (s *sheet) ribRims(ribs section.Polygons) []rim {
	var out []rim
	level := s.flat()
	for _, r := range ribs {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			n := 1
			if !level {
				n = int(distance(a, b)/s.cell) + 1
			}
			at := func(k int) Point {
				t := float64(k) / float64(n)
				return Point{a[0] + float64(t*(b[0]-a[0])), a[1] + float64(t*(b[1]-a[1]))}
			}
			z := s.heightNear(at(0))
			from := a
			for k := 1; k < n; k++ {
				if h := s.heightNear(at(k)); math.Abs(h-z) > s.cell {
					out = append(out, rim{a: from, b: at(k), held: true, z: z})
					from, z = at(k), h
				}
			}
			out = append(out, rim{a: from, b: b, held: true, z: z})
		}
	}
	return out
}

// heightNear returns the height of the underside at the node nearest to p: in
// the sheet a cell or so away, else whichever is nearest.
func (s *sheet) heightNear(p Point) float64 {
	best, z := math.Inf(1), 0.0
	look := func(n int32) {
		if d := distance(p, s.pos(n)); d < best {
			best, z = d, s.z[n]
		}
	}
	for _, dy := range [3]float64{0, -1, 1} {
		for _, dx := range [3]float64{0, -1, 1} {
			if n := s.node(Point{p[0] + float64(dx*s.cell), p[1] + float64(dy*s.cell)}); n >= 0 {
				look(n)
			}
		}
	}
	if math.IsInf(best, 1) {
		for n := range s.at {
			look(int32(n))
		}
	}
	return z
}

// try measures a sheet with ribs under it.
func (s *sheet) try(ribs section.Polygons, limit, ledge, slope float64) Judgement {
	inner := s.ribRims(ribs)
	all := append(s.rims[:len(s.rims):len(s.rims)], inner...)
	f := s.spread(all, nil)
	var l load
	l.reach, l.reachAt, _ = f.greatest()
	out := Judgement{Reach: l.reach, ReachAt: [2]float64(l.reachAt)}
	if s.cutOff(f, s.bead) {
		out.Reach, out.Hang = math.Inf(1), math.Inf(1)
		return out
	}
	enough := s.floats(len(f.d))
	for n, d := range f.d {
		enough[n] = math.Inf(1)
		if d > ledge && !math.IsInf(d, 1) {
			enough[n] = limit + over
		}
	}
	strands := s.strands(f, f.ridges(), s.rims, inner, limit+over, 0, enough).length
	carried := s.bools(len(strands))
	for n, x := range strands {
		carried[n] = x <= limit+over
	}
	s.findHang(&l, f, carried, slope)
	out.Hang, out.At = l.hang, [2]float64(l.hangAt)
	return out
}
