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
	alongside         // sides run along each other, as near as rounding tells
	tangled           // the parts cross
)

// A visit is how an outline comes by a place: the ways to where it comes from
// and to where it goes.
type visit struct{ back, on [2]float64 }

// visit returns how a ring comes by ring[i].
func (p *polygon) visit(ring []int32, i int32, slack float64) visit {
	return visit{p.way(ring, i, -1, slack), p.way(ring, i, 1, slack)}
}

// way is the direction in which a ring leaves the place of ring[i], forwards or
// backwards.
func (p *polygon) way(ring []int32, i int32, step int, slack float64) (d [2]float64) {
	n := len(ring)
	for k := 1; k < n; k++ {
		d = p.to(ring[i], ring[(int(i)+k*step+n)%n])
		if abs(d[0]) > slack || abs(d[1]) > slack {
			break
		}
	}
	return d
}

func (p *polygon) to(i, j int32) [2]float64 {
	return [2]float64{p.at[j][0] - p.at[i][0], p.at[j][1] - p.at[i][1]}
}

// parting tells how the parts of a ring lie when it is parted between two
// visits to one place. With what is kept on the left, the way on from v and the
// way back from w are of one part, the other two of the other: turned about the
// place from the way on from v, they must come in this order.
func (v visit) parting(w visit, slack float64) parting {
	back, on, last := sweepOf(v.on, w.back, slack), sweepOf(v.on, w.on, slack), sweepOf(v.on, v.back, slack)
	if last.part == 0 { // there and back: all round
		last.part = 3
	}
	if on.part == 0 && back.part != 0 {
		on.part = 3
	}
	a, b := back.compare(on), on.compare(last)
	switch {
	case a > 0 || b > 0:
		return tangled
	case back.part == 0 || a == 0 || b == 0 || along(v.on, v.back, slack):
		return alongside
	}
	return clean
}

// crosses tells whether another visit to the same place goes from one side of
// this one to the other.
func (v visit) crosses(w visit, slack float64) bool {
	end := sweepOf(v.on, v.back, slack)
	side := func(to [2]float64) int {
		s := sweepOf(v.on, to, slack)
		if s.part == 0 || end.part == 0 {
			return 0
		}
		return s.compare(end)
	}
	back, on := side(w.back), side(w.on)
	return back < 0 && on > 0 || back > 0 && on < 0
}

// A sweep is the angle from one direction to another, counter-clockwise.
type sweep struct {
	to    [2]float64
	part  int // 0: none, 1: less than half a turn, 2: less than a whole one, 3: a whole one
	slack float64
}

func sweepOf(from, to [2]float64, slack float64) sweep {
	s := sweep{to: to, slack: slack}
	switch {
	case along(from, to, slack):
	case turn(from, to) > 0:
		s.part = 1
	default:
		s.part = 2
	}
	return s
}

func (s sweep) compare(o sweep) int {
	if s.part != o.part || s.part == 0 || s.part == 3 {
		return s.part - o.part
	}
	if along(s.to, o.to, s.slack) {
		return 0
	}
	return -turn(s.to, o.to)
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
