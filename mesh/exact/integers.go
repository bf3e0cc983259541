package exact

import (
	"math"
	"math/big"
)

// integers scales finite numbers by one common power of two to integers, so
// that a homogeneous determinant of them keeps its sign.
func integers(v []float64) ([]*big.Int, bool) {
	mant := make([]int64, len(v))
	exps := make([]int, len(v))
	least := math.MaxInt
	for i, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return nil, false
		}
		if x == 0 {
			continue
		}
		f, e := math.Frexp(x)
		mant[i], exps[i] = int64(f*(1<<53)), e-53
		least = min(least, exps[i])
	}
	out := make([]*big.Int, len(v))
	for i := range v {
		out[i] = big.NewInt(mant[i])
		if mant[i] != 0 {
			out[i].Lsh(out[i], uint(exps[i]-least))
		}
	}
	return out, true
}

// scale is the power of two by which float32 coordinates become integers:
// the least denormal is 2^-149.
const scale = 149

// integer32 returns x * 2^149, an integer for every finite float32.
func integer32(x float32) (*big.Int, bool) {
	v := float64(x)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil, false
	}
	if v == 0 {
		return new(big.Int), true
	}
	f, e := math.Frexp(v)
	n := big.NewInt(int64(f * (1 << 53)))
	if s := e - 53 + scale; s >= 0 {
		n.Lsh(n, uint(s))
	} else {
		n.Rsh(n, uint(-s)) // a float32 has 24 bits, only zeros go
	}
	return n, true
}

// Coordinate returns x in units of 2^-149, an integer for every finite
// float32. It reports false for the others.
func Coordinate(x float32) (*big.Int, bool) { return integer32(x) }

// VolumeExact returns six times the signed volume of the tetrahedron a b c d,
// in units of 2^-447 cubic millimetres, exactly. The sign is that of Volume.
// It reports false when a coordinate is not finite.
func VolumeExact(a, b, c, d [3]float32) (*big.Int, bool) {
	var r [3][3]*big.Int
	for k := range 3 {
		o, ok := integer32(d[k])
		if !ok {
			return nil, false
		}
		for i, p := range [3][3]float32{a, b, c} {
			n, ok := integer32(p[k])
			if !ok {
				return nil, false
			}
			r[i][k] = n.Sub(n, o)
		}
	}
	minor := func(i, j int) *big.Int {
		return sub(mul(r[1][i], r[2][j]), mul(r[1][j], r[2][i]))
	}
	v := mul(r[0][0], minor(1, 2))
	v.Add(v, mul(r[0][1], minor(2, 0)))
	v.Add(v, mul(r[0][2], minor(0, 1)))
	return v.Neg(v), true
}

func sub(a, b *big.Int) *big.Int { return new(big.Int).Sub(a, b) }
func mul(a, b *big.Int) *big.Int { return new(big.Int).Mul(a, b) }

// NormalExact returns the normal (b-a) x (c-a) of a triangle, in units of
// 2^-298 square millimetres, exactly. It reports false when a coordinate is
// not finite.
func NormalExact(a, b, c [3]float32) ([3]*big.Int, bool) {
	var u, v, n [3]*big.Int
	for k := range 3 {
		p, ok1 := integer32(a[k])
		q, ok2 := integer32(b[k])
		r, ok3 := integer32(c[k])
		if !ok1 || !ok2 || !ok3 {
			return n, false
		}
		u[k], v[k] = q.Sub(q, p), r.Sub(r, p)
	}
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		n[k] = sub(mul(u[i], v[j]), mul(u[j], v[i]))
	}
	return n, true
}
