package span

import (
	"context"
	"math"
	"sort"

	"falsework/mesh"
)

// A stack is the grid of layers a part is printed in, counted from its lowest
// point.
type stack struct {
	z0, first, height float64
	n                 int // layers whose mid-plane lies below the top
}

func newStack(b mesh.Box, s Settings) stack {
	k := stack{z0: b.Min[2], first: s.FirstLayer, height: s.Layer}
	if top := b.Max[2] - b.Min[2]; top > s.FirstLayer/2 {
		k.n = 1
		if rest := top - s.FirstLayer - s.Layer/2; rest > 0 {
			k.n += int(math.Ceil(rest / s.Layer))
		}
	}
	return k
}

// lower returns the lower boundary of layer k; lower(n) is the top of the
// last.
func (s stack) lower(k int) float64 {
	if k <= 0 {
		return s.z0
	}
	return s.z0 + s.first + float64(float64(k-1)*s.height)
}

// mid returns the mid-plane of layer k.
func (s stack) mid(k int) float64 {
	if k <= 0 {
		return s.z0 + s.first/2
	}
	return s.z0 + s.first + float64((float64(k)-0.5)*s.height)
}

// of returns the layer that holds height z, clamped to the stack.
func (s stack) of(z float64) int {
	k := int(math.Floor((z-s.z0-s.first)/s.height)) + 1
	return min(max(k, 0), max(s.n-1, 0))
}

// above returns the first layer whose mid-plane is not below z: the first
// section that a vertex at z is below or on.
func (s stack) above(z float64) int {
	return sort.Search(s.n, func(k int) bool { return s.mid(k) >= z })
}

// activity tells what may happen between the mid-planes of layer k-1 and k.
// It is found from facets alone and errs on the side of yes.
type activity struct {
	hang  []bool // something may be left in the air
	lean  []bool // the underside of something grows
	birth []bool // something may begin in mid-air
}

// findActivity looks at every facet once.
func findActivity(ctx context.Context, m *mesh.Mesh, st stack, slope float64) (activity, error) {
	a := activity{make([]bool, st.n), make([]bool, st.n), make([]bool, st.n)}
	if st.n == 0 {
		return a, nil
	}
	run := math.Tan(slope * math.Pi / 180)
	var looks [halves]glance
	err := forEach(ctx, halves, nil, func(i int) error {
		looks[i].facets(m, st, slope, i)
		return nil
	})
	if err != nil {
		return a, err
	}
	var keels keelSearch
	for i := range looks {
		l := &looks[i]
		for k := range a.hang {
			a.hang[k] = a.hang[k] || l.hang[k]
			a.lean[k] = a.lean[k] || l.lean[k]
		}
		keels.down = append(keels.down, l.keels.down...)
		keels.other = append(keels.other, l.keels.other...)
	}
	for v := range m.Vertices {
		used, higher := false, false
		for i := range looks {
			used = used || looks[i].vertex[v]&isUsed != 0
			higher = higher || looks[i].vertex[v]&isHigher != 0
		}
		if z := float64(m.Vertices[v][2]); used && !higher && z > st.z0 {
			st.mark(a.hang, z, z)
			st.mark(a.birth, z, z)
			st.mark(a.lean, z, z)
		}
	}
	keels.each(m, run, func(lo, hi float64) { st.mark(a.hang, lo, hi) })
	return a, nil
}

// mark sets the layers between whose mid-plane and the one before something
// from lo to hi lies; both ends count.
func (s stack) mark(row []bool, lo, hi float64) {
	lo, hi = lo-speck, hi+speck
	for k := max(s.above(lo), 1); k < s.n && s.mid(k-1) <= hi; k++ {
		row[k] = true
	}
}

// speck is how far above its lowest point a tip may still be too small for the
// grid that sections are rounded to.
const speck = 1e-4

// A glance is what one run of facets shows.
type glance struct {
	hang, lean []bool
	vertex     []uint8 // isUsed, isHigher
	keels      keelSearch
}

const (
	isUsed   = 1 // by some facet
	isHigher = 2 // than another corner of its facet
)

func (l *glance) facets(m *mesh.Mesh, st stack, slope float64, part int) {
	l.hang, l.lean = make([]bool, st.n), make([]bool, st.n)
	l.vertex = make([]uint8, len(m.Vertices))
	steep, run := math.Sin(slope*math.Pi/180), math.Tan(slope*math.Pi/180)
	from, to := half(len(m.Triangles), part)
	for t := from; t < to; t++ {
		p := corners(m, int32(t))
		lo, hi := min(p[0][2], p[1][2], p[2][2]), max(p[0][2], p[1][2], p[2][2])
		for c, v := range m.Triangles[t] {
			l.vertex[v] |= isUsed
			if p[c][2] > lo {
				l.vertex[v] |= isHigher
			}
		}
		nz := unitNormal(p)[2]
		if nz < -1e-6 {
			st.mark(l.lean, lo, hi)
		}
		if nz < -steep+1e-6 {
			st.mark(l.hang, lo, hi)
		} else if nz < -1e-6 {
			l.keels.down = append(l.keels.down, int32(t))
		} else if leansMore(p[0], p[1], run) || leansMore(p[1], p[2], run) || leansMore(p[2], p[0], run) {
			l.keels.other = append(l.keels.other, int32(t))
		}
	}
}

// unitNormal returns the outward normal of a facet, zero for one without area.
func unitNormal(p [3][3]float64) [3]float64 {
	u := [3]float64{p[1][0] - p[0][0], p[1][1] - p[0][1], p[1][2] - p[0][2]}
	v := [3]float64{p[2][0] - p[0][0], p[2][1] - p[0][1], p[2][2] - p[0][2]}
	n := [3]float64{
		float64(u[1]*v[2]) - float64(u[2]*v[1]),
		float64(u[2]*v[0]) - float64(u[0]*v[2]),
		float64(u[0]*v[1]) - float64(u[1]*v[0]),
	}
	l := math.Sqrt(float64(n[0]*n[0]) + float64(n[1]*n[1]) + float64(n[2]*n[2]))
	if l == 0 {
		return [3]float64{}
	}
	return [3]float64{n[0] / l, n[1] / l, n[2] / l}
}

// A keelSearch finds edges that lean more than their faces: two faces, each
// steep enough, can meet below in an edge that is not, and the tip of such a
// keel runs ahead of what an offset covers: beyond the reach of a mitre, or
// where another shell has swallowed the corner that the mitre would stand on.
// One of the faces looks down; the other may stand upright or look up, as on
// the nose of a blade.
type keelSearch struct {
	down  []int32 // faces that look down, steep enough to print
	other []int32 // faces that do not look down, with an edge that leans too much
}

// leansMore reports whether the way from p to q runs further than run per
// millimetre of rise.
func leansMore(p, q [3]float64, run float64) bool {
	return math.Hypot(q[0]-p[0], q[1]-p[1]) > run*math.Abs(q[2]-p[2])
}

func (k *keelSearch) each(m *mesh.Mesh, run float64, f func(lo, hi float64)) {
	edges := func(t int32, visit func(key [2]int32, lo, hi float64)) {
		tri, p := m.Triangles[t], corners(m, t)
		for c := range tri {
			d := (c + 1) % 3
			if leansMore(p[c], p[d], run) {
				visit([2]int32{min(tri[c], tri[d]), max(tri[c], tri[d])}, min(p[c][2], p[d][2]), max(p[c][2], p[d][2]))
			}
		}
	}
	seen := map[[2]int32]int32{}
	for _, t := range k.down {
		edges(t, func(key [2]int32, lo, hi float64) {
			if first, ok := seen[key]; !ok {
				seen[key] = t
			} else if k.convex(m, first, t) {
				f(lo, hi)
			}
		})
	}
	for _, t := range k.other {
		edges(t, func(key [2]int32, lo, hi float64) {
			if first, ok := seen[key]; ok && k.convex(m, first, t) {
				f(lo, hi)
			}
		})
	}
}

// convex reports whether the apex of face b lies clearly below the plane of
// face a, that is, whether their common edge sticks out.
func (k *keelSearch) convex(m *mesh.Mesh, a, b int32) bool {
	var p [3][3]float64
	for c, v := range m.Triangles[a] {
		q := m.Vertices[v]
		p[c] = [3]float64{float64(q[0]), float64(q[1]), float64(q[2])}
	}
	n := unitNormal(p)
	for _, v := range m.Triangles[b] {
		q := m.Vertices[v]
		d := n[0]*(float64(q[0])-p[0][0]) + n[1]*(float64(q[1])-p[0][1]) + n[2]*(float64(q[2])-p[0][2])
		if d < -1e-4 {
			return true
		}
	}
	return false
}
