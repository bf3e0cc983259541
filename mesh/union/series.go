package union

import (
	"math/big"

	"falsework/mesh/exact"
)

// A series is a polynomial in a vanishingly small e > 0, from the constant
// term on. Its sign is that of its first term that is not zero.
type series []*big.Int

func (s series) sign() int {
	for _, c := range s {
		if v := c.Sign(); v != 0 {
			return v
		}
	}
	return 0
}

func (s series) less(r series) series {
	out := make(series, max(len(s), len(r)))
	for i := range out {
		out[i] = new(big.Int)
		if i < len(s) {
			out[i].Set(s[i])
		}
		if i < len(r) {
			out[i].Sub(out[i], r[i])
		}
	}
	return out.trimmed()
}

func (s series) times(r series) series {
	if len(s) == 0 || len(r) == 0 {
		return nil
	}
	out := make(series, len(s)+len(r)-1)
	for i := range out {
		out[i] = new(big.Int)
	}
	p := new(big.Int)
	for i, x := range s {
		for j, y := range r {
			out[i+j].Add(out[i+j], p.Mul(x, y))
		}
	}
	return out.trimmed()
}

// trimmed has no zero at its end.
func (s series) trimmed() series {
	n := len(s)
	for n > 0 && s[n-1].Sign() == 0 {
		n--
	}
	return s[:n]
}

// ratio returns s / (s - r) at the limit e = 0, for two series of different
// signs: both terms of the lowest degree at which one of them is not zero.
func ratio(s, r series) float64 {
	for i := range max(len(s), len(r)) {
		x, y := new(big.Int), new(big.Int)
		if i < len(s) {
			x.Set(s[i])
		}
		if i < len(r) {
			y.Set(r[i])
		}
		if x.Sign() == 0 && y.Sign() == 0 {
			continue
		}
		if y.Sub(x, y); y.Sign() == 0 {
			break // not of different signs
		}
		t, _ := new(big.Rat).SetFrac(x, y).Float64()
		return t
	}
	return 0.5
}

// A mover is a vertex on its way.
type mover [3]series

func (m *motion) still(p vec) (v mover) {
	for k := range 3 {
		x, _ := exact.Coordinate(p[k])
		v[k] = series{x}.trimmed()
	}
	return v
}

func (m *motion) moving(p vec) mover {
	v := m.still(p)
	w := m.way(p)
	for k := range 3 {
		x := new(big.Int)
		if len(v[k]) > 0 {
			x = v[k][0]
		}
		v[k] = series{x, big.NewInt(w[k])}.trimmed()
	}
	return v
}

// volume is that of exact.Volume, six times the tetrahedron's.
func (a mover) volume(b, c, d mover) series {
	var r [3][3]series
	for k := range 3 {
		r[0][k], r[1][k], r[2][k] = a[k].less(d[k]), b[k].less(d[k]), c[k].less(d[k])
	}
	var out series
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		out = out.less(r[0][k].times(r[1][i].times(r[2][j]).less(r[1][j].times(r[2][i]))))
	}
	return out
}

// planar is twice the area of a b c seen from above.
func (a mover) planar(b, c mover) series {
	x, y := 0, 1
	return b[x].less(a[x]).times(c[y].less(a[y])).less(b[y].less(a[y]).times(c[x].less(a[x])))
}
