package meshtest

import (
	"fmt"
	"math"

	"falsework/mesh"
)

// A Skin is a place where a surface has nothing, or next to nothing, between
// two of its sides: two triangles back to back, or face to face.
type Skin struct {
	A, B  int     // triangles, A < B
	Thick float64 // greatest distance of the two where they lie over one another
	Wide  float64 // least width of the region where they do
	At    [3]float64
}

func (s Skin) String() string {
	return fmt.Sprintf("triangles %d and %d make a skin %.3g thick and %.3g wide near (%g, %g, %g)", s.A, s.B, s.Thick, s.Wide, s.At[0], s.At[1], s.At[2])
}

// Skins returns the pairs of triangles that face opposite ways, nowhere
// further apart than thick, over a region at least wide across; both are
// lengths in millimetres. Two triangles of the same three corners are a skin
// like any other, and so are those folded together along an edge. The edge of
// a wedge sharper than thick to wide is one too: choose wide accordingly.
func Skins(m *mesh.Mesh, thick, wide float64) (out []Skin) {
	eachNear(m, thick, func(a, b int) {
		a, b = min(a, b), max(a, b)
		if s, ok := skin(triangleOf(m, a), triangleOf(m, b), thick, wide); ok {
			s.A, s.B = a, b
			out = append(out, s)
		}
	})
	return out
}

func skin(a, b tri, thick, wide float64) (Skin, bool) {
	m, n := normal2(a[0], a[1], a[2]), normal2(b[0], b[1], b[2])
	lm, ln := norm(m), norm(n)
	if lm == 0 || ln == 0 || dot(m, n) > -0.99*lm*ln {
		return Skin{}, false
	}
	if lm < ln { // measured on the larger one
		a, b, m, n, lm = b, a, n, m, ln
	}
	// b in the plane of a: two coordinates there, and its height above it.
	x := minus(a[1], a[0])
	for k := range x {
		m[k] /= lm
	}
	l := norm(x)
	for k := range x {
		x[k] /= l
	}
	y := outer(m, x)
	place := func(p [3]float64) [3]float64 {
		d := minus(p, a[0])
		return [3]float64{dot(d, x), dot(d, y), dot(d, m)}
	}
	region := [][3]float64{place(b[0]), place(b[1]), place(b[2])}
	for i := range 3 {
		region = clip(region, place(a[i]), place(a[(i+1)%3]))
	}
	if len(region) < 3 {
		return Skin{}, false
	}
	s := Skin{Wide: width(region), At: b[0]}
	for _, p := range region {
		s.Thick = math.Max(s.Thick, math.Abs(p[2]))
	}
	return s, s.Thick <= thick && s.Wide >= wide
}

// clip keeps what of a convex polygon lies left of the line from p to q in
// plan.
func clip(poly [][3]float64, p, q [3]float64) (out [][3]float64) {
	side := func(r [3]float64) float64 { return (q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0]) }
	for i, r := range poly {
		t := poly[(i+1)%len(poly)]
		u, v := side(r), side(t)
		if u >= 0 {
			out = append(out, r)
		}
		if u > 0 && v < 0 || u < 0 && v > 0 {
			f := u / (u - v)
			out = append(out, [3]float64{r[0] + f*(t[0]-r[0]), r[1] + f*(t[1]-r[1]), r[2] + f*(t[2]-r[2])})
		}
	}
	return out
}

// width is the least distance of two parallel lines with a convex polygon
// between them, in plan.
func width(poly [][3]float64) float64 {
	least := math.Inf(1)
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		l := math.Hypot(q[0]-p[0], q[1]-p[1])
		if l == 0 {
			continue
		}
		far := 0.0
		for _, r := range poly {
			far = math.Max(far, math.Abs((q[0]-p[0])*(r[1]-p[1])-(q[1]-p[1])*(r[0]-p[0]))/l)
		}
		least = math.Min(least, far)
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}
