package union

import (
	"math"
	"slices"
	"sync"

	"falsework/mesh"
)

// A motion says how the vertices of B move where a predicate is zero: each of
// them, by a vanishing length, along a way of its own that points out of all
// faces at it (or into them all, where B must shrink). A tool that lies flush
// with the part then stands out of it, or dips into it, all along the face:
// what is united has no gap there, what is cut leaves no skin, what is shared
// has no skin either. Where no way points out of all faces, at a saddle, the
// nearest to that is taken; what it leaves is found by the check (skin).
//
// A nil motion moves B as a whole, see side.
type motion struct {
	b     *mesh.Mesh
	scale float64 // 1 outwards, -1 inwards
	seed  uint64
	tree  *tree
	known sync.Mutex       // over ways
	ways  map[vec][3]int64 // found so far: few are asked for
}

// motionOf returns the motion of b, which has tree t, for an operation.
func motionOf(b *mesh.Mesh, t *tree, op operation) *motion {
	if op.swell == 0 {
		return nil
	}
	return &motion{b: b, scale: float64(op.swell), seed: uint64(op.draw), tree: t, ways: map[vec][3]int64{}}
}

// way returns the direction a vertex of B moves in.
func (m *motion) way(p vec) [3]int64 {
	m.known.Lock()
	defer m.known.Unlock()
	w, ok := m.ways[p]
	if !ok {
		w = m.find(p, 0)
		m.ways[p] = w
	}
	return w
}

// swollen returns b with its vertices moved along their ways by a length, those
// that rounding has put within a few units of each other along one: moved apart
// they would draw the faces there through each other. It fails when that turns a
// triangle by much, as where b is not much thicker.
func (m *motion) swollen(by float64) (*mesh.Mesh, error) {
	out := &mesh.Mesh{Vertices: make([]vec, len(m.b.Vertices)), Triangles: m.b.Triangles}
	for i, p := range m.b.Vertices {
		var q [3]float64
		for k, x := range m.find(p, float32(shortest*ulp(p))) {
			q[k] = float64(p[k]) + float64(by*(float64(x)*0x1p-40))
		}
		out.Vertices[i] = rounded(q)
	}
	for t := range out.Triangles {
		a, b := normal(m.b, t), normal(out, t)
		long := 0.0
		for k := range 3 {
			long = max(long, distance(m.b.Corner(t, k), m.b.Corner(t, (k+1)%3)))
		}
		if math.Sqrt(dot(a, a)) < 32*by*long {
			continue // a sliver of rounding's making, which may turn
		}
		if dot(a, b) < 0.9*math.Sqrt(float64(dot(a, a)*dot(b, b))) {
			return nil, errInternal("a tool that is too thin to be moved out of a flush place")
		}
	}
	return out, nil
}

func normal(m *mesh.Mesh, t int) [3]float64 {
	a, b, c := m.Corner(t, 0), m.Corner(t, 1), m.Corner(t, 2)
	return cross(sub(b, a), sub(c, a))
}

// find finds the way of the vertices of B in one place, or within reach of it:
// they move alike.
func (m *motion) find(p vec, reach float32) (d [3]int64) {
	var at []int32
	m.tree.meeting(box{p, p}.grown(reach), func(t int32) { at = append(at, t) })
	slices.Sort(at) // sums of normals go by the order of the triangles
	var normals [][3]float64
	for _, t := range at {
		n := normal(m.b, int(t))
		l := math.Sqrt(dot(n, n))
		if l == 0 {
			continue
		}
		for k := range 3 {
			n[k] /= l
		}
		for c := range 3 {
			if q := m.b.Corner(int(t), c); q == p || distance(p, q) <= float64(reach) {
				normals = append(normals, n)
			}
		}
	}
	w, margin := outOf(normals)
	// Some of each way is drawn, so that no two are parallel and no
	// determinant of them vanishes by chance: too little to turn a face.
	loose := max(min(margin/4, 0x1p-6), 0x1p-14)
	seed := m.seed
	for k := range 3 {
		seed = seed<<1 ^ uint64(math.Float32bits(p[k]+0))
		mix(&seed)
	}
	for k := range 3 {
		r := float64(int64(mix(&seed)>>32)-1<<31) * 0x1p-31
		d[k] = int64(math.Round(float64((float64(m.scale*w[k]) + float64(loose*r)) * 0x1p40)))
	}
	return d
}

// outOf returns the unit vector that points furthest out of all faces with
// the given unit normals, and by how much: the direction of the point nearest
// to the origin of the normals' hull (E. G. Gilbert, An Iterative Procedure
// for Computing the Minimum of a Quadratic Form on a Convex Set, 1966). At a
// saddle, where the hull holds the origin, the margin is not positive.
func outOf(normals [][3]float64) (best [3]float64, margin float64) {
	margin = -2
	if len(normals) == 0 {
		return [3]float64{0, 0, 1}, 0
	}
	var w [3]float64
	for _, n := range normals {
		for k := range 3 {
			w[k] += n[k] / float64(len(normals))
		}
	}
	for range 64 {
		l := math.Sqrt(dot(w, w))
		if l < 1e-9 {
			break
		}
		worst, least := normals[0], 2.0
		for _, n := range normals {
			if d := dot(n, w) / l; d < least {
				worst, least = n, d
			}
		}
		if least > margin {
			margin = least
			best = [3]float64{w[0] / l, w[1] / l, w[2] / l}
		}
		if least >= l-1e-6 {
			break
		}
		// The point of the way from w to the worst normal that is nearest to
		// the origin.
		d := [3]float64{worst[0] - w[0], worst[1] - w[1], worst[2] - w[2]}
		s := min(max(-dot(w, d)/dot(d, d), 0), 1)
		for k := range 3 {
			w[k] += float64(s * d[k])
		}
	}
	if margin == -2 {
		return normals[0], 0
	}
	return best, margin
}
