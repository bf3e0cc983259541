package section

import (
	"context"
	"math"
	"slices"
	"sync"

	"falsework/mesh"
	"falsework/mesh/par"
)

// A Slicer answers horizontal cuts of one mesh at any height. It keeps one
// number of four bytes per triangle beside the mesh, which must not change. It
// may be used by several goroutines at once.
//
// The index: triangles are filed by their height into levels, level L dividing
// the part into 2^L slabs no lower than the triangles in it; inside a level by
// the slab of their lowest vertex. A plane can then only meet triangles of its
// own slab and of the one below, level by level.
type Slicer struct {
	m      *mesh.Mesh
	z0     float64
	scale  float64 // slabs of the finest level per millimetre
	levels int
	tol    float64 // precision of the mesh
	start  []int32 // bucket k of the heap-ordered slabs holds tris[start[k]:start[k+1]]
	tris   []int32
}

// NewSlicer prepares m for horizontal cuts. Triangles with a vertex that is not
// finite are never cut.
func NewSlicer(m *mesh.Mesh) *Slicer {
	s := &Slicer{m: m, levels: 1}
	box, far := extent(m)
	s.tol = Precision(far)
	if lo, hi := box.Min[2], box.Max[2]; lo < hi {
		for 1<<s.levels < len(m.Triangles) && s.levels < 20 {
			s.levels++
		}
		s.z0 = lo
		s.scale = float64(int(1)<<(s.levels-1)) / (hi - lo)
	}
	s.start, s.tris = file(len(m.Triangles), 1<<s.levels, s.bucket)
	return s
}

// extent returns the box of the finite vertices and the greatest of their
// coordinates.
func extent(m *mesh.Mesh) (box mesh.Box, far float64) {
	type ends struct{ lo, hi [3]float32 }
	const most = math.MaxFloat32
	none := ends{[3]float32{most, most, most}, [3]float32{-most, -most, -most}}
	const grain = 1 << 16
	parts := make([]ends, (len(m.Vertices)+grain-1)/grain)
	par.Range(context.Background(), len(m.Vertices), grain, func(from, to int) {
		e := none
		for _, v := range m.Vertices[from:to] {
			for k, x := range v {
				if x-x == 0 {
					e.lo[k], e.hi[k] = min(e.lo[k], x), max(e.hi[k], x)
				}
			}
		}
		parts[from/grain] = e
	})
	lo, hi := none.lo, none.hi
	for _, e := range parts {
		for k := range 3 {
			lo[k], hi[k] = min(lo[k], e.lo[k]), max(hi[k], e.hi[k])
		}
	}
	for k := range 3 {
		box.Min[k], box.Max[k] = float64(lo[k]), float64(hi[k])
		if lo[k] <= hi[k] {
			far = math.Max(far, math.Max(math.Abs(box.Min[k]), math.Abs(box.Max[k])))
		}
	}
	return box, far
}

// file sorts triangles 0 to n-1 into buckets by counting: those of bucket k are
// tris[start[k]:start[k+1]], in order. A bucket of -1 leaves a triangle out.
func file(n, buckets int, bucket func(t int) int) (start, tris []int32) {
	of := make([]int32, n)
	par.Range(context.Background(), n, 1<<14, func(lo, hi int) {
		for t := lo; t < hi; t++ {
			of[t] = int32(bucket(t))
		}
	})
	start = make([]int32, buckets+1)
	filed := 0
	for _, k := range of {
		if k >= 0 {
			start[k+1]++
			filed++
		}
	}
	for k := 1; k <= buckets; k++ {
		start[k] += start[k-1]
	}
	tris = make([]int32, filed)
	for t, k := range of {
		if k >= 0 {
			tris[start[k]] = int32(t)
			start[k]++
		}
	}
	copy(start[1:], start)
	start[0] = 0
	return start, tris
}

// zRange returns the lowest and highest vertex of triangle t.
func zRange(m *mesh.Mesh, t int) (lo, hi float64, ok bool) {
	tri := m.Triangles[t]
	a, b, c := m.Vertices[tri[0]], m.Vertices[tri[1]], m.Vertices[tri[2]]
	for k := range 3 {
		if d := a[k] - a[k] + b[k] - b[k] + c[k] - c[k]; d != 0 {
			return 0, 0, false
		}
	}
	return float64(min(a[2], b[2], c[2])), float64(max(a[2], b[2], c[2])), true
}

// slab returns the slab of height z on the finest level; it never falls as z
// grows, which is all the search relies on.
func (s *Slicer) slab(z float64) int {
	n := int(1) << (s.levels - 1)
	x := (z - s.z0) * s.scale
	if !(x > 0) {
		return 0
	}
	if x >= float64(n) {
		return n - 1
	}
	return int(x)
}

// bucket returns the bucket of triangle t: the finest level on which its top is
// at most one slab above its bottom. Level L begins at bucket 2^L - 1. Flat
// triangles are never cut and have none.
func (s *Slicer) bucket(t int) int {
	lo, hi, ok := zRange(s.m, t)
	if !ok || lo == hi {
		return -1
	}
	a, b := s.slab(lo), s.slab(hi)
	up := 0
	for (b>>up)-(a>>up) > 1 {
		up++
	}
	return 1<<(s.levels-1-up) - 1 + a>>up
}

// each calls f for every triangle that z cuts.
func (s *Slicer) each(z float64, f func(t int32)) {
	k := s.slab(z)
	for up := range s.levels {
		base := 1<<(s.levels-1-up) - 1
		i := base + k>>up
		from := max(base, i-1)
		for _, t := range s.tris[s.start[from]:s.start[i+1]] {
			tri := &s.m.Triangles[t]
			a, b, c := s.m.Vertices[tri[0]][2], s.m.Vertices[tri[1]][2], s.m.Vertices[tri[2]][2]
			if float64(min(a, b, c)) < z && z <= float64(max(a, b, c)) {
				f(t)
			}
		}
	}
}

// At returns the cross-section at height z. A vertex exactly on the plane
// counts as above it; material is where the winding number is not zero, so
// overlapping shells are one solid and a cavity shell cuts a hole. Where the
// surface does not close it returns the region with the gaps closed together
// with an *[OpenError].
func (s *Slicer) At(z float64) (Polygons, error) {
	buf := pieceLists.Get().(*[]piece)
	defer pieceLists.Put(buf)
	*buf = s.pieces((*buf)[:0], z)
	l := newLinks(*buf)
	defer allLinks.Put(l)
	if l.loose > 0 || l.forked {
		return assemble(s.m, s.sorted(z), level(z), s.tol)
	}
	return l.region(s.m, level(z), s.tol), nil
}

// pieceLists are used again: a survey cuts hundreds of levels.
var pieceLists = sync.Pool{New: func() any { return new([]piece) }}

// pieces appends the cuts of the triangles at height z, in the order of the
// index: that of a closed surface makes no difference to its section.
func (s *Slicer) pieces(ps []piece, z float64) []piece {
	s.each(z, func(t int32) { ps = append(ps, cutLevel(s.m, t, z)) })
	return ps
}

// sorted cuts the triangles at height z in the order of the mesh.
func (s *Slicer) sorted(z float64) []piece {
	var hit []int32
	s.each(z, func(t int32) { hit = append(hit, t) })
	slices.Sort(hit)
	ps := make([]piece, len(hit))
	for i, t := range hit {
		ps[i] = cutLevel(s.m, t, z)
	}
	return ps
}
