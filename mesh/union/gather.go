package union

import (
	"runtime"
	"slices"

	"falsework/mesh"
	"falsework/mesh/par"
)

// An operand is the part of one solid that the other may touch: the whole of
// B, and of A those triangles that are not certainly away from B. Its
// triangles and vertices are numbered anew, in the order of the mesh they
// come from.
type operand struct {
	v    []vec
	t    [][3]int32
	vid  []int32 // vertex of the mesh
	tid  []int32 // triangle of the mesh
	wind []int32 // winding number of the other solid at each vertex
}

// workers runs f over 0..n in contiguous blocks, one for each processor, and
// waits for all. f must write only to places of its own.
func workers(n int, f func(block, from, to int)) int {
	w := limit(n)
	par.Each(w, func(i int) { f(i, n*i/w, n*(i+1)/w) })
	return w
}

// limit is how many blocks workers makes of n.
func limit(n int) int { return min(runtime.GOMAXPROCS(0), max(1, n/4096)) }

// A gathering is what one look at all triangles of a part finds.
type gathering struct {
	*operand           // those that the other solid may touch
	over     [][]int32 // for each query point, those that lie over or at it
	open     openness  // of all
	volume   float64   // of all
}

// block is how many triangles are summed at a time, so that sums do not depend
// on how many processors there are.
const block = 1 << 14

// gather looks at the triangles of a for which in holds (nil: all).
func gather(a *mesh.Mesh, in func(int32) bool, b *tree, g *grid, queries []vec) *gathering {
	whole := b.nodes[0].box
	type found struct {
		close []int32
		over  [][]int32
		open  openness
	}
	parts := make([]found, runtime.GOMAXPROCS(0))
	sums := make([]float64, (len(a.Triangles)+block-1)/block)
	var o [3]float64
	if len(a.Triangles) > 0 {
		o = less3(a.Corner(0, 0), o)
	}
	w := workers(len(a.Triangles), func(n, from, to int) {
		f := &parts[n]
		f.over = make([][]int32, len(queries))
		for b := (from + block - 1) / block; b < (to+block-1)/block; b++ {
			sum := 0.0
			for i := b * block; i < min((b+1)*block, len(a.Triangles)); i++ {
				if in != nil && !in(int32(i)) {
					continue
				}
				k := &a.Triangles[i]
				f.open.add(k)
				p, q, r := &a.Vertices[k[0]], &a.Vertices[k[1]], &a.Vertices[k[2]]
				sum += sixfoldOf(p, q, r, &o)
				bx := boxOf(*p, *q, *r)
				if !g.clear(bx, whole) {
					f.close = append(f.close, int32(i))
				}
				for n, p := range queries {
					if bx.lo[0] <= p[0] && p[0] <= bx.hi[0] && bx.lo[1] <= p[1] && p[1] <= bx.hi[1] && p[2] <= bx.hi[2] {
						f.over[n] = append(f.over[n], int32(i))
					}
				}
			}
			sums[b] = sum
		}
	})
	var close []int32
	all := &gathering{over: make([][]int32, len(queries))}
	for i := range parts[:w] {
		f := &parts[i]
		close = append(close, f.close...)
		all.open.join(&f.open)
		for q := range queries {
			all.over[q] = append(all.over[q], f.over[q]...)
		}
	}
	for _, s := range sums {
		all.volume += s / 6
	}
	all.operand = local(a, close)
	return all
}

// sixfoldOf is six times the volume between a triangle and a point. It is
// written out for the many triangles that only it is asked of.
func sixfoldOf(p, q, r *vec, o *[3]float64) float64 {
	ax, ay, az := float64(p[0])-o[0], float64(p[1])-o[1], float64(p[2])-o[2]
	bx, by, bz := float64(q[0])-o[0], float64(q[1])-o[1], float64(q[2])-o[2]
	cx, cy, cz := float64(r[0])-o[0], float64(r[1])-o[1], float64(r[2])-o[2]
	x := float64(by*cz) - float64(bz*cy)
	y := float64(bz*cx) - float64(bx*cz)
	z := float64(bx*cy) - float64(by*cx)
	return float64(ax*x) + float64(ay*y) + float64(az*z)
}

// local numbers the vertices of some triangles of m anew.
func local(m *mesh.Mesh, ids []int32) *operand {
	o := &operand{tid: ids, t: make([][3]int32, len(ids)), vid: make([]int32, 0, 3*len(ids))}
	for _, i := range ids {
		t := m.Triangles[i]
		o.vid = append(o.vid, t[:]...)
	}
	slices.Sort(o.vid)
	o.vid = slices.Compact(o.vid)
	o.v = make([]vec, len(o.vid))
	number := make(map[int32]int32, len(o.vid))
	for i, v := range o.vid {
		o.v[i] = m.Vertices[v]
		number[v] = int32(i)
	}
	for i, id := range ids {
		for c, v := range m.Triangles[id] {
			o.t[i][c] = number[v]
		}
	}
	return o
}

func (o *operand) corners(t int32) (a, b, c vec) {
	k := o.t[t]
	return o.v[k[0]], o.v[k[1]], o.v[k[2]]
}
