package section

import (
	"errors"
	"math"

	"falsework/mesh"
)

// A Frame places a plane in space: point (u, v) of the plane at height t over
// it is Origin + u U + v V + t N. U, V and N are unit vectors at right angles,
// U x V = N; a left-handed frame works too.
type Frame struct{ Origin, U, V, N [3]float64 }

// Level returns the frame of the horizontal plane at height z.
func Level(z float64) Frame {
	return Frame{[3]float64{0, 0, z}, [3]float64{1, 0, 0}, [3]float64{0, 1, 0}, [3]float64{0, 0, 1}}
}

// Frame returns the frame of the vertical plane of l: its u is the run, its v is
// z, its normal points to the right of the line.
func (l Line) Frame() Frame {
	return Frame{[3]float64{l.From[0], l.From[1], 0}, [3]float64{l.Dir[0], l.Dir[1], 0},
		[3]float64{0, 0, 1}, [3]float64{l.Dir[1], -l.Dir[0], 0}}
}

// At returns the point of space at (q, t).
func (f Frame) At(q Point, t float64) [3]float64 {
	var p [3]float64
	for k := range p {
		p[k] = f.Origin[k] + float64(q[0]*f.U[k]) + float64(q[1]*f.V[k]) + float64(t*f.N[k])
	}
	return p
}

// Errors of Prism.
var (
	ErrThin   = errors.New("the prism has no thickness that float32 coordinates can hold")
	ErrNoArea = errors.New("the prism's outline has no area")
)

// Prism returns the closed solid over region p of the plane of f between heights
// t0 and t1 of it, in either order. Its vertices are float32 and distinct, its
// triangles wind outwards, every edge has two triangles.
//
// The outline is first rounded to a grid of its own, a power of two not below
// 2^-10 mm (a micron) and not below 64 times the rounding of the coordinates, so
// that distinct points stay distinct; parts of it no wider than that are lost.
// Where rings touch in a point, a square of a few steps is cut out of both, so
// that no edge of the solid is shared by four triangles.
func Prism(p Polygons, f Frame, t0, t1 float64) (*mesh.Mesh, error) {
	if t1 < t0 {
		t0, t1 = t1, t0
	}
	far := math.Abs(t0) + math.Abs(t1) + 2*reach(p)
	for _, x := range f.Origin {
		far += math.Abs(x)
	}
	g := prismGrid(far)
	if !(t1-t0 >= g.Step()) {
		return nil, ErrThin
	}
	rings := g.part(g.edges(nil, p, 0))
	if len(rings) == 0 {
		return nil, ErrNoArea
	}
	p = g.polygons(rings)
	tris, err := Triangulate(p)
	if err != nil {
		return nil, err
	}
	left := det(f.U, f.V, f.N) < 0
	m := &mesh.Mesh{}
	n := int32(p.Points())
	for _, t := range [2]float64{t0, t1} {
		for _, r := range p {
			for _, q := range r {
				m.Vertices = append(m.Vertices, round32(f.At(q, t)))
			}
		}
	}
	add := func(a, b, c int32) {
		if left {
			b, c = c, b
		}
		m.Triangles = append(m.Triangles, [3]int32{a, b, c})
	}
	for _, t := range tris {
		add(t[0], t[2], t[1])
		add(t[0]+n, t[1]+n, t[2]+n)
	}
	first := int32(0)
	for _, r := range p {
		for i := range r {
			a, b := first+int32(i), first+int32(next(i, len(r)))
			add(a, b, b+n)
			add(a, b+n, a+n)
		}
		first += int32(len(r))
	}
	return m, nil
}

// prismGrid returns the grid for outlines of solids that reach far from the
// origin.
func prismGrid(far float64) Grid {
	g := GridFor(far)
	g.Shift = min(g.Shift, 10)
	// A float32 between 2^(e-1) and 2^e has steps of 2^(e-24).
	_, e := math.Frexp(far)
	g.Shift = min(g.Shift, 24-e-6)
	return g
}

// part returns the rings of the region of nonzero winding, drawn apart where
// they touch.
func (g Grid) part(es []edge) [][]ipt {
	o := takeOverlay()
	defer func() { o.done(es) }()
	rings := o.chain(o.borders(o.node(es), ruleUnion))
	for half := int32(2); half < 1<<10; half *= 2 {
		touch := touches(rings)
		if len(touch) == 0 {
			return rings
		}
		es = es[:0]
		for _, r := range rings {
			last := r[len(r)-1]
			for _, q := range r {
				es = addEdge(es, last, q, 0)
				last = q
			}
		}
		for _, c := range touch {
			sq := [4]ipt{{c.x - half, c.y - half}, {c.x + half, c.y - half}, {c.x + half, c.y + half}, {c.x - half, c.y + half}}
			for i, q := range sq {
				es = addEdge(es, q, sq[(i+1)%4], 1)
			}
		}
		rings = o.chain(o.borders(o.node(es), ruleSubtract))
	}
	return rings
}

// touches returns the points that lie on more than one ring.
func touches(rings [][]ipt) []ipt {
	var out []ipt
	for i, r := range rings {
		for _, v := range r {
			for j, o := range rings {
				if i != j && onBorder(o, v) {
					out = append(out, v)
					break
				}
			}
		}
	}
	return out
}

func onBorder(r []ipt, v ipt) bool {
	a := r[len(r)-1]
	for _, b := range r {
		if v == a || min(a.y, b.y) <= v.y && v.y <= max(a.y, b.y) && min(a.x, b.x) <= v.x && v.x <= max(a.x, b.x) && orient(a, b, v) == 0 {
			return true
		}
		a = b
	}
	return false
}

func det(u, v, n [3]float64) float64 {
	return float64(u[0]*(float64(v[1]*n[2])-float64(v[2]*n[1]))) +
		float64(u[1]*(float64(v[2]*n[0])-float64(v[0]*n[2]))) +
		float64(u[2]*(float64(v[0]*n[1])-float64(v[1]*n[0])))
}

// round32 rounds to float32; -0 becomes 0.
func round32(p [3]float64) [3]float32 {
	return [3]float32{float32(p[0]) + 0, float32(p[1]) + 0, float32(p[2]) + 0}
}
