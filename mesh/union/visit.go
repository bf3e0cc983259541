package union

import "falsework/mesh/exact"

// An outline may come by one place several times, as where a hole touches it.
// Parted there between the wrong two points, both parts may run the right way
// round, though each lies on what the other has: parts must not cross.

// A parting tells how the two parts of a ring lie in the place they are parted
// in.
type parting int

const (
	clean     parting = iota
	alongside         // sides run along each other all the way, as near as rounding tells
	tangled           // the parts cross
)

// A way leads along an outline out of a place, forwards or backwards: point 0 is
// the place, the others follow.
type way struct {
	p     *polygon
	point func(i int) int32
	n     int // how many points there are
}

// A visit is how an outline comes by a place: the ways to where it comes from
// and to where it goes.
type visit struct{ back, on way }

// visit returns how a ring comes by ring[i].
func (p *polygon) visit(ring []int32, i int32) visit {
	n := len(ring)
	lead := func(step int) way {
		return way{p, func(k int) int32 { return ring[(int(i)+k*step+k*n)%n] }, n}
	}
	return visit{lead(-1), lead(1)}
}

// passing returns how the side of a ring from ring[i] on comes by a point.
func (p *polygon) passing(ring []int32, i, point int32) visit {
	n := len(ring)
	lead := func(first, step int) way {
		return way{p, func(k int) int32 {
			if k == 0 {
				return point
			}
			return ring[(first+(k-1)*step+k*n)%n]
		}, n}
	}
	return visit{lead(int(i), -1), lead(int(i)+1, 1)}
}

// ahead returns the first point after the i-th that is further than slack from
// q, and which one it is; false when there is none.
func (w way) ahead(q [2]float64, i int, slack float64) (to [2]float64, k int, ok bool) {
	for k = i + 1; k < w.n; k++ {
		if to = w.p.at[w.point(k)]; !adjoins(q, to, slack) {
			return to, k, true
		}
	}
	return q, k, false
}

// start is the place that a way leads out of.
func (w way) start() [2]float64 { return w.p.at[w.point(0)] }

// parting tells how the parts of a ring lie when it is parted between two
// visits to one place. With what is kept on the left, the way on from v and the
// way back from w are of one part, the other two of the other: turned about the
// place from the way on from v, they must come in this order.
func (v visit) parting(w visit, slack float64) parting {
	back, on, last := v.on.sweep(w.back, slack), v.on.sweep(w.on, slack), v.on.sweep(v.back, slack)
	a, b := back.compare(on), on.compare(last)
	switch {
	case back.part < 0 || on.part < 0 || last.part < 0 || a == 0 || b == 0:
		return alongside
	case a > 0 || b > 0:
		return tangled
	}
	return clean
}

// crosses tells whether another visit to the same place goes from one side of
// this one to the other.
func (v visit) crosses(w visit, slack float64) bool {
	end := v.on.sweep(v.back, slack)
	side := func(to way) int {
		s := v.on.sweep(to, slack)
		if s.part < 0 || end.part < 0 {
			return 0
		}
		return s.compare(end)
	}
	back, on := side(w.back), side(w.on)
	return back < 0 && on > 0 || back > 0 && on < 0
}

// A sweep is the angle from one way to another, counter-clockwise.
type sweep struct {
	way
	dir   [2]float64
	part  int // 0: next to none, 1: less than half a turn, 2: more, 3: next to a whole one, -1: no telling
	slack float64
}

func (w way) sweep(to way, slack float64) sweep {
	s := sweep{way: to, dir: to.direction(slack), slack: slack}
	d := w.direction(slack)
	switch {
	case along(d, s.dir, slack):
		s.part = [3]int{3, -1, 0}[1+to.beside(w, slack)]
	case turn(d, s.dir) > 0:
		s.part = 1
	default:
		s.part = 2
	}
	return s
}

// direction is that in which a way leaves its place.
func (w way) direction(slack float64) [2]float64 {
	q := w.start()
	to, _, _ := w.ahead(q, 0, slack)
	return less2(to, q)
}

// compare tells which of two sweeps is the greater, 0 when they run along each
// other.
func (s sweep) compare(o sweep) int {
	switch {
	case s.part != o.part:
		return s.part - o.part
	case s.part == 0 || s.part == 3 || along(s.dir, o.dir, s.slack):
		return s.beside(o.way, s.slack)
	}
	return -turn(s.dir, o.dir)
}

// beside tells for two ways out of one place that begin alike on which side of
// the other the first one leaves it: 1 on the left, -1 on the right, 0 when it
// does not, or turns back.
func (w way) beside(o way, slack float64) int {
	from := w.start()
	a, i, c := w.ahead(from, 0, slack)
	b, j, d := o.ahead(o.start(), 0, slack)
	for c && d {
		// Up to the nearer end they run along each other.
		q := a
		near, far := distance2(from, a), distance2(from, b)
		together := adjoins(a, b, slack)
		if !together && far < near {
			q = b
		}
		if together || near <= far {
			a, i, c = w.ahead(q, i, slack)
		}
		if together || far < near {
			b, j, d = o.ahead(q, j, slack)
		}
		if !c || !d {
			break
		}
		x, y, back := less2(a, q), less2(b, q), less2(from, q)
		if along(x, back, slack) || along(y, back, slack) {
			return 0
		}
		if !along(x, y, slack) {
			// Turned from the way back, what lies to the right comes first.
			return later(back, x, y)
		}
		from = q
	}
	return 0
}

// later tells which of two directions comes later when turning from a third
// counter-clockwise: 1 the first, -1 the second.
func later(from, x, y [2]float64) int {
	left, right := turn(from, x) > 0, turn(from, y) > 0
	switch {
	case left && !right:
		return -1
	case right && !left:
		return 1
	}
	return -turn(x, y)
}

// turn is the side of the first direction that the second lies to: positive for
// the left.
func turn(a, b [2]float64) int { return exact.Orient2D([2]float64{}, a, b) }

// along tells whether two ways from one place run alike, one no further from
// the other than slack.
func along(a, b [2]float64, slack float64) bool {
	o := [2]float64{}
	return float64(a[0]*b[0])+float64(a[1]*b[1]) > 0 && min(offLine(o, a, b), offLine(o, b, a)) <= slack
}

func less2(a, b [2]float64) [2]float64 { return [2]float64{a[0] - b[0], a[1] - b[1]} }

// distance2 is the square of a distance.
func distance2(a, b [2]float64) float64 {
	d := less2(a, b)
	return float64(d[0]*d[0]) + float64(d[1]*d[1])
}
