package meshtest

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"testing"

	"falsework/mesh"
)

// The kinds of contact between two triangles that should have none.
const (
	Pierce  Kind = "pierces"  // an edge of one goes through the other
	Overlap Kind = "overlaps" // in one plane, with area in common
	Touch   Kind = "touches"  // a corner or edge lies on the other
)

// A Contact is a pair of triangles that meet elsewhere than along an edge or
// at a corner they share.
type Contact struct {
	Kind  Kind
	A, B  int        // triangles, A < B
	Depth float64    // how far at least one must give way, as a bound: see [Contacts]
	At    [3]float64 // a corner of one of them
}

func (c Contact) String() string {
	return fmt.Sprintf("triangle %d %s %d by %.3g near (%g, %g, %g)", c.A, c.Kind, c.B, c.Depth, c.At[0], c.At[1], c.At[2])
}

// CheckEmbedded is [Check], and fails too where the surface goes through
// itself deeper than depth, in millimetres. Contacts of no depth are faults
// for a negative depth only.
func CheckEmbedded(t testing.TB, m *mesh.Mesh, depth float64) {
	t.Helper()
	Check(t, m)
	bad := 0
	for _, c := range Contacts(m) {
		if c.Depth > depth {
			if bad++; bad <= 5 {
				t.Error(c)
			}
		}
	}
	if bad > 0 {
		t.Fatalf("the surface meets itself in %d places", bad)
	}
}

// Contacts returns every pair of triangles that meet where they should not,
// decided exactly, ordered by A, then B. The depth of a piercing is the least
// of these lengths: how far each triangle reaches to either side of the
// other's plane, and how far the segment they share lies from the border of
// each; of an overlap, the lesser of the two least heights; a
// touch has none. Triangles of the same three corners are left to [Faults].
func Contacts(m *mesh.Mesh) []Contact {
	var cs []Contact
	eachPair(m, func(a, b int) {
		if c, ok := contact(m, min(a, b), max(a, b)); ok {
			cs = append(cs, c)
		}
	})
	slices.SortFunc(cs, func(p, q Contact) int {
		if p.A != q.A {
			return p.A - q.A
		}
		return p.B - q.B
	})
	return cs
}

type tri [3][3]float64

func triangleOf(m *mesh.Mesh, t int) tri {
	return tri{corner(m, t, 0), corner(m, t, 1), corner(m, t, 2)}
}

// contact judges one pair.
func contact(m *mesh.Mesh, ia, ib int) (Contact, bool) {
	a, b := triangleOf(m, ia), triangleOf(m, ib)
	ta, tb := m.Triangles[ia], m.Triangles[ib]
	// Turn both so that shared corners come first.
	shared := 0
	for i := range 3 {
		for j := range 3 {
			if ta[i] == tb[j] && i >= shared {
				ta[i], ta[shared], a[i], a[shared] = ta[shared], ta[i], a[shared], a[i]
				tb[j], tb[shared], b[j], b[shared] = tb[shared], tb[j], b[shared], b[j]
				shared++
				break
			}
		}
	}
	none := Contact{}
	if shared == 3 || flat(a[0], a[1], a[2]) || flat(b[0], b[1], b[2]) {
		return none, false
	}
	var sa, sb [3]int
	for i := shared; i < 3; i++ {
		sa[i] = orient(b[0], b[1], b[2], a[i])
	}
	if shared == 0 && sa[0] == sa[1] && sa[1] == sa[2] && sa[0] != 0 {
		return none, false
	}
	for i := shared; i < 3; i++ {
		sb[i] = orient(a[0], a[1], a[2], b[i])
	}
	if sa == [3]int{} {
		if overlapInPlane(a, b) {
			return Contact{Overlap, ia, ib, min(leastHeight(a), leastHeight(b)), a[0]}, true
		}
		return none, false
	}
	if shared == 2 {
		return none, false
	}
	k1 := through(a, b, sa, shared)
	k2 := through(b, a, sb, shared)
	switch {
	case k1 == Pierce || k2 == Pierce:
		return Contact{Pierce, ia, ib, min(beyond(a, b), beyond(b, a), within(a, b)), a[2]}, true
	case k1 == Touch || k2 == Touch:
		return Contact{Touch, ia, ib, 0, a[2]}, true
	}
	return none, false
}

// through tells how the edges of a that hold no shared corner meet b; s are
// the sides of b's plane that the corners of a lie on.
func through(a, b tri, s [3]int, shared int) Kind {
	var k Kind
	for i := range 3 {
		j := (i + 1) % 3
		if i < shared || j < shared || s[i]*s[j] > 0 || s[i] == 0 && s[j] == 0 {
			continue
		}
		o := [3]int{orient(a[i], a[j], b[0], b[1]), orient(a[i], a[j], b[1], b[2]), orient(a[i], a[j], b[2], b[0])}
		if min(o[0], o[1], o[2]) < 0 && max(o[0], o[1], o[2]) > 0 {
			continue
		}
		if s[i]*s[j] < 0 {
			return Pierce
		}
		k = Touch
	}
	return k
}

// overlapInPlane decides whether two triangles of one plane have area in
// common: they do unless a side of one of them keeps them apart.
func overlapInPlane(a, b tri) bool {
	n := normal2(a[0], a[1], a[2])
	x := 0
	for i := range 3 {
		if math.Abs(n[i]) > math.Abs(n[x]) {
			x = i
		}
	}
	y, z := (x+1)%3, (x+2)%3
	side := func(p, q, r [3]float64) int { return sign2(p[y], p[z], q[y], q[z], r[y], r[z]) }
	apart := func(a, b tri) bool {
		for i := range 3 {
			p, q, r := a[i], a[(i+1)%3], a[(i+2)%3]
			in := side(p, q, r)
			if side(p, q, b[0])*in <= 0 && side(p, q, b[1])*in <= 0 && side(p, q, b[2])*in <= 0 {
				return true
			}
		}
		return false
	}
	return !apart(a, b) && !apart(b, a)
}

// beyond returns the lesser of how far a reaches to either side of b's plane.
func beyond(a, b tri) float64 {
	n := normal2(b[0], b[1], b[2])
	l := norm(n)
	up, down := 0.0, 0.0
	for _, p := range a {
		d := ((p[0]-b[0][0])*n[0] + (p[1]-b[0][1])*n[1] + (p[2]-b[0][2])*n[2]) / l
		up, down = max(up, d), max(down, -d)
	}
	return min(up, down)
}

func leastHeight(a tri) float64 {
	l := 0.0
	for i := range 3 {
		p, q := a[i], a[(i+1)%3]
		l = max(l, norm([3]float64{q[0] - p[0], q[1] - p[1], q[2] - p[2]}))
	}
	return norm(normal2(a[0], a[1], a[2])) / l
}

// orient is the exact sign of the volume of a tetrahedron: positive when d
// lies behind abc, on the side its normal points away from.
func orient(a, b, c, d [3]float64) int {
	var u, v, w [3]float64
	for i := range 3 {
		u[i], v[i], w[i] = a[i]-d[i], b[i]-d[i], c[i]-d[i]
	}
	det, size := 0.0, 0.0
	for i := range 3 {
		j, k := (i+1)%3, (i+2)%3
		det += u[i] * (v[j]*w[k] - v[k]*w[j])
		size += math.Abs(u[i]) * (math.Abs(v[j]*w[k]) + math.Abs(v[k]*w[j]))
	}
	// Each term bears three differences, two products, a difference and two
	// sums: under ten roundings of 2^-53 each.
	if math.Abs(det) > 2e-15*size {
		if det > 0 {
			return 1
		}
		return -1
	}
	if size == 0 || a == d || b == d || c == d {
		return 0
	}
	for i := range 3 {
		if a[i] == d[i] && b[i] == d[i] && c[i] == d[i] {
			return 0 // all in one plane across an axis: the common case, and slow below
		}
	}
	return orientExact(a, b, c, d)
}

// orientExact is orient in numbers long enough to hold every intermediate
// result of float32 coordinates: 280 bits each, three in a product.
func orientExact(a, b, c, d [3]float64) int {
	num := func(x float64) *big.Float { return new(big.Float).SetPrec(1000).SetFloat64(x) }
	var r [3][3]*big.Float
	for i, p := range [3][3]float64{a, b, c} {
		for j := range 3 {
			r[i][j] = num(p[j])
			r[i][j].Sub(r[i][j], num(d[j]))
		}
	}
	det, m, n := num(0), num(0), num(0)
	for i := range 3 {
		j, k := (i+1)%3, (i+2)%3
		if r[0][i].Sign() != 0 {
			m.Mul(r[1][j], r[2][k])
			n.Mul(r[1][k], r[2][j])
			det.Add(det, m.Mul(m.Sub(m, n), r[0][i]))
		}
	}
	return det.Sign()
}
