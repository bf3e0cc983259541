package union

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"falsework/mesh"
)

// Where a surface is open it has no inside. What keeps the answers certain all
// the same: close every rim by triangles that lie within its convex hull. The
// winding number of the closed surface about a solid that stays out of the
// hull is then the same for every way of closing it.

// A rim is a connected piece of where a surface is open: edges that it does
// not run along as often one way as the other.
type rim struct {
	edges [][2]int32 // as what is missing would run along them, once for each time it is missing
	box   box
}

// buckets is the number of sums that tell whether, and roughly where, a
// surface is open; a power of two.
const buckets = 1 << 12

// An openness sums, for every edge, a number of its own, added when a triangle
// runs along it one way and taken off the other way. It is zero for a closed
// surface, and for another with a chance of one to 2^64.
type openness [buckets]uint64

func edgeNumber(u, v int32) uint64 { return scatter(key(min(u, v), max(u, v))) }

func (o *openness) add(k *[3]int32) {
	o.side(k[0], k[1])
	o.side(k[1], k[2])
	o.side(k[2], k[0])
}

func (o *openness) side(u, v int32) {
	n := edgeNumber(u, v)
	if u > v {
		o[n%buckets] -= n
	} else if u < v {
		o[n%buckets] += n
	}
}

func (o *openness) join(p *openness) {
	for i, n := range p {
		o[i] += n
	}
}

// rims returns where the triangles of m for which in holds are open, in the
// order of their first edges.
func rims(m *mesh.Mesh, in func(int32) bool, o *openness) []rim {
	if *o == (openness{}) {
		return nil
	}
	sum := map[[2]int32]int32{}
	var order [][2]int32
	for t, k := range m.Triangles {
		if in != nil && !in(int32(t)) {
			continue
		}
		for e := range 3 {
			u, v := k[e], k[(e+1)%3]
			if o[edgeNumber(u, v)%buckets] == 0 || u == v {
				continue
			}
			uv, n := [2]int32{u, v}, int32(1)
			if u > v {
				uv, n = [2]int32{v, u}, -1
			}
			if _, ok := sum[uv]; !ok {
				order = append(order, uv)
			}
			sum[uv] += n
		}
	}
	order = slices.DeleteFunc(order, func(uv [2]int32) bool { return sum[uv] == 0 })
	number := map[int32]int32{} // of the rims' vertices
	for _, uv := range order {
		for _, v := range uv {
			if _, ok := number[v]; !ok {
				number[v] = int32(len(number))
			}
		}
	}
	l := newLevels(len(number))
	for _, uv := range order {
		l.tie(number[uv[0]], number[uv[1]], 0)
	}
	var out []rim
	at := map[int32]int{}
	for _, uv := range order {
		r, _ := l.root(number[uv[0]])
		i, ok := at[r]
		if !ok {
			i = len(out)
			at[r] = i
			out = append(out, rim{box: box{m.Vertices[uv[0]], m.Vertices[uv[0]]}})
		}
		d := &out[i]
		for _, v := range uv {
			d.box = d.box.join(box{m.Vertices[v], m.Vertices[v]})
		}
		u, v, n := uv[1], uv[0], sum[uv]
		if n < 0 {
			u, v, n = v, u, -n
		}
		for range n {
			d.edges = append(d.edges, [2]int32{u, v})
		}
	}
	return out
}

// caps returns triangles that close the rims: fans from a vertex of each. A
// rim is where a boundary ends, so as many of its edges begin at a vertex as
// end there, and the fan leaves nothing open.
func caps(rs []rim) (tris [][3]int32) {
	for _, r := range rs {
		a := r.edges[0][0]
		for _, e := range r.edges {
			if e[0] != a && e[1] != a {
				tris = append(tris, [3]int32{e[0], e[1], a})
			}
		}
	}
	return tris
}

// clear fails when a triangle of solid B may reach into the hull of a rim:
// whether it lies inside or outside of A is then anyone's guess.
func (r *rim) clear(a *mesh.Mesh, b *mesh.Mesh, t *tree) error {
	var near []int32
	t.meeting(r.box, func(i int32) {
		c := b.Triangles[i]
		if !planeOf(b.Vertices[c[0]], b.Vertices[c[1]], b.Vertices[c[2]]).misses(r.box) {
			near = append(near, i)
		}
	})
	if len(near) == 0 {
		return nil
	}
	p := triangleBox(b, int(slices.Min(near)))
	return r.defect(a, [3]float64{
		(float64(p.lo[0]) + float64(p.hi[0])) / 2, (float64(p.lo[1]) + float64(p.hi[1])) / 2, (float64(p.lo[2]) + float64(p.hi[2])) / 2})
}

// within fails when an edge of the rim lies inside of B, where it is neither
// kept nor closed. oa holds the winding numbers of B.
func (r *rim) within(a *mesh.Mesh, oa *operand) error {
	for _, e := range r.edges {
		if i, ok := slices.BinarySearch(oa.vid, e[0]); ok && oa.wind[i] != 0 {
			p := a.Vertices[e[0]]
			return r.defect(a, [3]float64{float64(p[0]), float64(p[1]), float64(p[2])})
		}
	}
	return nil
}

// torn turns an error of labelling into the edge of A's rims that is nearest.
// Without a rim both solids are closed, and the error is not theirs.
func torn(err error, a *mesh.Mesh, rims []rim) error {
	var b *broken
	if !errors.As(err, &b) {
		return err
	}
	if b.own != 0 || len(rims) == 0 {
		return errInternal(fmt.Sprintf("winding numbers that do not agree at (%.3f, %.3f, %.3f)", b.at[0], b.at[1], b.at[2]))
	}
	best, least := rims[0].defect(a, b.at), math.Inf(1)
	for i := range rims {
		d := rims[i].defect(a, b.at)
		var off [3]float64
		for k := range 3 {
			off[k] = d.at[k] - b.at[k]
		}
		if s := dot(off, off); s < least {
			best, least = d, s
		}
	}
	return best
}

// defect names the rim by the middle of its edge nearest to a place.
func (r *rim) defect(a *mesh.Mesh, to [3]float64) *broken {
	d := &broken{kind: OpenEdge}
	least := -1.0
	for _, e := range r.edges {
		p, q := a.Vertices[e[0]], a.Vertices[e[1]]
		var mid, off [3]float64
		for k := range 3 {
			mid[k] = float64((float64(p[k]) + float64(q[k])) / 2)
			off[k] = mid[k] - to[k]
		}
		if s := dot(off, off); least < 0 || s < least {
			least, d.at = s, mid
		}
	}
	return d
}
