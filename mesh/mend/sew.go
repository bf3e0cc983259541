package mend

import (
	"math"

	"falsework/mesh"
)

// rim returns the vertices on open edges, rising.
func (w *work) rim() []int32 {
	on := make([]bool, len(w.m.Vertices))
	for t, hs := range w.a.Mates {
		for c, h := range hs {
			if h == mesh.None && !broken(w.m.Triangles[t]) {
				on[w.m.Triangles[t][c]], on[w.m.Triangles[t][(c+1)%3]] = true, true
			}
		}
	}
	var vs []int32
	for v := range on {
		if on[v] {
			vs = append(vs, int32(v))
		}
	}
	return vs
}

// torn tells whether, of a large surface, so many edges are open that no
// mend of single places can help.
func (w *work) torn() bool {
	f := w.a.Fault(mesh.OpenEdge)
	return f != nil && f.Count > 10000 && f.Count > len(w.m.Triangles)/4
}

// sew closes hairline seams: vertices on open edges that lie closer together
// than the tolerance become one. The least distances go first, so that no
// more is moved than needed, and a pass that does not help is undone. What
// all passes have moved adds up to the tolerance at most, also where sewing
// comes round again after other mends.
func (w *work) sew() error {
	for _, reach := range []float64{0.9e-3 * w.tol, 0.9e-2 * w.tol, 0.09 * w.tol, 0.9 * w.tol} {
		if !w.has(mesh.OpenEdge) && !w.has(mesh.Unbalanced) {
			return nil
		}
		if w.moved+reach > w.tol {
			continue
		}
		to, n, first, moved := w.near(w.rim(), reach)
		if w.ctx.Err() != nil {
			return w.ctx.Err()
		}
		if n == 0 {
			continue
		}
		m := &mesh.Mesh{Vertices: w.m.Vertices}
		var src []int32
		for t, tri := range w.m.Triangles {
			for c, v := range tri {
				tri[c] = to(v)
			}
			if !broken(tri) {
				m.Triangles = append(m.Triangles, tri)
				src = append(src, int32(t))
			}
		}
		a, err := m.Audit(w.ctx)
		if err != nil {
			return err
		}
		if badness(a) < w.bad() {
			w.note(Seam, n, wide(w.m.Vertices[first]), moved)
			w.moved += moved
			w.adopt(m, src, a)
		}
	}
	return nil
}

// near maps each of the given vertices to the nearest before it that stays
// where it is and lies within reach. It returns how many move, the first that
// does, and how far the furthest goes.
func (w *work) near(vs []int32, reach float64) (to func(int32) int32, n int, first int32, moved float64) {
	g := grid{cell: 2 * reach, at: make(map[[3]int64][]int32, len(vs))}
	moves := map[int32]int32{}
	for i, v := range vs {
		if i&0xfff == 0 && w.ctx.Err() != nil {
			break
		}
		p := wide(w.m.Vertices[v])
		best, at := math.Inf(1), int32(-1)
		g.around(p, reach, func(u int32) {
			if d := distance(p, wide(w.m.Vertices[u])); d <= reach && d < best {
				best, at = d, u
			}
		})
		if at < 0 {
			g.add(p, v)
			continue
		}
		if n == 0 {
			first = v
		}
		n++
		moves[v] = at
		moved = max(moved, best)
	}
	return func(v int32) int32 {
		if u, ok := moves[v]; ok {
			return u
		}
		return v
	}, n, first, moved
}

// A grid finds vertices near a point.
type grid struct {
	cell float64
	at   map[[3]int64][]int32
}

func (g *grid) key(p [3]float64) (k [3]int64) {
	for i, x := range p {
		k[i] = int64(math.Floor(x / g.cell))
	}
	return k
}

func (g *grid) add(p [3]float64, v int32) {
	k := g.key(p)
	g.at[k] = append(g.at[k], v)
}

// around calls f for every vertex in the cells that a cube of twice reach
// about p meets.
func (g *grid) around(p [3]float64, reach float64, f func(int32)) {
	lo := g.key([3]float64{p[0] - reach, p[1] - reach, p[2] - reach})
	hi := g.key([3]float64{p[0] + reach, p[1] + reach, p[2] + reach})
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for z := lo[2]; z <= hi[2]; z++ {
				for _, v := range g.at[[3]int64{x, y, z}] {
					f(v)
				}
			}
		}
	}
}

func wide(p [3]float32) [3]float64 {
	return [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}
}

func minus(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

func dot(a, b [3]float64) float64 {
	return float64(a[0]*b[0]) + float64(a[1]*b[1]) + float64(a[2]*b[2])
}

func cross(a, b [3]float64) [3]float64 {
	return [3]float64{
		float64(a[1]*b[2]) - float64(a[2]*b[1]),
		float64(a[2]*b[0]) - float64(a[0]*b[2]),
		float64(a[0]*b[1]) - float64(a[1]*b[0]),
	}
}

func distance(a, b [3]float64) float64 {
	d := minus(a, b)
	return math.Sqrt(dot(d, d))
}
