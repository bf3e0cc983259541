package union

import "falsework/mesh"

// A box holds coordinates as the files do; comparisons are exact.
type box struct{ lo, hi vec }

func boxOf(p, q, r vec) (b box) {
	for k := range 3 {
		b.lo[k] = min(p[k], q[k], r[k])
		b.hi[k] = max(p[k], q[k], r[k])
	}
	return b
}

func (b box) join(c box) box {
	for k := range 3 {
		b.lo[k] = min(b.lo[k], c.lo[k])
		b.hi[k] = max(b.hi[k], c.hi[k])
	}
	return b
}

func (b box) meets(c box) bool {
	return b.lo[0] <= c.hi[0] && c.lo[0] <= b.hi[0] &&
		b.lo[1] <= c.hi[1] && c.lo[1] <= b.hi[1] &&
		b.lo[2] <= c.hi[2] && c.lo[2] <= b.hi[2]
}

func (b *box) longest() float32 {
	return max(b.hi[0]-b.lo[0], b.hi[1]-b.lo[1], b.hi[2]-b.lo[2])
}

// beside tells whether two boxes do not meet.
func (b *box) beside(c *box) bool {
	return b.lo[0] > c.hi[0] || c.lo[0] > b.hi[0] ||
		b.lo[1] > c.hi[1] || c.lo[1] > b.hi[1] ||
		b.lo[2] > c.hi[2] || c.lo[2] > b.hi[2]
}

func triangleBox(m *mesh.Mesh, t int) box {
	c := m.Triangles[t]
	return boxOf(m.Vertices[c[0]], m.Vertices[c[1]], m.Vertices[c[2]])
}

// A plane is a triangle's plane in float64, with a bound on the error of the
// distance it gives.
type plane struct {
	n    [3]float64
	d    float64
	fuzz float64
}

func planeOf(a, b, c vec) (p plane) {
	u, v := sub(b, a), sub(c, a)
	p.n = cross(u, v)
	size := 0.0
	for k := range 3 {
		p.d += float64(p.n[k] * float64(a[k]))
		size += float64(abs(p.n[k]) * (abs(float64(a[k])) + abs(u[k]) + abs(v[k])))
	}
	p.fuzz = 1e-13 * size
	return p
}

// misses tells whether the box certainly lies on one side of the plane. It
// may say false for a box that does, never true for one that does not.
func (p plane) misses(b box) bool {
	mid, half, size := -p.d, 0.0, 0.0
	for k := range 3 {
		c := (float64(b.lo[k]) + float64(b.hi[k])) / 2
		h := float64((float64(b.hi[k]) - float64(b.lo[k])) / 2)
		mid += float64(p.n[k] * c)
		half += float64(abs(p.n[k]) * h)
		size += float64(abs(p.n[k]) * (abs(c) + h))
	}
	return abs(mid) > half+p.fuzz+float64(1e-13*size)
}

// beyond tells whether the box certainly lies beyond the plane, on the side its
// normal points to.
func (p *plane) beyond(b *box) bool {
	low, size := -p.d, 0.0
	for k := range 3 {
		c := (float64(b.lo[k]) + float64(b.hi[k])) / 2
		h := float64((float64(b.hi[k]) - float64(b.lo[k])) / 2)
		low += float64(p.n[k]*c) - float64(abs(p.n[k])*h)
		size += float64(abs(p.n[k]) * (abs(c) + h))
	}
	return low > p.fuzz+float64(1e-13*size)
}

// A prism is a triangle's plane and, across it, a plane along each of its sides
// with the triangle behind. What lies in front of one, or misses the first,
// does not meet the triangle.
type prism struct {
	plane
	sides [3]plane
}

func prismOf(a, b, c vec) (w prism) {
	w.plane = planeOf(a, b, c)
	v := [3]vec{a, b, c}
	for e := range 3 {
		s := &w.sides[e]
		s.n = cross(sub(v[(e+1)%3], v[e]), w.n)
		// However the normal was rounded, all three corners lie behind.
		for i, p := range v {
			d, size := 0.0, 0.0
			for k, x := range p {
				d += float64(s.n[k] * float64(x))
				size += float64(abs(s.n[k]) * abs(float64(x)))
			}
			if i == 0 || d > s.d {
				s.d = d
			}
			s.fuzz = max(s.fuzz, 1e-13*size)
		}
	}
	return w
}

// misses tells whether the box certainly does not meet the triangle.
func (w *prism) misses(b *box) bool {
	return w.plane.misses(*b) || w.sides[0].beyond(b) || w.sides[1].beyond(b) || w.sides[2].beyond(b)
}

func sub(a, b vec) [3]float64 {
	return [3]float64{float64(a[0]) - float64(b[0]), float64(a[1]) - float64(b[1]), float64(a[2]) - float64(b[2])}
}

func cross(u, v [3]float64) [3]float64 {
	return [3]float64{
		float64(u[1]*v[2]) - float64(u[2]*v[1]),
		float64(u[2]*v[0]) - float64(u[0]*v[2]),
		float64(u[0]*v[1]) - float64(u[1]*v[0]),
	}
}

func dot(u, v [3]float64) float64 {
	return float64(u[0]*v[0]) + float64(u[1]*v[1]) + float64(u[2]*v[2])
}
