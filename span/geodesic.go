package span

import (
	"math"
	"slices"
)

// A field is a distance from every node of a sheet to the nearest source,
// measured inside the sheet.
//
// Each node remembers its anchor: the last point where the taut string from
// the node turns, or the rim it ends on. The front is carried from node to
// neighbour, but a node's distance is measured straight to its anchor wherever
// it sees it, so that lengths are free of the lattice's own directions.
// (Any-angle search on a grid; K. Daniel, A. Nash, S. Koenig, A. Felner,
// "Theta*: Any-Angle Path Planning on Grids", JAIR 39, 2010; from memory.)
type field struct {
	s      *sheet
	rims   []rim
	d      []float64 // +Inf where no source is reached
	anchor []int32   // rim index, or ^node for a turn at that node
	tan    float64   // what a source's own height adds to its distance, per millimetre
	low    float64   // height from which that counts, +Inf where tan is 0
}

// spread computes the distance to the held rims among rims and to the nodes
// marked zero (nil: none).
func (s *sheet) spread(rims []rim, zero []bool) *field { return s.spreadFrom(rims, zero, 0) }

// spreadFrom is [sheet.spread] with sources that lie higher counting as
// further away, by tan times their height above the lowest node.
func (s *sheet) spreadFrom(rims []rim, zero []bool, tan float64) *field {
	n := len(s.at)
	f := &field{s: s, rims: rims, d: s.floats(n), anchor: s.ints(n), tan: tan, low: math.Inf(1)}
	if tan != 0 {
		for _, z := range s.z {
			f.low = min(f.low, z)
		}
	}
	for i := range f.d {
		f.d[i], f.anchor[i] = math.Inf(1), math.MaxInt32
	}
	q := s.queue()
	if zero == nil && tan == 0 && !s.cliffs {
		if f.straight() {
			queues.Put(q)
			return f
		}
		f.fronts(q)
	}
	for i, r := range rims {
		if r.held {
			f.seed(q, int32(i), r)
		}
	}
	for i := range zero {
		if zero[i] {
			f.d[i], f.anchor[i] = f.start(s.z[i]), ^int32(i)
		}
	}
	// Only the rim of what is zero has anything to give.
	for i := range zero {
		if zero[i] && s.borders(int32(i), zero) {
			q.push(f.d[i], int32(i))
		}
	}
	f.run(q)
	return f
}

// with returns the field with the marked nodes as further sources. The front
// starts from those, so that the work is what lies beyond them.
func (f *field) with(zero []bool) *field {
	s := f.s
	out := &field{s: s, rims: f.rims, low: f.low}
	if zero != nil && !slices.Contains(zero, false) { // nothing lies beyond
		out.d, out.anchor = s.floats(len(f.d)), s.ints(len(f.d))
		for i := range out.anchor {
			out.anchor[i] = ^int32(i)
		}
		return out
	}
	out.d, out.anchor = s.floats(len(f.d)), s.ints(len(f.d))
	copy(out.d, f.d)
	copy(out.anchor, f.anchor)
	for i, z := range zero {
		if z {
			out.d[i], out.anchor[i] = 0, ^int32(i)
		}
	}
	q := s.queue()
	for i := range zero {
		if zero[i] && s.borders(int32(i), zero) {
			q.push(0, int32(i))
		}
	}
	out.run(q)
	return out
}

// queue returns an empty queue, one used before where there is one: a search
// would spend a tenth of its time on growing a new one.
func (s *sheet) queue() *queue {
	q := queues.Get().(*queue)
	q.reset(s.cell / 2)
	return q
}

// run carries the front on until it rests, and gives the queue back.
func (f *field) run(q *queue) {
	s := f.s
	for {
		u, ok := q.pop(f.d)
		if !ok {
			queues.Put(q)
			return
		}
		a, near := f.anchor[u], f.d[u]-s.cell
		for w := range ways {
			// Most neighbours are measured from the same anchor already, or
			// nearer than any way over u.
			if v := s.next(u, w); v >= 0 && f.anchor[v] != a && f.d[v] > near {
				f.relax(q, u, v, w)
			}
		}
	}
}

// start is the distance at which a source of height z begins.
func (f *field) start(z float64) float64 {
	if f.tan == 0 {
		return 0
	}
	return float64(max(z-f.low, 0) * f.tan)
}

// borders reports whether some neighbour of n is not marked.
func (s *sheet) borders(n int32, marked []bool) bool {
	for w := range ways {
		if m := s.next(n, w); m >= 0 && !marked[m] {
			return true
		}
	}
	return false
}

// seed gives the nodes along a held rim their distance to it.
func (f *field) seed(q *queue, id int32, r rim) {
	f.s.along(r, func(n int32) {
		_, d := r.nearest(f.s.pos(n))
		if d += f.start(r.z); d < f.d[n] {
			f.d[n], f.anchor[n] = d, id
			q.push(d, n)
		}
	})
}

// along visits the nodes in the cells about a rim, some more than once.
func (s *sheet) along(r rim, visit func(n int32)) {
	k := int(r.length()/s.cell*2) + 1
	last := -1
	for i := 0; i <= k; i++ {
		t := float64(i) / float64(k)
		p := Point{r.a[0] + float64(t*(r.b[0]-r.a[0])), r.a[1] + float64(t*(r.b[1]-r.a[1]))}
		ix, iy := int(math.Floor((p[0]-s.origin[0])/s.cell)), int(math.Floor((p[1]-s.origin[1])/s.cell))
		if iy*s.nx+ix == last {
			continue
		}
		last = iy*s.nx + ix
		for y := max(iy-1, 0); y <= min(iy+1, s.ny-1); y++ {
			for x := max(ix-1, 0); x <= min(ix+1, s.nx-1); x++ {
				if n := s.id[y*s.nx+x]; n >= 0 && !(s.cliffs && math.Abs(s.z[n]-r.z) > s.step) {
					visit(n)
				}
			}
		}
	}
}

// relax offers node v the way over its neighbour u.
func (f *field) relax(q *queue, u, v int32, w int) {
	s := f.s
	a := f.anchor[u]
	p := s.pos(v)
	var d float64
	var aim Point
	if a >= 0 {
		aim, d = f.rims[a].nearest(p)
		d += f.start(f.rims[a].z)
	} else {
		aim = s.pos(^a)
		d = f.d[^a] + distance(p, aim)
	}
	if d >= f.d[v]-s.cell/50 {
		return // no better, or not enough to look whether the way is free
	}
	if !s.sees(v, aim) {
		a = ^u
		d = f.d[u] + float64(ways[w].l*s.cell)
		if d >= f.d[v]-1e-9 {
			return
		}
	}
	f.d[v], f.anchor[v] = d, a
	q.push(d, v)
}

// along returns the distance at p if it hung on the anchor of node n, and the
// next point of the string.
func (f *field) along(n int32, p Point) (float64, Point) {
	a := f.anchor[n]
	if a >= 0 {
		q, d := f.rims[a].nearest(p)
		return d + f.start(f.rims[a].z), q
	}
	q := f.s.pos(^a)
	return f.d[^a] + distance(p, q), q
}

// walk calls visit for the nodes on the string from node n down to its source.
func (f *field) walk(n int32, visit func(m int32)) {
	s := f.s
	for range len(s.at) {
		p := s.pos(n)
		_, q := f.along(n, p)
		k := int(distance(p, q)/s.cell) + 1
		for i := 0; i < k; i++ {
			t := float64(i) / float64(k)
			if m := s.node(Point{p[0] + float64(t*(q[0]-p[0])), p[1] + float64(t*(q[1]-p[1]))}); m >= 0 {
				visit(m)
			}
		}
		a := f.anchor[n]
		if a >= 0 || ^a == n {
			return
		}
		n = ^a
	}
}

// greatest returns the largest finite distance and where it is, of what is wide
// enough for a bead. The place is improved between the nodes: there the distance
// is the least over the anchors of the nodes around.
func (f *field) greatest() (float64, Point, int32) {
	best, at := -1.0, int32(-1)
	for n, d := range f.d {
		if d > best+1e-9 && !math.IsInf(d, 1) && f.s.counts(int32(n)) {
			best, at = d, int32(n)
		}
	}
	if at < 0 {
		return 0, Point{}, -1
	}
	d, p := f.climb(at)
	return d, p, at
}

// climb walks uphill from node n in steps smaller than a cell.
func (f *field) climb(n int32) (float64, Point) {
	s := f.s
	i := int(s.at[n])
	ix, iy := i%s.nx, i/s.nx
	var around []int32
	for y := max(iy-3, 0); y <= min(iy+3, s.ny-1); y++ {
		for x := max(ix-3, 0); x <= min(ix+3, s.nx-1); x++ {
			if m := s.id[y*s.nx+x]; m >= 0 && !math.IsInf(f.d[m], 1) && !(s.cliffs && math.Abs(s.z[m]-s.z[n]) > s.step) {
				around = append(around, m)
			}
		}
	}
	value := func(p Point) float64 {
		d := math.Inf(1)
		for _, m := range around {
			if e, _ := f.along(m, p); e < d {
				d = e
			}
		}
		return d
	}
	p, d := s.pos(n), f.d[n]
	d = min(d, value(p))
	for h := s.cell / 2; h > s.cell/100; {
		moved := false
		for w := range ways {
			q := Point{p[0] + float64(float64(ways[w].dx)*h), p[1] + float64(float64(ways[w].dy)*h)}
			if !s.within(q) || distance(q, s.pos(n)) > 1.5*s.cell {
				continue
			}
			if e := value(q); e > d+1e-9 {
				p, d, moved = q, e, true
				break
			}
		}
		if !moved {
			h /= 2
		}
	}
	return d, p
}
