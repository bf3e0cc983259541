package exact

import "math"

// unit is half the distance from 1 to the next float64: the greatest relative
// error of one rounded operation.
const unit = 1.0 / (1 << 53)

// crossBound bounds the error of the float64 value of Cross2D relative to the
// sum of the magnitudes of its two products. Each factor is one rounded
// subtraction, each product one rounding more, their difference another: the
// computed difference d and the true one D satisfy
//
//	|d - D| <= (3u + 3u^2 + u^3 + u(1+u)^3) (|left| + |right|)
//
// for exact products; the computed products are smaller than the exact ones
// by at most (1+u)^3, and the computed sum by (1+u). (3 + 16u)u covers the
// part that is not covered by the sign of d already, as in J. R. Shewchuk,
// "Adaptive Precision Floating-Point Arithmetic and Fast Robust Geometric
// Predicates", 1997; 4u + 32u^2 is taken here, which needs no such argument.
const crossBound = (4 + 32*unit) * unit

// tiny is a sum of products below which an underflow, which loses up to
// 2^-1074 however small the value, could matter against crossBound.
const tiny = 0x1p-960

// Orient2D returns 1 when a, b and c turn counter-clockwise, -1 when they turn
// clockwise, and 0 when they lie on one line.
func Orient2D(a, b, c [2]float64) int { return Cross2D(a, b, a, c) }

// Cross2D returns the sign of the cross product of the vectors from a to b and
// from c to d: 1 when the second points to the left of the first, 0 when they
// are parallel or one has no length.
func Cross2D(a, b, c, d [2]float64) int {
	bx, by := b[0]-a[0], b[1]-a[1]
	dx, dy := d[0]-c[0], d[1]-c[1]
	left, right := float64(bx*dy), float64(by*dx)
	det, sum := left-right, math.Abs(left)+math.Abs(right)
	if sum > tiny {
		// False when anything overflowed: infinity is not greater than itself.
		if bound := float64(crossBound * sum); det > bound {
			return 1
		} else if -det > bound {
			return -1
		}
	}
	if differs(b[0], a[0], bx) || differs(b[1], a[1], by) || differs(d[0], c[0], dx) || differs(d[1], c[1], dy) {
		return cross2DExact(a, b, c, d)
	}
	return products(bx, dy, by, dx, a, b, c, d)
}

// turns tells whether a, b and c certainly do not lie on one line: the filter of
// Cross2D.
func turns(a, b, c [2]float64) bool {
	left, right := float64((b[0]-a[0])*(c[1]-a[1])), float64((b[1]-a[1])*(c[0]-a[0]))
	sum := math.Abs(left) + math.Abs(right)
	return sum > tiny && math.Abs(left-right) > float64(crossBound*sum)
}

// differs tells whether d is not exactly x - y. The error of a rounded
// difference is computed exactly (D. E. Knuth, The Art of Computer
// Programming, volume 2, 4.2.2, theorem B).
func differs(x, y, d float64) bool {
	v := x - d
	return (x-(d+v))+(v-y) != 0 || math.IsInf(d, 0) || math.IsNaN(d)
}

// products compares bx*dy with by*dx exactly: a rounded product and what
// rounding took from it, which a fused multiply-add gives without error, are
// the whole product.
func products(bx, dy, by, dx float64, a, b, c, d [2]float64) int {
	left, right := float64(bx*dy), float64(by*dx)
	small := func(p, x, y float64) bool { return math.Abs(p) <= tiny && x != 0 && y != 0 }
	if small(left, bx, dy) || small(right, by, dx) || math.IsInf(left, 0) || math.IsInf(right, 0) {
		return cross2DExact(a, b, c, d)
	}
	le, re := math.FMA(bx, dy, -left), math.FMA(by, dx, -right)
	high, low := left-right, re-le
	switch {
	case differs(left, right, high):
		return cross2DExact(a, b, c, d)
	case high > low:
		return 1
	case high < low:
		return -1
	case high == 0 && le == re:
		return 0
	}
	// Equal after rounding low: only exact numbers can tell.
	return cross2DExact(a, b, c, d)
}

func cross2DExact(a, b, c, d [2]float64) int {
	v := [8]float64{a[0], a[1], b[0], b[1], c[0], c[1], d[0], d[1]}
	n, ok := integers(v[:])
	if !ok {
		return 0
	}
	left := mul(sub(n[2], n[0]), sub(n[7], n[5]))
	right := mul(sub(n[3], n[1]), sub(n[6], n[4]))
	return left.Cmp(right)
}
