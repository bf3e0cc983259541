package union

import "math"

// slopeBound bounds the rounding error of slope relative to its permanent:
// a difference, two products, a difference and two sums are six errors of
// 2^-53 in a determinant, the sum of three two more; twice that is taken.
const slopeBound = 16 * 0x1p-53

// slope returns the sign of the first derivative of the volume a b c d, which
// is zero, along the ways of the four; 0 when float64 cannot tell.
func slope(a, b, c, d vec, wa, wb, wc, wd [3]int64) int {
	at := [3][3]float64{sub(a, d), sub(b, d), sub(c, d)}
	var way [3][3]float64
	for i, w := range [3][3]int64{wa, wb, wc} {
		for k := range 3 {
			way[i][k] = float64(w[k] - wd[k])
		}
	}
	sum, size := 0.0, 0.0
	for i := range 3 {
		r := at
		r[i] = way[i]
		sum += det(r[0], r[1], r[2])
		for k := range 3 {
			l, m := (k+1)%3, (k+2)%3
			size += float64(math.Abs(r[0][k]) * (math.Abs(float64(r[1][l]*r[2][m])) + math.Abs(float64(r[1][m]*r[2][l]))))
		}
	}
	switch bound := float64(slopeBound * size); {
	case sum > bound: // the volume is the determinant, turned round
		return -1
	case -sum > bound:
		return 1
	}
	return 0
}

// flat is the sign of the volume of triangle a b c of operand own with p of
// the other one, for four points in one plane.
func (m *motion) flat(own int, a, b, c, p vec) int {
	var none [3]int64
	s := 0
	if own == 1 {
		s = slope(a, b, c, p, m.way(a), m.way(b), m.way(c), none)
	} else {
		s = slope(a, b, c, p, none, none, none, m.way(p))
	}
	if s != 0 {
		return s
	}
	return m.volume(own, a, b, c, p).sign()
}

// flatTurn is the same for the edges p q of A and a b of B.
func (m *motion) flatTurn(p, q, a, b vec) int {
	var none [3]int64
	if s := slope(p, q, a, b, none, none, m.way(a), m.way(b)); s != 0 {
		return s
	}
	return m.still(p).volume(m.still(q), m.moving(a), m.moving(b)).sign()
}
