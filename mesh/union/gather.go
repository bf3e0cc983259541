package union

import (
	"cmp"
	"runtime"
	"slices"
	"sort"

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

// gather looks at the triangles of a for which in holds (nil: all). Those that
// come within reach of B are taken too, so that skins are seen. What the audit
// of a closed a (or nil) tells is taken from there.
func gather(a *mesh.Mesh, in func(int32) bool, known *mesh.Audit, b *tree, g *grid, reach float32, queries []vec) *gathering {
	l := &looks{a: a, in: in, g: g, whole: b.nodes[0].box.grown(reach), ask: asks(queries)}
	l.measure = known == nil
	if len(a.Triangles) > 0 {
		l.o = less3(a.Corner(0, 0), l.o)
	}
	l.sums = make([]float64, (len(a.Triangles)+block-1)/block)
	parts := make([]look, runtime.GOMAXPROCS(0))
	w := workers(len(a.Triangles), func(n, from, to int) {
		f := &parts[n]
		f.over = make([][]int32, len(queries))
		for b := (from + block - 1) / block; b < (to+block-1)/block; b++ {
			l.block(f, b)
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
	if known != nil {
		all.volume = known.Volume
	}
	for _, s := range l.sums {
		all.volume += s / 6
	}
	all.operand = local(a, close)
	return all
}

// Looks are what all who look at triangles share, a look what one finds.
type looks struct {
	a       *mesh.Mesh
	in      func(int32) bool
	g       *grid
	whole   box
	ask     []ask
	measure bool       // look for openness, sum up volumes
	o       [3]float64 // from where volumes are measured
	sums    []float64  // by block
}

type look struct {
	close []int32
	over  [][]int32
	open  openness
}

// An ask is a query point, by x.
type ask struct {
	at vec
	n  int
}

func asks(queries []vec) []ask {
	out := make([]ask, len(queries))
	for i, p := range queries {
		out[i] = ask{p, i}
	}
	slices.SortFunc(out, func(a, b ask) int { return cmp.Or(cmp.Compare(a.at[0], b.at[0]), cmp.Compare(a.n, b.n)) })
	return out
}

// block looks at a block of triangles.
func (l *looks) block(f *look, b int) {
	v, w := l.a.Vertices, &l.whole
	sum := 0.0
	for i := b * block; i < min((b+1)*block, len(l.a.Triangles)); i++ {
		if l.in != nil && !l.in(int32(i)) {
			continue
		}
		k := &l.a.Triangles[i]
		p, q, r := &v[k[0]], &v[k[1]], &v[k[2]]
		if l.measure {
			f.open.add(k)
			sum += sixfoldOf(p, q, r, &l.o)
		}
		var bx box
		bx.lo[0], bx.hi[0] = ends(p[0], q[0], r[0])
		bx.lo[1], bx.hi[1] = ends(p[1], q[1], r[1])
		bx.lo[2], bx.hi[2] = ends(p[2], q[2], r[2])
		if bx.lo[0] <= w.hi[0] && w.lo[0] <= bx.hi[0] && bx.lo[1] <= w.hi[1] && w.lo[1] <= bx.hi[1] &&
			bx.lo[2] <= w.hi[2] && w.lo[2] <= bx.hi[2] && !l.g.clear(&bx) {
			f.close = append(f.close, int32(i))
		}
		if n := len(l.ask); n > 0 && bx.lo[0] <= l.ask[n-1].at[0] && bx.hi[0] >= l.ask[0].at[0] {
			l.over(f, &bx, int32(i))
		}
	}
	l.sums[b] = sum
}

// ends returns the least and the greatest of three numbers. The built-in
// functions take twice as long to heed what is no number.
func ends(a, b, c float32) (lo, hi float32) {
	if a > b {
		a, b = b, a
	}
	if c < a {
		return c, b
	} else if c > b {
		return a, c
	}
	return a, b
}

// over finds the query points that a triangle may lie over.
func (l *looks) over(f *look, bx *box, t int32) {
	first := 0
	if len(l.ask) > 8 {
		first = sort.Search(len(l.ask), func(i int) bool { return l.ask[i].at[0] >= bx.lo[0] })
	}
	for i := first; i < len(l.ask); i++ {
		p := &l.ask[i].at
		if p[0] > bx.hi[0] {
			break
		}
		if bx.lo[0] <= p[0] && bx.lo[1] <= p[1] && p[1] <= bx.hi[1] && p[2] <= bx.hi[2] {
			f.over[l.ask[i].n] = append(f.over[l.ask[i].n], t)
		}
	}
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
	o := &operand{tid: ids, t: make([][3]int32, len(ids))}
	number := newTable(len(ids)/2 + len(ids)/8)
	for _, i := range ids {
		for _, v := range m.Triangles[i] {
			if number.add(uint64(v), 0) {
				o.vid = append(o.vid, v)
			}
		}
	}
	slices.Sort(o.vid)
	o.v = make([]vec, len(o.vid))
	for i, v := range o.vid {
		o.v[i] = m.Vertices[v]
		*number.at(uint64(v)) = int32(i)
	}
	for i, id := range ids {
		for c, v := range m.Triangles[id] {
			o.t[i][c], _ = number.get(uint64(v))
		}
	}
	return o
}

func (o *operand) corners(t int32) (a, b, c vec) {
	k := o.t[t]
	return o.v[k[0]], o.v[k[1]], o.v[k[2]]
}
