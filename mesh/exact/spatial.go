package exact

import "math"

// volumeBound bounds the error of the float64 value of the determinant behind
// Orient3D, relative to its permanent (the same sum with every term positive).
// A term is one difference times the difference of two products of two
// differences: three rounded subtractions, two products and two sums carry at
// most 7 relative errors into it, and one more is allowed for the computed
// permanent being smaller than the true one; 64u^2 covers the higher orders.
// (Shewchuk, 1997, gives (7 + 56u)u.) Coordinates are float32, so no product
// of three can overflow or underflow in float64.
const volumeBound = (8 + 64*unit) * unit

// Volume returns six times the signed volume of the tetrahedron a b c d in
// float64 and a bound on the error of that value. It is positive when d lies
// on the side from which a, b and c are seen counter-clockwise.
func Volume(a, b, c, d [3]float32) (det, bound float64) {
	ax, ay, az := float64(a[0])-float64(d[0]), float64(a[1])-float64(d[1]), float64(a[2])-float64(d[2])
	bx, by, bz := float64(b[0])-float64(d[0]), float64(b[1])-float64(d[1]), float64(b[2])-float64(d[2])
	cx, cy, cz := float64(c[0])-float64(d[0]), float64(c[1])-float64(d[1]), float64(c[2])-float64(d[2])

	bycz, bzcy := float64(by*cz), float64(bz*cy)
	bzcx, bxcz := float64(bz*cx), float64(bx*cz)
	bxcy, bycx := float64(bx*cy), float64(by*cx)
	// Seen from d, a b c turn clockwise when the triple product is positive.
	det = -(float64(ax*(bycz-bzcy)) + float64(ay*(bzcx-bxcz)) + float64(az*(bxcy-bycx)))
	perm := float64(math.Abs(ax)*(math.Abs(bycz)+math.Abs(bzcy))) +
		float64(math.Abs(ay)*(math.Abs(bzcx)+math.Abs(bxcz))) +
		float64(math.Abs(az)*(math.Abs(bxcy)+math.Abs(bycx)))
	return det, float64(volumeBound * perm)
}

// Orient3D returns 1 when d lies on the side of the plane through a, b and c
// from which these are seen counter-clockwise, -1 when it lies on the other
// side, and 0 when the four points lie in one plane.
func Orient3D(a, b, c, d [3]float32) int {
	det, bound := Volume(a, b, c, d)
	if det > bound {
		return 1
	}
	if -det > bound {
		return -1
	}
	for k := range 3 {
		if a[k] == b[k] && b[k] == c[k] && c[k] == d[k] {
			return 0 // one plane across an axis: common, and slow below
		}
	}
	v, ok := VolumeExact(a, b, c, d)
	if !ok {
		return 0
	}
	return v.Sign()
}

// Collinear reports whether a, b and c lie on one line, equal points among
// them included.
func Collinear(a, b, c [3]float32) bool {
	// Most have an area that can be seen along some axis. Those across an axis
	// have none along the others, which is slow to prove.
	for k := range 3 {
		if turns(Drop(a, k), Drop(b, k), Drop(c, k)) {
			return false
		}
	}
	for k := range 3 {
		if Orient2D(Drop(a, k), Drop(b, k), Drop(c, k)) != 0 {
			return false
		}
	}
	return true
}

// Drop projects p along axis k (0 is x): the other two coordinates, in the
// order that keeps a counter-clockwise triangle whose normal points along +k
// counter-clockwise.
func Drop(p [3]float32, k int) [2]float64 {
	return [2]float64{float64(p[(k+1)%3]), float64(p[(k+2)%3])}
}
