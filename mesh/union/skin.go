package union

import (
	"context"
	"fmt"
	"math"

	"falsework/mesh/par"
)

// Along a flush face the new surface may come to lie on itself: a skin of
// nothing between two of its triangles, back to back or face to face. That is
// closed, and its volume is right, but nobody wants it. So what is made is
// looked over for pairs of triangles that face opposite ways, are
// nowhere further apart than thin, and lie over one another over a width of
// skinWidth times as far as they are apart. Where a tool was moved out of a
// flush place, thin is how far, but what rounding leaves is far thinner, and
// is a skin when it is far narrower too: so a place is held to its own
// thickness, counted as a few units in the last place at least.

const skinWidth = 64

// A skinned place is answered by another position of the tool.
type skinned [3]float64

func (s skinned) Error() string {
	return fmt.Sprintf("a skin without thickness at (%.3f, %.3f, %.3f), where solids lie flush", s[0], s[1], s[2])
}

// A facet is a triangle in its place.
type facet struct {
	at [3]vec
	n  [3]float64 // unit normal, zero where there is no area
}

func facetOf(a, b, c vec) facet {
	n := cross(sub(b, a), sub(c, a))
	if l := math.Sqrt(dot(n, n)); l > 0 {
		for k := range 3 {
			n[k] /= l
		}
	}
	return facet{[3]vec{a, b, c}, n}
}

func (f *facet) box() box { return boxOf(f.at[0], f.at[1], f.at[2]) }

// A scene is what skins are looked for in. Facets that face alike have a tree
// of their own: most of what a facet's box meets are others of the same face,
// and those need no look.
type scene struct {
	sides [54]side
	thin  float64
	least float64 // what a thickness counts at least
}

// A side is the facets that face about one way.
type side struct {
	facets []facet
	lo, hi [3]float64 // of their normals
	tree   *tree
}

// add puts a facet in. One without area makes no skin.
func (s *scene) add(f facet) {
	if f.n == ([3]float64{}) {
		return
	}
	d := &s.sides[direction(f.n)]
	if len(d.facets) == 0 {
		d.lo, d.hi = f.n, f.n
	}
	for k, x := range f.n {
		d.lo[k], d.hi[k] = min(d.lo[k], x), max(d.hi[k], x)
	}
	d.facets = append(d.facets, f)
}

// direction is one of 54 ways to face: nine on each side of a cube.
func direction(n [3]float64) int {
	k := 0
	for i := 1; i < 3; i++ {
		if abs(n[i]) > abs(n[k]) {
			k = i
		}
	}
	third := func(x float64) int { return min(int(1.5*(x/abs(n[k])+1)), 2) }
	d := 9*k + 3*third(n[(k+1)%3]) + third(n[(k+2)%3])
	if n[k] < 0 {
		d += 27
	}
	return d
}

// opposite is the greatest cosine between facets of a skin. The normals turned
// round then differ by at most sqrt(2-2*0.99) in each coordinate.
const opposite, turned = -0.99, 0.1415

// faces tells whether a facet of the side may face against one.
func (d *side) faces(n [3]float64) bool {
	for k := range 3 {
		if -n[k] < d.lo[k]-turned || -n[k] > d.hi[k]+turned {
			return false
		}
	}
	return len(d.facets) > 0
}

// skins looks for a place where a new triangle makes a skin with another one,
// of the patch or of A (stay tells which near ones it keeps). What a solid
// brought along is its own: whole triangles of one operand make none.
func (p *patch) skins(stay []bool, moved float64) (at [3]float64, found bool) {
	oa, ob := p.w.op[0], p.w.op[1]
	base := int32(len(oa.v))
	var asked []facet // pieces, then triangles of B as they were
	var whole []facet
	var around box
	s := &scene{}
	for t, k := range p.tri {
		if p.dead[t] {
			continue
		}
		f := facetOf(p.pos[k[0]], p.pos[k[1]], p.pos[k[2]])
		if around == (box{}) {
			around = f.box()
		}
		around = around.join(f.box())
		if src := p.src[t]; src.own == 1 {
			if o := ob.t[src.t]; same(k, [3]int32{base + o[0], base + o[1], base + o[2]}, src.flip) {
				whole = append(whole, f)
				continue
			}
		}
		asked = append(asked, f)
		s.add(f)
	}
	asked = append(asked, whole...)
	far := float32(0)
	for k := range 3 {
		far = max(far, around.hi[k], -around.lo[k])
	}
	s.least = shortest * ulp(vec{far})
	s.thin = max(s.least, 2*moved)
	around = around.grown(float32(s.thin))
	for t := range oa.t {
		if a, b, c := oa.corners(int32(t)); stay[t] && around.meets(boxOf(a, b, c)) {
			s.add(facetOf(a, b, c))
		}
	}
	s.plant()
	return s.first(asked)
}

// plant makes the trees. The facets of a side are flat along its axis, so they
// are parted along that first: most of what is asked lies in another plane.
func (s *scene) plant() {
	grow := func(i int) {
		d := &s.sides[i]
		boxes := make([]box, len(d.facets))
		for t := range d.facets {
			boxes[t] = d.facets[t].box()
		}
		weigh := [3]float32{1, 1, 1}
		weigh[i%27/9] = 64
		d.tree = treeOf(boxes, weigh)
	}
	all := 0
	for i := range s.sides {
		all += len(s.sides[i].facets)
	}
	if limit(all) == 1 {
		for i := range s.sides {
			grow(i)
		}
		return
	}
	// The context is never done, so there is no error.
	_ = par.Range(context.Background(), len(s.sides), 1, func(from, to int) {
		for i := from; i < to; i++ {
			grow(i)
		}
	})
}

// first returns a place where one of the facets makes a skin, the first that
// does. It does not depend on how many look.
func (s *scene) first(asked []facet) (at [3]float64, found bool) {
	type answer struct {
		at    [3]float64
		found bool
	}
	answers := make([]answer, limit(len(asked)))
	workers(len(asked), func(block, from, to int) {
		a := &answers[block]
		for i := from; i < to && !a.found; i++ {
			a.at, a.found = s.ask(&asked[i])
		}
	})
	for _, a := range answers {
		if a.found {
			return a.at, true
		}
	}
	return at, false
}

// ask looks for what makes a skin with a facet.
func (s *scene) ask(f *facet) (at [3]float64, found bool) {
	bx := f.box().grown(float32(s.thin))
	for i := range s.sides {
		d := &s.sides[i]
		if found || !d.faces(f.n) {
			continue
		}
		d.tree.meeting(bx, func(j int32) {
			if !found {
				at, found = s.skin(f, &d.facets[j])
			}
		})
	}
	return at, found
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
func (s *scene) skin(f, g *facet) (at [3]float64, found bool) {
	n := f.n
	if dot(n, g.n) > opposite {
		return at, false
	}
	a, b := f.at, g.at
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
	if len(over) < 3 {
		return at, false
	}
	thick := s.least
	for _, p := range over {
		thick = max(thick, abs(p[2]))
	}
	if thick > s.thin || across(over) < skinWidth*thick {
		return at, false
	}
	for _, p := range over {
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
