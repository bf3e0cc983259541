package union

import (
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
}

// A splitter walks the cut triangles of one operand.
type splitter struct {
	w      *weave
	own    int
	inside bool // keep what lies inside the other operand
	base   [2]int32
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

// A stop is a corner or a point on the border of a triangle; kept says that
// the border is kept from here to the next stop.
type stop struct {
	id   int32
	kept bool
}

// border lists the stops of a triangle counter-clockwise from its first
// corner.
func (s *splitter) border(t int32) ([]stop, error) {
	o := s.w.op[s.own]
	k := o.t[t]
	first := s.w.pointBase()
	level := o.wind[k[0]]
	var stops []stop
	for c := range 3 {
		if o.wind[k[c]] != level {
			return nil, errInternal("winding numbers do not add up round a triangle")
		}
		stops = append(stops, stop{s.corner(k[c]), (level != 0) == s.inside})
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
			before := level
			level += s.w.step(p, forth)
			if min(before, level) != 0 {
				return nil, &conflict{1 - s.own, s.w.points[p].at}
			}
			stops = append(stops, stop{first + p, (level != 0) == s.inside})
		}
	}
	return stops, nil
}

// split returns the kept regions of a cut triangle.
func (s *splitter) split(c *cut) ([]region, error) {
	stops, err := s.border(c.t)
	if err != nil {
		return nil, err
	}
	next := s.directed(c.segs)
	for i := 1; i < len(next); i++ {
		if next[i].from == next[i-1].from {
			return nil, &conflict{1 - s.own, s.w.at64(next[i].from)}
		}
	}
	used := make([]bool, len(next))
	follow := func(id int32) (int32, bool) {
		i, ok := slices.BinarySearchFunc(next, id, func(x segment, id int32) int { return int(x.from - id) })
		if !ok || used[i] {
			return 0, false
		}
		used[i] = true
		return next[i].to, true
	}
	outlines, err := s.walk(stops, follow)
	if err != nil {
		return nil, err
	}
	var loops [][]int32
	for i := range next {
		if used[i] {
			continue
		}
		var loop []int32
		for id := next[i].from; ; {
			loop = append(loop, id)
			to, ok := follow(id)
			if !ok {
				return nil, errInternal("a chain of cuts breaks off")
			}
			if id = to; id == next[i].from {
				break
			}
		}
		loops = append(loops, loop)
	}
	return s.nest(c.t, outlines, loops)
}

// directed returns the segments with what is kept on their left, by start.
func (s *splitter) directed(segs []segment) []segment {
	first := s.w.pointBase()
	next := make([]segment, len(segs))
	for i, g := range segs {
		// As they come, the inside of B is on the left on A, the outside of A
		// on B.
		if s.inside != (s.own == 0) {
			g.from, g.to = g.to, g.from
		}
		next[i] = segment{first + g.from, first + g.to}
	}
	slices.SortFunc(next, func(a, b segment) int { return int(a.from - b.from) })
	return next
}

// walk follows the kept border and the chains between its pieces.
func (s *splitter) walk(stops []stop, follow func(int32) (int32, bool)) ([][]int32, error) {
	n := len(stops)
	first := s.w.pointBase()
	index := func(id int32) int {
		return slices.IndexFunc(stops, func(x stop) bool { return x.id == id })
	}
	var where map[int32]int
	if n > 16 {
		where = make(map[int32]int, n)
		for i, x := range stops {
			where[x.id] = i
		}
		index = func(id int32) int {
			if i, ok := where[id]; ok {
				return i
			}
			return -1
		}
	}
	done := make([]bool, n)
	var outlines [][]int32
	for start := range stops {
		if !stops[start].kept || done[start] {
			continue
		}
		var line []int32
		for i := start; ; {
			if done[i] {
				return nil, errInternal("an outline runs into another one")
			}
			done[i] = true
			line = append(line, stops[i].id)
			j := (i + 1) % n
			if !stops[j].kept { // a point where the border leaves the kept side
				id := stops[j].id
				for {
					line = append(line, id)
					to, ok := follow(id)
					if !ok {
						return nil, errInternal("a chain of cuts breaks off")
					}
					id = to
					if id < first {
						return nil, errInternal("a chain of cuts ends at a corner")
					}
					if j = index(id); j >= 0 {
						break
					}
				}
				if !stops[j].kept {
					return nil, errInternal("a chain of cuts ends on the wrong side")
				}
			}
			if i = j; i == start {
				break
			}
		}
		outlines = append(outlines, line)
	}
	return outlines, nil
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
		depth := 0
		for j := range rings {
			if rings[j].holds(holes[i].at[0]) {
				depth++
				if best < 0 || rings[j].area < rings[best].area {
					best = j
				}
			}
		}
		for j := range holes {
			if j != i && holes[j].holds(holes[i].at[0]) {
				depth--
			}
		}
		if best < 0 || depth != 1 {
			return nil, &conflict{1 - s.own, s.w.at64(holes[i].ids[0])}
		}
		regions[best].holes = append(regions[best].holes, holes[i].ids)
	}
	for j := len(outlines); j < len(rings); j++ {
		depth := 0
		for k := range rings {
			if k != j && rings[k].holds(rings[j].at[0]) {
				depth++
			}
		}
		for k := range holes {
			if holes[k].holds(rings[j].at[0]) {
				depth--
			}
		}
		if depth != 0 {
			return nil, &conflict{1 - s.own, s.w.at64(rings[j].ids[0])}
		}
	}
	return regions, nil
}
