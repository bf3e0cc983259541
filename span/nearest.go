package span

import (
	"math"

	"falsework/mesh/section"
)

// From most places of a ceiling the nearest of what holds it is in plain sight. No
// way is shorter than that, so that a search is left for what lies round a corner.

// slack is added where a bound leaves rims out, millimetres: more than rounding
// moves a distance.
const slack = 1e-6

// A nearestRims finds the nearest of some rims for every node of a sheet. The
// lattice is divided, and with each square go only those rims that may be the
// nearest to some place in it: at last one to three. A square that has nothing of
// the border between itself and them sees them as a whole.
type nearestRims struct {
	s     *sheet
	rims  []rim
	way   []rimWay
	found func(n, rim int32, sees bool)
	lists [][]int32 // rims by depth of the division
	far   []float64
	nodes []int32 // of a square, in order
	best  []int32 // by those: the rim that is nearest
	said  []bool  // by rim of the list: whether its nodes see it
	hull  []Point // those of one rim and its places nearest to them, by points that span it
}

// A rimWay is a rim as asked for its distance: nothing divided, no root taken.
type rimWay struct{ x, y, dx, dy, over float64 }

func wayOf(r *rim) rimWay {
	w := rimWay{x: r.a[0], y: r.a[1], dx: r.b[0] - r.a[0], dy: r.b[1] - r.a[1]}
	if l := float64(w.dx*w.dx) + float64(w.dy*w.dy); l > 0 {
		w.over = 1 / l
	}
	return w
}

// at returns the place nearest to p, as a share of the length.
func (w *rimWay) at(p Point) float64 {
	t := (float64((p[0]-w.x)*w.dx) + float64((p[1]-w.y)*w.dy)) * w.over
	return min(max(t, 0), 1)
}

// square returns the square of the distance of p.
func (w *rimWay) square(p Point) float64 {
	x, y := p[0]-w.x, p[1]-w.y
	t := (float64(x*w.dx) + float64(y*w.dy)) * w.over
	if t < 0 {
		t = 0
	} else if t > 1 {
		t = 1
	}
	x -= float64(t * w.dx)
	y -= float64(t * w.dy)
	return float64(x*x) + float64(y*y)
}

// nearest calls found for every node with the nearest of the rims in list, of
// equals the first, and whether it is known to be in sight.
func (s *sheet) nearest(rims []rim, list []int32, found func(n, rim int32, sees bool)) {
	if len(list) == 0 {
		return
	}
	const side = 32 // of the first squares
	q := nearestRims{s: s, rims: rims, way: make([]rimWay, len(rims)), found: found, far: make([]float64, len(list)), lists: [][]int32{list}}
	for _, i := range list {
		q.way[i] = wayOf(&rims[i])
	}
	for y := 0; y < s.ny; y += side {
		for x := 0; x < s.nx; x += side {
			q.square(x, y, side, 0)
		}
	}
}

// square answers for the nodes in a square of cells.
func (q *nearestRims) square(x, y, side, depth int) {
	const least, few = 4, 3
	s := q.s
	x1, y1 := min(x+side, s.nx), min(y+side, s.ny)
	list := q.lists[depth]
	if (side <= least || len(list) <= few) && q.answer(x, y, x1, y1, list, side <= least) {
		return
	}
	a, b := s.centre(x, y), s.centre(x1-1, y1-1)
	mid := Point{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
	most := math.Inf(1)
	for i, r := range list {
		d := math.Sqrt(q.way[r].square(mid))
		q.far[i] = d
		most = min(most, d)
	}
	most += distance(a, b) + slack // twice the way from the middle to a corner
	if depth+1 == len(q.lists) {
		q.lists = append(q.lists, nil)
	}
	near := q.lists[depth+1][:0]
	for i, r := range list {
		if q.far[i] <= most {
			near = append(near, r)
		}
	}
	q.lists[depth+1] = near
	half := side / 2
	for dy := 0; dy < side && y+dy < s.ny; dy += half {
		for dx := 0; dx < side && x+dx < s.nx; dx += half {
			q.square(x+dx, y+dy, half, depth+1)
		}
	}
}

// answer tells of the nodes in a square the nearest in list. Unless it is to answer
// anyway it does so only where all are in sight, and reports whether it did.
func (q *nearestRims) answer(x, y, x1, y1 int, list []int32, anyway bool) bool {
	s := q.s
	q.nodes, q.best = q.nodes[:0], q.best[:0]
	for j := y; j < y1; j++ {
		for _, n := range s.id[j*s.nx+x : j*s.nx+x1] {
			if n < 0 {
				continue
			}
			least, best := math.Inf(1), list[0]
			if len(list) > 1 {
				for _, i := range list {
					if d := q.way[i].square(s.pts[n]); d < least {
						least, best = d, i
					}
				}
			}
			q.nodes, q.best = append(q.nodes, n), append(q.best, best)
		}
	}
	// Those of each rim see it together, or are to be asked one by one.
	q.said = q.said[:0]
	for _, i := range list {
		sees := s.convex || q.sees(i)
		if !sees && !anyway {
			return false
		}
		q.said = append(q.said, sees)
	}
	for k, n := range q.nodes {
		for l, i := range list {
			if i == q.best[k] {
				q.found(n, i, q.said[l])
				break
			}
		}
	}
	return true
}

// sees reports whether nothing of the border lies between the nodes in hand to which
// rim i is the nearest and the places of it that are nearest to them.
func (q *nearestRims) sees(i int32) bool {
	s, w := q.s, &q.way[i]
	q.hull = q.hull[:0]
	from, to := 1.0, 0.0
	row, last := int32(-1), int32(-1) // the first and the last of a row span it
	put := func(n int32) {
		if n >= 0 {
			q.hull = append(q.hull, s.pts[n])
			t := w.at(s.pts[n])
			from, to = min(from, t), max(to, t)
		}
	}
	for k, n := range q.nodes {
		if q.best[k] != i {
			continue
		}
		if r := s.at[n] / int32(s.nx); r != row {
			put(last)
			put(n)
			row, last = r, -1
		} else {
			last = n
		}
	}
	put(last)
	if len(q.hull) == 0 {
		return true
	}
	// The place that is nearest moves one way as one goes along a line.
	q.hull = append(q.hull, Point{w.x + float64(from*w.dx), w.y + float64(from*w.dy)}, Point{w.x + float64(to*w.dx), w.y + float64(to*w.dy)})
	return s.clears(q.hull, Point{w.x, w.y}, Point{w.x + w.dx, w.y + w.dy})
}

// clears reports whether no side of the footprint passes between some points on one
// side of a line, that from a to b, and others on it. Where it is hard to tell it
// says no.
func (s *sheet) clears(pts []Point, a, b Point) bool {
	lo, hi := bounds(section.Polygons{pts})
	left, right := sides(a, b, pts...)
	l := s.inside
	for _, e := range l.edges[l.start[l.rowOf(lo[1])]:l.start[l.rowOf(hi[1])+1]] {
		if max(e.a[0], e.b[0]) <= lo[0] || min(e.a[0], e.b[0]) >= hi[0] || max(e.a[1], e.b[1]) <= lo[1] || min(e.a[1], e.b[1]) >= hi[1] {
			continue
		}
		if l, r := sides(e.a, e.b, pts...); l || r {
			continue
		}
		if l, r := sides(a, b, e.a, e.b); l && right || r && left {
			continue // beyond the line
		}
		return false
	}
	return true
}

// sides reports whether all points lie left or right of the line from u to v, or on
// it.
func sides(u, v Point, pts ...Point) (left, right bool) {
	x, y := v[0]-u[0], v[1]-u[1]
	hair := 1e-4 * math.Sqrt(float64(x*x)+float64(y*y)) // borders are straightened less
	left, right = true, true
	for _, p := range pts {
		c := float64(x*(p[1]-u[1])) - float64(y*(p[0]-u[0]))
		left, right = left && c >= -hair, right && c <= hair
	}
	return left, right
}

// straight fills in the nodes that see the nearest of what holds, and reports
// whether that is all of them.
func (f *field) straight() bool {
	var held []int32
	for i := range f.rims {
		if f.rims[i].held {
			held = append(held, int32(i))
		}
	}
	all := true
	f.s.nearest(f.rims, held, func(n, rim int32, sees bool) {
		at, d := f.rims[rim].nearest(f.s.pts[n])
		if sees || f.s.sees(n, at) {
			f.d[n], f.anchor[n] = d, rim
		} else {
			all = false
		}
	})
	return all
}

// fronts puts the nodes that have a distance and border on one that has none in
// a queue.
func (f *field) fronts(q *queue) {
	for n, d := range f.d {
		if math.IsInf(d, 1) {
			continue
		}
		for w := range ways {
			if m := f.s.next(int32(n), w); m >= 0 && math.IsInf(f.d[m], 1) {
				q.push(d, int32(n))
				break
			}
		}
	}
}
