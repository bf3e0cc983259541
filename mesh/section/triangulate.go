package section

import (
	"errors"
	"slices"
)

// ErrTangled says that rings cross or touch along a side, so that no
// triangulation uses them as they are.
var ErrTangled = errors.New("the outline crosses itself; unite it with nothing (Nonzero) first")

// Triangulate divides a region into triangles, counter-clockwise. A corner is
// the number of a point of p counted through all rings in order. All points are
// used and no others; no triangle has zero area on the grid. Rings may touch in
// points. The region must be one as this package makes them; the error is
// ErrTangled when it is not.
//
// Method: each hole is joined to its surroundings by a bridge from its leftmost
// point to the nearest point it can see, then ears are cut. All decisions are
// exact. Where rings touch, two points share a place, and the triangles there may
// name either.
func Triangulate(p Polygons) ([][3]int32, error) {
	g := GridFor(reach(p))
	scale := 1 / g.Step()
	t := &ears{}
	first := make([]int, len(p))
	for i, r := range p {
		first[i] = len(t.pts)
		if !finite(r) {
			return nil, ErrTangled
		}
		for _, q := range r {
			t.pts = append(t.pts, g.snap(q, scale))
		}
	}
	for _, c := range components(p) {
		var outline []int32
		var holes [][]int32
		for _, r := range t.cycles(p, first, c) {
			if t.area(r) > 0 {
				if outline != nil {
					return nil, ErrTangled
				}
				outline = r
			} else {
				holes = append(holes, t.fromLeftmost(r))
			}
		}
		if outline == nil {
			return nil, ErrTangled
		}
		slices.SortFunc(holes, func(a, b []int32) int {
			if d := compare(t.pts[a[0]], t.pts[b[0]]); d != 0 {
				return d
			}
			return int(a[0] - b[0])
		})
		for i := range holes {
			var ok bool
			if outline, ok = t.bridge(outline, holes[i:]); !ok {
				return nil, ErrTangled
			}
		}
		if !t.clip(outline) {
			return nil, ErrTangled
		}
	}
	return t.out, nil
}

// cycles walks along the sides of the rings of one part with the inside on the
// left, going on from ring to ring where they touch. Where two points share a
// place, the one the way goes on from stands for both.
func (t *ears) cycles(p Polygons, first []int, part []int) [][]int32 {
	type way struct {
		half
		id int32
	}
	var ways []way
	for _, i := range part {
		for k := range p[i] {
			a, b := first[i]+k, first[i]+next(k, len(p[i]))
			if t.pts[a] != t.pts[b] {
				ways = append(ways, way{half{t.pts[a], t.pts[b]}, int32(a)})
			}
		}
	}
	slices.SortFunc(ways, func(a, b way) int {
		if c := compare(a.from, b.from); c != 0 {
			return c
		}
		return int(a.id - b.id)
	})
	hs := make([]half, len(ways))
	for i, w := range ways {
		hs[i] = w.half
	}
	used := make([]bool, len(hs))
	var out [][]int32
	for s := range hs {
		var r []int32
		for h := s; h >= 0 && !used[h]; {
			used[h] = true
			r = append(r, ways[h].id)
			lo, hi := waysOut(hs, hs[h].to)
			h = turn(hs, used, lo, hi, hs[h].from)
		}
		if len(r) > 2 {
			out = append(out, r)
		}
	}
	return out
}

// area returns twice the signed area of a cycle in grid steps, as a float: it
// is asked for its sign only where the cycle is a border.
func (t *ears) area(r []int32) float64 {
	var a float64
	o := t.pts[r[0]]
	for i := 1; i+1 < len(r); i++ {
		a += float64(orient(o, t.pts[r[i]], t.pts[r[i+1]]))
	}
	return a
}

type ears struct {
	pts []ipt
	out [][3]int32
}

func (t *ears) fromLeftmost(r []int32) []int32 {
	k := 0
	for i := range r {
		if t.pts[r[i]].less(t.pts[r[k]]) {
			k = i
		}
	}
	return append(slices.Clone(r[k:]), r[:k]...)
}

// bridge joins the first hole to the outline by a way there and back. holes are
// all that are not joined yet.
func (t *ears) bridge(outline []int32, holes [][]int32) ([]int32, bool) {
	m := t.pts[holes[0][0]]
	type candidate struct {
		at   int
		dist int64
	}
	cs := make([]candidate, len(outline))
	for i, v := range outline {
		q := t.pts[v]
		dx, dy := int64(q.x)-int64(m.x), int64(q.y)-int64(m.y)
		cs[i] = candidate{i, dx*dx + dy*dy}
	}
	slices.SortStableFunc(cs, func(a, b candidate) int {
		switch {
		case a.dist < b.dist:
			return -1
		case a.dist > b.dist:
			return 1
		}
		return 0
	})
	for k, v := range holes[0] {
		if t.pts[v] != m {
			continue
		}
		hole := append(slices.Clone(holes[0][k:]), holes[0][:k]...)
		for _, c := range cs {
			if !t.sees(outline, c.at, hole, holes) {
				continue
			}
			out := make([]int32, 0, len(outline)+len(hole)+2)
			out = append(out, outline[:c.at+1]...)
			out = append(out, hole...)
			out = append(out, hole[0])
			return append(out, outline[c.at:]...), true
		}
	}
	return nil, false
}

// sees reports whether a bridge can go from the first point of hole to point at
// of the outline.
func (t *ears) sees(outline []int32, at int, hole []int32, holes [][]int32) bool {
	n, k := len(outline), len(hole)
	m, q := t.pts[hole[0]], t.pts[outline[at]]
	return m != q &&
		inCorner(t.pts[outline[(at+n-1)%n]], q, t.pts[outline[(at+1)%n]], m) &&
		inCorner(t.pts[hole[k-1]], m, t.pts[hole[1]], q) &&
		!t.blocked(m, q, outline) &&
		!slices.ContainsFunc(holes, func(h []int32) bool { return t.blocked(m, q, h) })
}

// inCorner reports whether the way from v towards q runs strictly between the
// sides a-v and v-b, on their left.
func inCorner(a, v, b, q ipt) bool {
	if orient(a, v, b) > 0 {
		return orient(a, v, q) > 0 && orient(v, b, q) > 0
	}
	if orient(a, v, b) == 0 && !folded(a, v, b) {
		return orient(a, v, q) > 0
	}
	return orient(a, v, q) > 0 || orient(v, b, q) > 0
}

// folded reports whether a and b, in line with v, lie on the same side of it.
func folded(a, v, b ipt) bool {
	return (int64(a.x)-int64(v.x))*(int64(b.x)-int64(v.x))+(int64(a.y)-int64(v.y))*(int64(b.y)-int64(v.y)) > 0
}

// blocked reports whether a side of r bars the way from m to q: crosses it, or
// has an end inside it, or passes through m or q with the way on its right.
func (t *ears) blocked(m, q ipt, r []int32) bool {
	a := t.pts[r[len(r)-1]]
	for _, v := range r {
		b := t.pts[v]
		if bars(a, b, m, q) {
			return true
		}
		a = b
	}
	return false
}

func bars(a, b, m, q ipt) bool {
	o1, o2 := orient(a, b, m), orient(a, b, q)
	if o1 > 0 && o2 > 0 || o1 < 0 && o2 < 0 {
		return false
	}
	o3, o4 := orient(m, q, a), orient(m, q, b)
	if o3 > 0 && o4 > 0 || o3 < 0 && o4 < 0 {
		return false
	}
	if o3 == 0 && onWay(m, q, a) || o4 == 0 && onWay(m, q, b) {
		return true
	}
	if a == m || b == m || a == q || b == q {
		return false // the corner tests have looked at these
	}
	if o1 == 0 {
		return onWay(a, b, m) && o2 <= 0
	}
	if o2 == 0 {
		return onWay(a, b, q) && o1 <= 0
	}
	return o3 != 0 && o4 != 0
}

// onWay reports whether p, in line with a and b, lies strictly between them.
func onWay(a, b, p ipt) bool {
	return p != a && p != b &&
		min(a.x, b.x) <= p.x && p.x <= max(a.x, b.x) && min(a.y, b.y) <= p.y && p.y <= max(a.y, b.y)
}

// clip cuts the ears of an outline. An ear is a corner turning left whose
// triangle and new side hold no other point. Every second one is taken in a
// round, which keeps fans short.
func (t *ears) clip(r []int32) bool {
	n := len(r)
	before, after := make([]int32, n), make([]int32, n)
	for i := range r {
		before[i], after[i] = int32((i+n-1)%n), int32((i+1)%n)
	}
	i, left := int32(0), n
	for idle := 0; left > 3; {
		a, c := before[i], after[i]
		if idle > left {
			return false
		}
		if !t.ear(r, after, a, i, c) {
			idle++
			i = c
			continue
		}
		t.out = append(t.out, [3]int32{r[a], r[i], r[c]})
		after[a], before[c] = c, a
		left--
		idle = 0
		i = after[c]
	}
	a, c := before[i], after[i]
	if orient(t.pts[r[a]], t.pts[r[i]], t.pts[r[c]]) <= 0 {
		return false
	}
	t.out = append(t.out, [3]int32{r[a], r[i], r[c]})
	return true
}

func (t *ears) ear(r, after []int32, ia, ib, ic int32) bool {
	a, b, c := t.pts[r[ia]], t.pts[r[ib]], t.pts[r[ic]]
	if orient(a, b, c) <= 0 {
		return false
	}
	x0, x1 := min(a.x, b.x, c.x), max(a.x, b.x, c.x)
	y0, y1 := min(a.y, b.y, c.y), max(a.y, b.y, c.y)
	for k := after[ic]; k != ia; k = after[k] {
		p := t.pts[r[k]]
		if p.x < x0 || p.x > x1 || p.y < y0 || p.y > y1 || p == a || p == b || p == c {
			continue
		}
		if orient(a, b, p) > 0 && orient(b, c, p) > 0 && orient(c, a, p) >= 0 {
			return false
		}
	}
	return true
}
