package union

import (
	"math/big"

	"falsework/mesh/exact"
)

// Predicates between the two operands. A zero is decided as if B had been moved
// by a vanishing length: its vertices each on a way of its own when there is a
// motion, then the whole of B by d = (e, e^2, e^3), e far smaller still. The
// sign of a determinant is then that of its first coefficient that is not
// zero. One motion stands behind every answer, so the answers never contradict
// one another, whatever touches or coincides.

type vec = [3]float32

// above tells on which side of triangle a b c of operand own the vertex p of
// the other operand lies: 1 on the outer side, -1 on the inner, 0 only when
// the triangle has no area.
func (m *motion) above(own int, a, b, c, p vec) int {
	if s := exact.Orient3D(a, b, c, p); s != 0 {
		return s
	}
	if m != nil {
		if s := m.flat(own, a, b, c, p); s != 0 {
			return s
		}
	}
	s := lead(a, b, c)
	if own == 1 {
		return -s // p is the one that stands still
	}
	return s
}

// volume is that of triangle a b c of operand own with p of the other one.
func (m *motion) volume(own int, a, b, c, p vec) series {
	if own == 1 {
		return m.moving(a).volume(m.moving(b), m.moving(c), m.still(p))
	}
	return m.still(a).volume(m.still(b), m.still(c), m.moving(p))
}

// lead returns the sign of the first coordinate of the triangle's normal that
// is not zero.
func lead(a, b, c vec) int {
	for k := range 3 {
		if s := exact.Orient2D(exact.Drop(a, k), exact.Drop(b, k), exact.Drop(c, k)); s != 0 {
			return s
		}
	}
	return 0
}

// turn is the sign of the volume p q a b, p and q of A, a and b of B. It is 0
// only when the edges pq and ab are parallel.
func (m *motion) turn(p, q, a, b vec) int {
	if s := exact.Orient3D(p, q, a, b); s != 0 {
		return s
	}
	if m != nil {
		if s := m.flatTurn(p, q, a, b); s != 0 {
			return s
		}
	}
	// The derivative of (q-p) x (a-p) . (b-p) for a and b moving together is
	// (q-p) x (a-b).
	for k := range 3 {
		if s := exact.Cross2D(exact.Drop(p, k), exact.Drop(q, k), exact.Drop(b, k), exact.Drop(a, k)); s != 0 {
			return s
		}
	}
	return 0
}

// pierces tells whether the edge pq of operand own, whose ends lie on
// different sides of the plane of the other operand's triangle a b c, passes
// through the triangle.
func (m *motion) pierces(own int, p, q, a, b, c vec) bool {
	t := func(a, b vec) int {
		if own == 0 {
			return m.turn(p, q, a, b)
		}
		return m.turn(a, b, p, q) // an even permutation
	}
	s := t(a, b)
	return s != 0 && t(b, c) == s && t(c, a) == s
}

// A station is where an edge u v passes a triangle of the other operand: at
// u + t (v - u) with t = |su| / (|su| + |sv|), su and sv the volumes that u
// and v span with the triangle.
type station struct{ a, b, c vec }

// before tells whether the edge u v of operand own, followed from u, passes s
// before r: 1 yes, -1 no, 0 when not even the symbolic motion parts them.
func (m *motion) before(own int, u, v vec, s, r station) int {
	su, eu := exact.Volume(s.a, s.b, s.c, u)
	sv, ev := exact.Volume(s.a, s.b, s.c, v)
	ru, fu := exact.Volume(r.a, r.b, r.c, u)
	rv, fv := exact.Volume(r.a, r.b, r.c, v)
	su, sv, ru, rv = abs(su), abs(sv), abs(ru), abs(rv)
	// s before r when su rv < ru sv.
	left, right := float64(su*rv), float64(ru*sv)
	bound := float64((su+eu)*fv) + float64((rv+fv)*eu) + float64((ru+fu)*ev) + float64((sv+ev)*fu)
	bound = float64(1.01*bound) + float64(1e-15*(left+right))
	if d := right - left; d > bound {
		return 1
	} else if -d > bound {
		return -1
	}
	return m.beforeExact(own, u, v, s, r)
}

func (m *motion) beforeExact(own int, u, v vec, s, r station) int {
	if m != nil {
		su, sv := m.volume(1-own, s.a, s.b, s.c, u), m.volume(1-own, s.a, s.b, s.c, v)
		ru, rv := m.volume(1-own, r.a, r.b, r.c, u), m.volume(1-own, r.a, r.b, r.c, v)
		ds, dr := su.less(sv), ru.less(rv)
		if c := ru.times(ds).less(su.times(dr)).sign(); c != 0 {
			return c * ds.sign() * dr.sign()
		}
	}
	su, _ := exact.VolumeExact(s.a, s.b, s.c, u)
	sv, _ := exact.VolumeExact(s.a, s.b, s.c, v)
	ru, _ := exact.VolumeExact(r.a, r.b, r.c, u)
	rv, _ := exact.VolumeExact(r.a, r.b, r.c, v)
	mul := func(x, y *big.Int) *big.Int { return new(big.Int).Mul(x, y) }
	sum := func(x, y *big.Int) *big.Int { x, y = new(big.Int).Abs(x), new(big.Int).Abs(y); return x.Add(x, y) }
	left := mul(new(big.Int).Abs(su), sum(ru, rv))
	right := mul(new(big.Int).Abs(ru), sum(su, sv))
	if c := right.Cmp(left); c != 0 {
		return c
	}
	// Moving B by d changes t by -(n.d) / (n.(u-v)) when the edge is A's, by
	// as much the other way when it is B's; n.(u-v) = su - sv.
	ns, _ := exact.NormalExact(s.a, s.b, s.c)
	nr, _ := exact.NormalExact(r.a, r.b, r.c)
	ds, dr := new(big.Int).Sub(su, sv), new(big.Int).Sub(ru, rv)
	sign := ds.Sign() * dr.Sign()
	if own == 0 {
		sign = -sign
	}
	for k := range 3 {
		// ns/ds against nr/dr; s comes first when its t grows less.
		if c := mul(nr[k], ds).Cmp(mul(ns[k], dr)); c != 0 {
			return c * sign
		}
	}
	return 0
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}
