package union

import (
	"math"
	"slices"

	"falsework/mesh/exact"
)

// Vertices of the result are numbered in three ranges: those of operand A,
// those of operand B, then the new points.

// A region is what is kept of one cut triangle: outlines counter-clockwise
// seen from outside, each with its holes clockwise.
type region struct {
	outline []int32
	holes   [][]int32
	turned  bool // the outline runs clockwise: what is kept lies on its back there
}

// A splitter walks the cut triangles of one operand.
type splitter struct {
	w      *weave
	own    int
	inside bool // keep what lies inside the other operand
	base   [2]int32
	room   *room
}

// A room is what a splitter writes on, used again for one cut triangle after
// another: most are so small that asking for memory would take longer.
type room struct {
	stops           []stop
	arcs            []arc
	used            []bool
	ids             []int32 // of rings, one behind the other
	outlines, loops [][]int32
	strokes         []stroke
	poly            polygon
	clipper         clipper
	tris            [][3]int32 // all that were made, kept
}

func (s *splitter) corner(v int32) int32 { return s.base[s.own] + v }

// pointBase is the number of the first new point.
func (w *weave) pointBase() int32 { return int32(len(w.op[0].v) + len(w.op[1].v)) }

// at64 returns the position of a vertex of the result before rounding.
func (w *weave) at64(id int32) [3]float64 {
	if b := w.pointBase(); id >= b {
		return w.points[id-b].at
	}
	var p vec
	if n := int32(len(w.op[0].v)); id < n {
		p = w.op[0].v[id]
	} else {
		p = w.op[1].v[id-n]
	}
	return [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}
}

// A stop is a corner or a point on the border of a triangle. folds says how
// often the surface that is kept covers the border from here to the next
// stop: once where it is kept, not at all where it is not. Rounding leaves
// folds of a few units in the last place in a solid made before; within such
// a fold the winding number is 2 or -1, and the surface covers the border
// twice, or once turned over.
type stop struct {
	id    int32
	folds int32
}

// widest is the greatest length of a border within a fold, in units in the
// last place. What is longer is no fold but a surface that overlaps itself.
const widest = 256

// grain is the unit in the last place at a new point, or at what of the other
// operand passes there, whichever is greater: repairs move a vertex by the last
// place of the triangles at it, and so a fold near the origin may be far wider
// than the coordinates there are fine.
func (s *splitter) grain(id int32) float64 {
	u := ulp(rounded(s.w.at64(id)))
	b := s.w.pointBase()
	if id < b {
		return u
	}
	p := &s.w.points[id-b]
	o := s.w.op[1-s.own]
	if int(p.own) == s.own {
		for _, v := range o.t[p.tri] {
			u = max(u, ulp(o.v[v]))
		}
		return u
	}
	e := &s.w.edges[p.own][p.edge]
	return max(u, ulp(o.v[e.u]), ulp(o.v[e.v]))
}

// cover turns a winding number of the other solid into how often the kept
// surface covers the place: w of A and B together is w(A) + w(B) - w(A) w(B)
// for what either holds, w(A) w(B) for what both hold.
func (s *splitter) cover(level int32) int32 {
	if s.inside {
		return level
	}
	return 1 - level
}

// border lists the stops of a triangle counter-clockwise from its first
// corner.
func (s *splitter) border(t int32) ([]stop, error) {
	o := s.w.op[s.own]
	k := o.t[t]
	first := s.w.pointBase()
	level := o.wind[k[0]]
	stops := s.room.stops[:0]
	for c := range 3 {
		if o.wind[k[c]] != level {
			return nil, errInternal("winding numbers do not add up round a triangle")
		}
		stops = append(stops, stop{s.corner(k[c]), s.cover(level)})
		id := s.w.edgeOf[s.own][t][c]
		if id < 0 {
			continue
		}
		e := &s.w.edges[s.own][id]
		forth := k[c] == e.u
		for i := range e.points {
			p := e.points[i]
			if !forth {
				p = e.points[len(e.points)-1-i]
			}
			level += s.w.step(p, forth)
			stops = append(stops, stop{first + p, s.cover(level)})
		}
	}
	s.room.stops = stops
	return stops, s.folded(stops)
}

// folded fails when a border is covered otherwise than once or not at all
// over more than the width of a fold.
func (s *splitter) folded(stops []stop) error {
	for i, x := range stops {
		if x.folds == 0 || x.folds == 1 {
			continue
		}
		next := stops[(i+1)%len(stops)].id
		p, q := s.w.at64(x.id), s.w.at64(next)
		if x.folds < -1 || x.folds > 2 || distance(rounded(p), rounded(q)) > widest*max(s.grain(x.id), s.grain(next)) {
			for k := range 3 {
				p[k] = (p[k] + q[k]) / 2
			}
			return &conflict{1 - s.own, p}
		}
	}
	return nil
}

// split returns the kept regions of a cut triangle.
func (s *splitter) split(c *cut) ([]region, error) {
	stops, err := s.border(c.t)
	if err != nil {
		return nil, err
	}
	arcs, err := s.along(stops)
	if err != nil {
		return nil, err
	}
	if at, ok := s.crossing(c); ok {
		return nil, &conflict{1 - s.own, at}
	}
	n := len(arcs)
	for i := range c.segs {
		arcs = append(arcs, arc{s.directed(c.segs[i]), false})
	}
	slices.SortFunc(arcs, func(a, b arc) int { return int(a.from - b.from) })
	outlines, loops := s.room.outlines[:0], s.room.loops[:0]
	used := append(s.room.used[:0], make([]bool, len(arcs))...)
	s.room.arcs, s.room.used, s.room.ids = arcs, used, s.room.ids[:0]
	for i := range arcs {
		if i > 0 && arcs[i].from == arcs[i-1].from {
			return nil, &conflict{1 - s.own, s.w.at64(arcs[i].from)}
		}
	}
	for i := range arcs {
		if used[i] {
			continue
		}
		ring, rim, err := s.walk(arcs, used, i)
		switch {
		case err != nil:
			return nil, err
		case len(ring) < 3: // there and back: nothing between
		case rim:
			outlines = append(outlines, ring)
		default:
			loops = append(loops, ring)
		}
	}
	s.room.outlines, s.room.loops = outlines, loops
	if n == 0 && len(outlines) > 0 {
		return nil, errInternal("an outline without a border")
	}
	regions, err := s.nest(c.t, outlines, loops)
	if err == nil && slices.ContainsFunc(stops, func(x stop) bool { return x.folds != 0 && x.folds != 1 }) {
		err = s.laid(c.t, regions[:len(outlines)])
	}
	return regions, err
}

// An arc is a directed piece of the outline of what is kept; rim says that it
// lies on the triangle's border.
type arc struct {
	segment
	rim bool
}

// along returns the arcs on the border of a triangle.
func (s *splitter) along(stops []stop) ([]arc, error) {
	n := len(stops)
	arcs := s.room.arcs[:0]
	for i, x := range stops {
		next := stops[(i+1)%n]
		switch x.folds {
		case 1:
			before := stops[(i+n-1)%n]
			if before.folds == 2 {
				continue // went by already, below
			}
			if next.folds == 2 {
				// The border runs by the doubled piece, which stays to the chains
				// that end there.
				p, q := stops[(i+2)%n], stops[(i+3)%n]
				if p.folds != 1 || q.folds == 2 || next.id < s.w.pointBase() || p.id < s.w.pointBase() {
					return nil, &conflict{1 - s.own, s.w.at64(next.id)}
				}
				arcs = append(arcs, arc{segment{x.id, q.id}, true}, arc{segment{next.id, p.id}, true})
				continue
			}
			arcs = append(arcs, arc{segment{x.id, next.id}, true})
		case -1:
			arcs = append(arcs, arc{segment{next.id, x.id}, true})
		}
	}
	return arcs, nil
}

// directed returns a segment with what is kept on its left.
func (s *splitter) directed(g segment) segment {
	// As it comes, the inside of B is on its left on A, the outside of A on B.
	first := s.w.pointBase()
	if s.inside != (s.own == 0) {
		g.from, g.to = g.to, g.from
	}
	return segment{first + g.from, first + g.to}
}

// walk follows the arcs from one of them until it is back.
func (s *splitter) walk(arcs []arc, used []bool, i int) (ring []int32, rim bool, err error) {
	first := len(s.room.ids)
	for start := arcs[i].from; ; {
		used[i] = true
		s.room.ids = append(s.room.ids, arcs[i].from)
		rim = rim || arcs[i].rim
		to := arcs[i].to
		if to == start {
			return s.room.ids[first:len(s.room.ids):len(s.room.ids)], rim, nil
		}
		j, ok := slices.BinarySearchFunc(arcs, to, func(x arc, id int32) int { return int(x.from - id) })
		if !ok || used[j] {
			return nil, false, errInternal("a chain of cuts breaks off")
		}
		i = j
	}
}

// A flat view of a triangle: the two axes of the projection along which it is
// largest, ordered so that it stays counter-clockwise.
type view struct{ x, y int }

func viewOf(a, b, c vec) view {
	n := cross(sub(b, a), sub(c, a))
	k := 0
	for i := 1; i < 3; i++ {
		if abs(n[i]) > abs(n[k]) {
			k = i
		}
	}
	v := view{(k + 1) % 3, (k + 2) % 3}
	if exact.Orient2D(exact.Drop(a, k), exact.Drop(b, k), exact.Drop(c, k)) < 0 {
		v.x, v.y = v.y, v.x
	}
	return v
}

func (v view) point(p [3]float64) [2]float64 { return [2]float64{p[v.x], p[v.y]} }

func (v view) vertex(p vec) [2]float64 { return [2]float64{float64(p[v.x]), float64(p[v.y])} }

// A ring is an outline in a view, with its box and signed area.
type ring struct {
	ids    []int32
	at     [][2]float64
	lo, hi [2]float64
	area   float64
}

func (s *splitter) ring(v view, ids []int32) ring {
	r := ring{ids: ids, at: make([][2]float64, len(ids))}
	for i, id := range ids {
		r.at[i] = v.point(s.w.at64(id))
	}
	r.lo, r.hi = r.at[0], r.at[0]
	o := r.at[0]
	for i, p := range r.at {
		q := r.at[(i+1)%len(r.at)]
		r.area += float64((p[0]-o[0])*(q[1]-o[1])) - float64((p[1]-o[1])*(q[0]-o[0]))
		for k := range 2 {
			r.lo[k], r.hi[k] = min(r.lo[k], p[k]), max(r.hi[k], p[k])
		}
	}
	return r
}

// holds tells whether p lies inside the ring.
func (r *ring) holds(p [2]float64) bool {
	if p[0] < r.lo[0] || p[0] > r.hi[0] || p[1] < r.lo[1] || p[1] > r.hi[1] {
		return false
	}
	in := false
	for i, a := range r.at {
		b := r.at[(i+1)%len(r.at)]
		if (a[1] > p[1]) == (b[1] > p[1]) {
			continue
		}
		up := b[1] > a[1]
		if t := exact.Orient2D(a, b, p); up && t > 0 || !up && t < 0 {
			in = !in
		}
	}
	return in
}

// narrow tells whether a ring is no wider than a fold. What lies in such a
// ring may be kept twice, or turned over, as on a border.
func (s *splitter) narrow(r *ring) bool {
	poly := make([][3]float64, len(r.at))
	grain := 0.0
	for i, p := range r.at {
		poly[i] = [3]float64{p[0], p[1]}
		grain = max(grain, s.grain(r.ids[i]))
	}
	return across(poly) <= widest*grain
}

// laid marks the regions that lie on their backs, where the border has folds.
// It fails when one does, or lies on another, over more than the width of a
// fold: the border may have cut off only the tip of it.
func (s *splitter) laid(t int32, regions []region) error {
	v := viewOf(s.w.op[s.own].corners(t))
	rings := make([]ring, len(regions))
	for i := range regions {
		rings[i] = s.ring(v, regions[i].outline)
		regions[i].turned = rings[i].area < 0
	}
	for i := range rings {
		r := &rings[i]
		if r.area < 0 && (!s.narrow(r) || len(regions[i].holes) > 0) {
			return &conflict{1 - s.own, s.w.at64(r.ids[0])}
		}
		for j := range rings {
			if i == j || rings[j].area < 0 {
				continue
			}
			for k, p := range r.at {
				if rings[j].holds(p) && rings[j].deep(p) > widest*s.grain(r.ids[k]) {
					return &conflict{1 - s.own, s.w.at64(r.ids[k])}
				}
			}
		}
	}
	return nil
}

// deep is how far a point is from the outline of a ring.
func (r *ring) deep(p [2]float64) float64 {
	least := math.Inf(1)
	for i, a := range r.at {
		b := r.at[(i+1)%len(r.at)]
		d := [2]float64{b[0] - a[0], b[1] - a[1]}
		l := float64(d[0]*d[0]) + float64(d[1]*d[1])
		if l == 0 {
			continue
		}
		u := min(max((float64((p[0]-a[0])*d[0])+float64((p[1]-a[1])*d[1]))/l, 0), 1)
		x, y := p[0]-a[0]-float64(u*d[0]), p[1]-a[1]-float64(u*d[1])
		least = min(least, float64(x*x)+float64(y*y))
	}
	return math.Sqrt(least)
}

// nest gives each clockwise loop to the smallest outline round it.
func (s *splitter) nest(t int32, outlines, loops [][]int32) ([]region, error) {
	regions := make([]region, len(outlines))
	for i, l := range outlines {
		regions[i].outline = l
	}
	if len(loops) == 0 {
		return regions, nil
	}
	v := viewOf(s.w.op[s.own].corners(t))
	rings := make([]ring, 0, len(outlines)+len(loops))
	for _, l := range outlines {
		rings = append(rings, s.ring(v, l))
	}
	var holes []ring
	for _, l := range loops {
		r := s.ring(v, l)
		if r.area > 0 {
			rings = append(rings, r)
			regions = append(regions, region{outline: l})
		} else {
			holes = append(holes, r)
		}
	}
	for i := range holes {
		best := -1
		for _, p := range holes[i].at {
			// Rounding folds may let a loop stand out a little at some points.
			if best = around(rings, holes, i, p); best >= 0 {
				break
			}
		}
		if best < 0 && s.narrow(&holes[i]) {
			regions = append(regions, region{outline: holes[i].ids, turned: true})
			continue
		}
		if best < 0 {
			return nil, &conflict{1 - s.own, s.w.at64(holes[i].ids[0])}
		}
		regions[best].holes = append(regions[best].holes, holes[i].ids)
	}
	for j := len(outlines); j < len(rings); j++ {
		if !slices.ContainsFunc(rings[j].at, func(p [2]float64) bool { return bare(rings, holes, j, p) }) && !s.narrow(&rings[j]) {
			return nil, &conflict{1 - s.own, s.w.at64(rings[j].ids[0])}
		}
	}
	return regions, nil
}

// around returns the smallest ring round a point p of hole i, or -1 when that
// is not where a hole belongs: in what is kept.
func around(rings, holes []ring, i int, p [2]float64) int {
	best, depth := -1, 0
	for j := range rings {
		if rings[j].holds(p) {
			depth++
			if best < 0 || rings[j].area < rings[best].area {
				best = j
			}
		}
	}
	for j := range holes {
		if j != i && holes[j].holds(p) {
			depth--
		}
	}
	if depth != 1 {
		return -1
	}
	return best
}

// bare tells whether point p of ring j lies in nothing that is kept.
func bare(rings, holes []ring, j int, p [2]float64) bool {
	depth := 0
	for k := range rings {
		if k != j && rings[k].holds(p) {
			depth++
		}
	}
	for k := range holes {
		if holes[k].holds(p) {
			depth--
		}
	}
	return depth == 0
}
