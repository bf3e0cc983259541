package span

import (
	"math"

	"falsework/mesh"
)

// undersides finds the facets that hang above the layers of a survey, to
// report heights as the part has them.
type undersides struct {
	m       *mesh.Mesh
	byLayer map[int][]int32
	level   map[int][2]float64 // least and greatest height of those facets
	st      stack
}

// findUndersides sorts the downward facets into the layers that want them.
func findUndersides(m *mesh.Mesh, st stack, want map[int]bool) *undersides {
	u := &undersides{m: m, byLayer: map[int][]int32{}, level: map[int][2]float64{}, st: st}
	for t := range m.Triangles {
		p := u.corners(int32(t))
		lo, hi := min(p[0][2], p[1][2], p[2][2]), max(p[0][2], p[1][2], p[2][2])
		if unitNormal(p)[2] >= -1e-6 {
			continue
		}
		for k := max(st.above(lo), 1); k < st.n && st.mid(k-1) <= hi; k++ {
			if want[k] {
				u.byLayer[k] = append(u.byLayer[k], int32(t))
				l, ok := u.level[k]
				if !ok {
					l = [2]float64{lo, hi}
				}
				u.level[k] = [2]float64{min(l[0], lo), max(l[1], hi)}
			}
		}
	}
	return u
}

func (u *undersides) corners(t int32) (p [3][3]float64) {
	for c, v := range u.m.Triangles[t] {
		q := u.m.Vertices[v]
		p[c] = [3]float64{float64(q[0]), float64(q[1]), float64(q[2])}
	}
	return p
}

// heightAt returns the height of the underside at q between the mid-planes
// about layer k, and whether a facet was there.
func (u *undersides) heightAt(k int, q Point) (float64, bool) {
	lo, hi := u.st.mid(k-1), u.st.mid(k)
	if l, ok := u.level[k]; ok && l[0] == l[1] {
		return l[0], true // one flat underside, however many facets
	}
	best, ok := math.Inf(1), false
	for _, t := range u.byLayer[k] {
		p := u.corners(t)
		z, in := planeAt(p, q)
		if in && z >= lo-1e-6 && z <= hi+1e-6 && z < best {
			best, ok = z, true
		}
	}
	return best, ok
}

// planeAt returns the height of triangle p over q and whether q is in its
// plan.
func planeAt(p [3][3]float64, q Point) (float64, bool) {
	d := float64((p[1][0]-p[0][0])*(p[2][1]-p[0][1])) - float64((p[2][0]-p[0][0])*(p[1][1]-p[0][1]))
	if d == 0 {
		return 0, false
	}
	b := (float64((q[0]-p[0][0])*(p[2][1]-p[0][1])) - float64((p[2][0]-p[0][0])*(q[1]-p[0][1]))) / d
	c := (float64((p[1][0]-p[0][0])*(q[1]-p[0][1])) - float64((q[0]-p[0][0])*(p[1][1]-p[0][1]))) / d
	const edge = -1e-6
	if b < edge || c < edge || b+c > 1-edge {
		return 0, false
	}
	return p[0][2] + float64(b*(p[1][2]-p[0][2])) + float64(c*(p[2][2]-p[0][2])), true
}
