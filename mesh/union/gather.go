package union

import (
	"runtime"
	"slices"
	"sync"

	"falsework/mesh"
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
	w := min(runtime.GOMAXPROCS(0), max(1, n/4096))
	var wait sync.WaitGroup
	for i := range w {
		wait.Add(1)
		go func() {
			defer wait.Done()
			f(i, n*i/w, n*(i+1)/w)
		}()
	}
	wait.Wait()
	return w
}

// gather makes the operand of the triangles of a that may meet b, finds for
// each query point the triangles that lie over or at it, and tells whether a
// is open anywhere. Only triangles for which in holds take part (nil: all).
func gather(a *mesh.Mesh, in func(int32) bool, b *tree, g *grid, queries []vec) (*operand, [][]int32, *openness) {
	whole := b.nodes[0].box
	type found struct {
		close []int32
		over  [][]int32
		open  openness
	}
	found_ := make([]found, runtime.GOMAXPROCS(0))
	w := workers(len(a.Triangles), func(block, from, to int) {
		f := &found_[block]
		f.over = make([][]int32, len(queries))
		for i := from; i < to; i++ {
			if in != nil && !in(int32(i)) {
				continue
			}
			f.open.add(a.Triangles[i])
			bx := triangleBox(a, i)
			if !g.clear(bx, whole) {
				f.close = append(f.close, int32(i))
			}
			for q, p := range queries {
				if bx.lo[0] <= p[0] && p[0] <= bx.hi[0] && bx.lo[1] <= p[1] && p[1] <= bx.hi[1] && p[2] <= bx.hi[2] {
					f.over[q] = append(f.over[q], int32(i))
				}
			}
		}
	})
	var close []int32
	open := &openness{}
	over := make([][]int32, len(queries))
	for i := range found_[:w] {
		f := &found_[i]
		close = append(close, f.close...)
		open.join(&f.open)
		for q := range queries {
			over[q] = append(over[q], f.over[q]...)
		}
	}
	return local(a, close), over, open
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
