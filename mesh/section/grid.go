package section

import "math"

// Coordinates of the grid are kept within plus and minus 2^gridBits: the cross
// product of two differences is then below 2^61 and exact in an int64, with
// room for the doubled products of the cell tests.
const gridBits = 29

// A Grid is the integer grid on which clipping is exact. Its step is 2^-Shift
// millimetres: 2^-20 (about a nanometre) while all coordinates stay within 512
// mm of the origin, twice as coarse for every doubling beyond. The origin is a
// point of every grid, so that a coarser grid is part of a finer one and
// regions made by earlier calls lie on it without rounding.
type Grid struct{ Shift int }

// finest is the grid of every part within 512 mm of the origin.
const finest = 20

// GridFor returns the grid for coordinates up to reach millimetres from the
// origin.
func GridFor(reach float64) Grid {
	g := Grid{finest}
	if !(reach < math.MaxFloat64) {
		reach = math.MaxFloat64
	}
	_, e := math.Frexp(reach) // reach < 2^e
	if s := gridBits - e; s < g.Shift {
		g.Shift = s
	}
	return g
}

// Step returns the distance between neighbouring grid lines; millimetres.
func (g Grid) Step() float64 { return math.Ldexp(1, -g.Shift) }

// An ipt is a point of the grid.
type ipt struct{ x, y int32 }

func (p ipt) less(q ipt) bool { return p.x < q.x || p.x == q.x && p.y < q.y }

// key packs p so that keys are ordered as points are, by x and then y: sorting
// is a good part of an overlay, and one comparison is faster than two.
func (p ipt) key() uint64 { return uint64(uint32(p.x)^1<<31)<<32 | uint64(uint32(p.y)^1<<31) }

func compare(p, q ipt) int { return order(p.key(), q.key()) }

func order(p, q uint64) int {
	if p < q {
		return -1
	}
	if p > q {
		return 1
	}
	return 0
}

// orient is positive when c lies left of the way from a to b, negative right of
// it, zero on the line. Exact.
func orient(a, b, c ipt) int64 {
	return (int64(b.x)-int64(a.x))*(int64(c.y)-int64(a.y)) -
		(int64(b.y)-int64(a.y))*(int64(c.x)-int64(a.x))
}

// snap rounds q to the grid; the caller has chosen the grid so that it fits.
func (g Grid) snap(q Point, scale float64) ipt {
	return ipt{int32(math.RoundToEven(q[0] * scale)), int32(math.RoundToEven(q[1] * scale))}
}

func (g Grid) point(p ipt, step float64) Point {
	return Point{float64(p.x) * step, float64(p.y) * step}
}

// reach returns the greatest absolute coordinate of the finite rings of ps.
func reach(ps ...Polygons) float64 {
	var m float64
	for _, p := range ps {
		for _, r := range p {
			if !finite(r) {
				continue
			}
			for _, q := range r {
				m = math.Max(m, math.Max(math.Abs(q[0]), math.Abs(q[1])))
			}
		}
	}
	return m
}

// finite reports whether no coordinate of r is an infinity or NaN.
func finite(r Path) bool {
	for _, q := range r {
		if d := q[0] - q[0] + q[1] - q[1]; d != 0 {
			return false // Inf-Inf and NaN are NaN, which differs from 0
		}
	}
	return true
}
