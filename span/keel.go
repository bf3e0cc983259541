package span

import (
	"math"

	"falsework/mesh"
)

// A keelSearch finds edges that lean more than their faces: two faces, each
// steep enough, can meet below in an edge that is not, and the tip of such a
// keel runs ahead of what an offset covers: beyond the reach of a mitre, or
// where another shell has swallowed the corner that the mitre would stand on.
// One of the faces looks down; the other may stand upright or look up, as on
// the nose of a blade.
type keelSearch struct {
	m      *mesh.Mesh
	carry  carry
	down   []int32 // faces that look down, steep enough to print
	vertex []uint8 // flags of vertices

	// Edges of the faces in down that lean too much, by open addressing: a map
	// took half the time of a whole survey. slot holds 1 + 3 times the place in
	// down + the side; 0 is free.
	slot  []int32
	edges int
}

// leansMore reports whether the way from p to q runs further than run per
// millimetre of rise, a hair to the side of looking too often.
func leansMore(p, q *[3]float64, run float64) bool {
	x, y, z := q[0]-p[0], q[1]-p[1], run*(q[2]-p[2])
	return float64(x*x)+float64(y*y) > float64(z*z)*(1-1e-12)
}

// key returns the ends of a side of facet t, the lower number first.
func (k *keelSearch) key(t int32, side int) [2]int32 {
	tri := &k.m.Triangles[t]
	a, b := tri[side], tri[(side+1)%3]
	return [2]int32{min(a, b), max(a, b)}
}

// leaning calls visit for the sides of facet t that lean too much.
func (k *keelSearch) leaning(t int32, visit func(side int, lo, hi float64)) {
	p := corners(k.m, t)
	for c := range p {
		a, b := &p[c], &p[(c+1)%3]
		if leansMore(a, b, k.carry.run) {
			visit(c, min(a[2], b[2]), max(a[2], b[2]))
		}
	}
}

// find returns the slot of an edge: its own, or the free one where it belongs.
func (k *keelSearch) find(key [2]int32) int {
	h := (uint64(uint32(key[0]))<<32 | uint64(uint32(key[1]))) * 0x9e3779b97f4a7c15
	mask := len(k.slot) - 1
	for i := int(h>>33) & mask; ; i = (i + 1) & mask {
		if s := k.slot[i]; s == 0 || k.key(k.down[(s-1)/3], int(s-1)%3) == key {
			return i
		}
	}
}

// amongDown files the edges of the faces that look down, and calls f with the
// heights of those that are keels between two of them.
func (k *keelSearch) amongDown(f func(lo, hi float64)) {
	n := 0
	for _, t := range k.down {
		k.leaning(t, func(int, float64, float64) { n++ })
	}
	size := 16
	for size < n+n/2 {
		size *= 2
	}
	k.slot = make([]int32, size)
	for i, t := range k.down {
		k.leaning(t, func(side int, lo, hi float64) {
			key := k.key(t, side)
			at := k.find(key)
			if s := k.slot[at]; s != 0 {
				if k.keel(k.down[(s-1)/3], t, side) {
					f(lo, hi)
				}
				return
			}
			k.slot[at] = int32(3*i+side) + 1
			k.vertex[key[0]] |= isKeel
			k.vertex[key[1]] |= isKeel
			k.edges++
		})
	}
}

// beside calls f with the heights of keels between a face that looks down and
// one that does not, of one run of facets. Only a facet with two marked corners
// can have such an edge.
func (k *keelSearch) beside(part int, f func(lo, hi float64)) {
	from, to := half(len(k.m.Triangles), part)
	for t := from; t < to; t++ {
		tri := &k.m.Triangles[t]
		a, b, c := k.vertex[tri[0]]&isKeel, k.vertex[tri[1]]&isKeel, k.vertex[tri[2]]&isKeel
		if a+b+c < 2*isKeel {
			continue
		}
		if p := corners(k.m, int32(t)); looksDown(&p) && unitNormal(p)[2] < -1e-6 {
			continue
		}
		k.leaning(int32(t), func(side int, lo, hi float64) {
			if s := k.slot[k.find(k.key(int32(t), side))]; s != 0 && k.keel(k.down[(s-1)/3], int32(t), side) {
				f(lo, hi)
			}
		})
	}
}

// keel reports whether side of face b, the common edge with face a, may run ahead of
// what a layer carries: whether b lies below the plane of a. Surfaces are full of
// edges where it hardly does: along a flare, and between slivers of one plane that
// rounding has bent. What two layers differ in is near the edge, and there b lies so
// close to the plane of a that a layer carries it with that.
func (k *keelSearch) keel(a, b int32, side int) bool {
	const (
		about = 5 // times the rise: what counts as near
		sure  = 2 // times the spare that is used up
	)
	p, q := corners(k.m, a), corners(k.m, b)
	n := unitNormal(p)
	below := func(c *[3]float64) float64 {
		return -(n[0]*(c[0]-p[0][0]) + n[1]*(c[1]-p[0][1]) + n[2]*(c[2]-p[0][2]))
	}
	deep := max(below(&q[0]), below(&q[1]), below(&q[2]))
	if deep <= 1e-4 {
		return false
	}
	if off := height(&q, side); off > about*k.carry.rise {
		deep *= about * k.carry.rise / off
	}
	level := math.Hypot(n[0], n[1])
	return sure*deep > k.carry.spare(-n[2]/level)*level
}

// height returns how far the apex of a triangle lies from one of its sides.
func height(p *[3][3]float64, side int) float64 {
	a, b, c := &p[side], &p[(side+1)%3], &p[(side+2)%3]
	var u, v [3]float64
	var long, along, far float64
	for i := range 3 {
		u[i], v[i] = b[i]-a[i], c[i]-a[i]
		long += u[i] * u[i]
		along += u[i] * v[i]
		far += v[i] * v[i]
	}
	return math.Sqrt(max(far-along*along/long, 0))
}
