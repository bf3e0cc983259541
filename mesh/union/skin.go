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

// A scene is what skins are looked for in.
type scene struct {
	at   [][3]vec
	n    [][3]float64 // unit normals, zero where there is no area
	thin float64
}

func (s *scene) add(a, b, c vec) {
	n := cross(sub(b, a), sub(c, a))
	if l := math.Sqrt(dot(n, n)); l > 0 {
		for k := range 3 {
			n[k] /= l
		}
	}
	s.at = append(s.at, [3]vec{a, b, c})
	s.n = append(s.n, n)
}

// skins looks for a place where a new triangle makes a skin with another one,
// of the patch or of A (stay tells which near ones it keeps). What a solid
// brought along is its own: whole triangles of one operand make none.
func (p *patch) skins(stay []bool, moved float64) (at [3]float64, found bool) {
	oa, ob := p.w.op[0], p.w.op[1]
	base := int32(len(oa.v))
	s := &scene{}
	var whole []int // triangles of B as they were, in p.tri
	far := float32(0)
	var around box
	for t, k := range p.tri {
		if p.dead[t] {
			continue
		}
		a, b, c := p.pos[k[0]], p.pos[k[1]], p.pos[k[2]]
		bx := boxOf(a, b, c)
		if around == (box{}) {
			around = bx
		}
		around = around.join(bx)
		if src := p.src[t]; src.own == 1 {
			if o := ob.t[src.t]; same(k, [3]int32{base + o[0], base + o[1], base + o[2]}, src.flip) {
				whole = append(whole, t)
				continue
			}
		}
		s.add(a, b, c)
	}
	for k := range 3 {
		far = max(far, around.hi[k], -around.lo[k])
	}
	s.thin = max(shortest*ulp(vec{far}), 2*moved)
	pieces := len(s.at)
	for t := range oa.t {
		if a, b, c := oa.corners(int32(t)); stay[t] && around.meets(boxOf(a, b, c)) {
			s.add(a, b, c)
		}
	}
	tree := s.tree()
	try := func(i int, bx box) bool {
		tree.meeting(bx.grown(float32(s.thin)), func(j int32) {
			if !found && int(j) != i {
				at, found = s.skin(i, int(j))
			}
		})
		return found
	}
	for i := range pieces {
		if try(i, tree.boxes[i]) {
			return at, true
		}
	}
	// The last place of the scene holds one whole triangle of B after another.
	i := len(s.at)
	for _, t := range whole {
		k := p.tri[t]
		s.at, s.n = s.at[:i], s.n[:i]
		s.add(p.pos[k[0]], p.pos[k[1]], p.pos[k[2]])
		if try(i, boxOf(s.at[i][0], s.at[i][1], s.at[i][2])) {
			return at, true
		}
	}
	return at, false
}

func (s *scene) tree() *tree {
	m := &mesh.Mesh{Vertices: make([]vec, 0, 3*len(s.at)), Triangles: make([][3]int32, len(s.at))}
	for i, c := range s.at {
		n := int32(len(m.Vertices))
		m.Vertices = append(m.Vertices, c[:]...)
		m.Triangles[i] = [3]int32{n, n + 1, n + 2}
	}
	return newTree(m)
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

// skin tells whether two triangles make a skin, and where. It is measured on
// the first of them.
func (s *scene) skin(i, j int) (at [3]float64, found bool) {
	n := s.n[i]
	if dot(n, s.n[j]) > -0.99 {
		return at, false
	}
	a, b := s.at[i], s.at[j]
	var h [3]float64 // of b over a
	for k := range 3 {
		h[k] = dot(sub(b[k], a[0]), n)
	}
	if min(h[0], h[1], h[2]) > s.thin || max(h[0], h[1], h[2]) < -s.thin {
		return at, false
	}
	x := sub(a[1], a[0])
	l := math.Sqrt(dot(x, x))
	for k := range 3 {
		x[k] /= l
	}
	y := cross(n, x)
	view := func(p vec) [3]float64 {
		d := sub(p, a[0])
		return [3]float64{dot(d, x), dot(d, y), dot(d, n)}
	}
	over := [][3]float64{view(b[0]), view(b[1]), view(b[2])}
	for e := range 3 {
		over = leftOf(over, view(a[e]), view(a[(e+1)%3]))
	}
	if len(over) < 3 || across(over) < skinWidth*s.thin {
		return at, false
	}
	for _, p := range over {
		if abs(p[2]) > s.thin {
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
