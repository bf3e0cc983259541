package union

import (
	"fmt"
	"math"

	"falsework/mesh"
)

// Along a flush face the new surface may come to lie on itself: a skin of
// nothing between two of its triangles, back to back or face to face. That is
// closed, and its volume is right, but nobody wants it. So what is made is
// looked over for pairs of triangles that face opposite ways, are
// nowhere further apart than thin, and lie over one another over a width of
// skinWidth times that.

const skinWidth = 64

// A skinned place is answered by another position of the tool.
type skinned [3]float64

func (s skinned) Error() string {
	return fmt.Sprintf("a skin without thickness at (%.3f, %.3f, %.3f), where solids lie flush", s[0], s[1], s[2])
}

// skins looks for a place where a new triangle makes a skin with another one, of the patch
// or of A (stay tells which near ones it keeps). What a solid brought along is
// its own.
func (p *patch) skins(stay []bool, moved float64) (at [3]float64, found bool) {
	all := &mesh.Mesh{Vertices: p.pos}
	var fresh []int32
	far := 0.0
	oa, ob := p.w.op[0], p.w.op[1]
	base := int32(len(oa.v))
	var from []int8 // whole triangles: their operand; pieces: -1
	for t, k := range p.tri {
		if p.dead[t] {
			continue
		}
		whole := int8(-1)
		if s := p.src[t]; s.own == 1 {
			if o := ob.t[s.t]; same(k, [3]int32{base + o[0], base + o[1], base + o[2]}, s.flip) {
				whole = 1
			}
		}
		fresh = append(fresh, int32(len(all.Triangles)))
		all.Triangles = append(all.Triangles, k)
		from = append(from, whole)
		for _, v := range k {
			for _, x := range p.pos[v] {
				far = max(far, abs(float64(x)))
			}
		}
	}
	if len(fresh) == 0 {
		return at, false
	}
	thin := max(shortest*ulp(vec{float32(far)}), 2*moved)
	around := all.Bounds()
	for t, k := range oa.t {
		if a, b, c := oa.corners(int32(t)); stay[t] && overlap(around, (&mesh.Mesh{Vertices: []vec{a, b, c}, Triangles: [][3]int32{{0, 1, 2}}}).Bounds()) {
			all.Triangles = append(all.Triangles, k)
			from = append(from, 0)
		}
	}
	t := newTree(all)
	for _, i := range fresh {
		t.meeting(t.boxes[i].grown(float32(thin)), func(j int32) {
			if !found && j != i && (from[i] < 0 || from[i] != from[j]) {
				at, found = skin(all, int(i), int(j), thin)
			}
		})
		if found {
			return at, true
		}
	}
	return at, false
}

// same tells whether two triangles have the same corners in the same order,
// or, flipped, in the opposite one.
func same(k, o [3]int32, flip bool) bool {
	if flip {
		o[1], o[2] = o[2], o[1]
	}
	return k == o
}

func (b box) grown(by float32) box {
	for k := range 3 {
		b.lo[k] -= by
		b.hi[k] += by
	}
	return b
}

// skin tells whether two triangles make a skin, and where.
func skin(m *mesh.Mesh, i, j int, thin float64) (at [3]float64, found bool) {
	a := [3]vec{m.Corner(i, 0), m.Corner(i, 1), m.Corner(i, 2)}
	b := [3]vec{m.Corner(j, 0), m.Corner(j, 1), m.Corner(j, 2)}
	na, nb := cross(sub(a[1], a[0]), sub(a[2], a[0])), cross(sub(b[1], b[0]), sub(b[2], b[0]))
	la, lb := math.Sqrt(dot(na, na)), math.Sqrt(dot(nb, nb))
	if la == 0 || lb == 0 || dot(na, nb) > -0.99*float64(la*lb) {
		return at, false
	}
	if la < lb { // measured on the larger one
		a, b, na, la = b, a, nb, lb
	}
	// The other one seen along the normal, and its height.
	x := sub(a[1], a[0])
	l := math.Sqrt(dot(x, x))
	for k := range 3 {
		x[k] /= l
		na[k] /= la
	}
	y := cross(na, x)
	view := func(p vec) [3]float64 {
		d := sub(p, a[0])
		return [3]float64{dot(d, x), dot(d, y), dot(d, na)}
	}
	over := [][3]float64{view(b[0]), view(b[1]), view(b[2])}
	for e := range 3 {
		over = leftOf(over, view(a[e]), view(a[(e+1)%3]))
	}
	if len(over) < 3 || across(over) < skinWidth*thin {
		return at, false
	}
	for _, p := range over {
		if abs(p[2]) > thin {
			return at, false
		}
		for k := range 3 {
			at[k] += (float64(a[0][k]) + float64(p[0]*x[k]) + float64(p[1]*y[k])) / float64(len(over))
		}
	}
	return at, true
}

// leftOf keeps what of a convex polygon lies to the left of p q in plan.
func leftOf(poly [][3]float64, p, q [3]float64) (out [][3]float64) {
	side := func(r [3]float64) float64 {
		return float64((q[0]-p[0])*(r[1]-p[1])) - float64((q[1]-p[1])*(r[0]-p[0]))
	}
	for i, r := range poly {
		t := poly[(i+1)%len(poly)]
		u, v := side(r), side(t)
		if u >= 0 {
			out = append(out, r)
		}
		if u > 0 && v < 0 || u < 0 && v > 0 {
			f := u / (u - v)
			for k := range 3 {
				t[k] = r[k] + float64(f*(t[k]-r[k]))
			}
			out = append(out, t)
		}
	}
	return out
}

// across is the least width of a convex polygon in plan.
func across(poly [][3]float64) float64 {
	least := math.Inf(1)
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		if p[0] == q[0] && p[1] == q[1] {
			continue
		}
		far := 0.0
		for _, r := range poly {
			far = max(far, offLine([2]float64{p[0], p[1]}, [2]float64{q[0], q[1]}, [2]float64{r[0], r[1]}))
		}
		least = min(least, far)
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}
