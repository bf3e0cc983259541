package meshtest

import (
	"falsework/mesh"
	"falsework/mesh/internal/angle"
)

// Prism stands between z0 and z1 over an outline with holes. The direction of
// the outlines does not matter; they must be simple, and the holes lie apart
// inside the first.
func Prism(z0, z1 float64, outline [][2]float64, holes ...[][2]float64) *mesh.Mesh {
	return PrismIn(Frame{U: [3]float64{1, 0, 0}, V: [3]float64{0, 1, 0}, N: [3]float64{0, 0, 1}}, z0, z1, outline, holes...)
}

// A Frame is a plane through Origin with the directions U and V in it and N
// out of it. They are unit vectors at right angles, N = U x V.
type Frame struct{ Origin, U, V, N [3]float64 }

// Upright returns the frame of a vertical plane through (x, y) that runs in
// plan at an angle to the x axis, in degrees: U along it, V up.
func Upright(x, y, deg float64) Frame {
	s, c := angle.Sincos(deg)
	return Frame{Origin: [3]float64{x, y, 0}, U: [3]float64{c, s, 0}, V: [3]float64{0, 0, 1}, N: [3]float64{s, -c, 0}}
}

// Point returns the point at u, v in the plane and n out of it.
func (f Frame) Point(u, v, n float64) (p [3]float64) {
	for i := range p {
		p[i] = f.Origin[i] + u*f.U[i] + v*f.V[i] + n*f.N[i]
	}
	return p
}

// PrismIn is [Prism] with its outline in a plane of its own, from n0 to n1
// out of it.
func PrismIn(f Frame, n0, n1 float64, outline [][2]float64, holes ...[][2]float64) *mesh.Mesh {
	rings := [][][2]float64{directed(outline, true)}
	for _, h := range holes {
		rings = append(rings, directed(h, false))
	}
	n0, n1 = min(n0, n1), max(n0, n1)
	b := newBuilder()
	for _, r := range rings {
		for i, p := range r {
			q := r[(i+1)%len(r)]
			b.quad(f.Point(p[0], p[1], n0), f.Point(q[0], q[1], n0), f.Point(q[0], q[1], n1), f.Point(p[0], p[1], n1))
		}
	}
	for _, t := range fill(rings) {
		b.triangle(f.Point(t[0][0], t[0][1], n1), f.Point(t[1][0], t[1][1], n1), f.Point(t[2][0], t[2][1], n1))
		b.triangle(f.Point(t[2][0], t[2][1], n0), f.Point(t[1][0], t[1][1], n0), f.Point(t[0][0], t[0][1], n0))
	}
	return b.done("prism")
}

// directed returns the ring counter-clockwise, or clockwise.
func directed(r [][2]float64, ccw bool) [][2]float64 {
	a := 0.0
	for i, p := range r {
		q := r[(i+1)%len(r)]
		a += p[0]*q[1] - q[0]*p[1]
	}
	out := append([][2]float64(nil), r...)
	if (a > 0) != ccw {
		for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
			out[i], out[j] = out[j], out[i]
		}
	}
	return out
}

// fill triangulates an outline with holes: each hole is joined to the rest
// by a bridge that crosses nothing, then ears are cut off.
func fill(rings [][][2]float64) [][3][2]float64 {
	ring, holes := rings[0], append([][][2]float64(nil), rings[1:]...)
	for len(holes) > 0 {
		k, out := bridge(ring, holes)
		ring, holes = out, append(holes[:k:k], holes[k+1:]...)
	}
	var ts [][3][2]float64
	for len(ring) > 3 {
		i := bestEar(ring)
		n := len(ring)
		ts = append(ts, [3][2]float64{ring[(i+n-1)%n], ring[i], ring[(i+1)%n]})
		ring = append(ring[:i:i], ring[i+1:]...)
	}
	return append(ts, [3][2]float64{ring[0], ring[1], ring[2]})
}

func bridge(ring [][2]float64, holes [][][2]float64) (int, [][2]float64) {
	for k, h := range holes {
		for j, q := range h {
			for i, p := range ring {
				if p == q || !clear(p, q, ring, holes) || !opens(ring, i, q) {
					continue
				}
				out := append([][2]float64(nil), ring[:i+1]...)
				out = append(out, h[j:]...)
				out = append(out, h[:j+1]...)
				return k, append(out, ring[i:]...)
			}
		}
	}
	panic("meshtest: no way from the outline to its holes")
}

// clear tells whether the open segment pq meets no side and no corner.
func clear(p, q [2]float64, ring [][2]float64, holes [][][2]float64) bool {
	for _, r := range append([][][2]float64{ring}, holes...) {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if a != p && a != q && area2(p, q, a) == 0 && between(p, q, a) {
				return false
			}
			if area2(p, q, a)*area2(p, q, b) < 0 && area2(a, b, p)*area2(a, b, q) < 0 {
				return false
			}
		}
	}
	return true
}

func between(p, q, a [2]float64) bool {
	d := (a[0]-p[0])*(q[0]-p[0]) + (a[1]-p[1])*(q[1]-p[1])
	l := (q[0]-p[0])*(q[0]-p[0]) + (q[1]-p[1])*(q[1]-p[1])
	return d > 0 && d < l
}

// opens tells whether q lies in the material's angle at corner i of the ring.
func opens(ring [][2]float64, i int, q [2]float64) bool {
	n := len(ring)
	a, p, b := ring[(i+n-1)%n], ring[i], ring[(i+1)%n]
	if area2(a, p, b) > 0 {
		return area2(a, p, q) > 0 && area2(p, b, q) > 0
	}
	return area2(a, p, q) > 0 || area2(p, b, q) > 0
}

// bestEar returns the corner that can be cut off with the best shape.
func bestEar(ring [][2]float64) int {
	best, at := -1.0, -1
	n := len(ring)
	for i, p := range ring {
		a, b := ring[(i+n-1)%n], ring[(i+1)%n]
		w := area2(a, p, b)
		if w <= 0 {
			continue
		}
		ok := true
		for _, q := range ring {
			if q != a && q != p && q != b && area2(a, p, q) >= 0 && area2(p, b, q) >= 0 && area2(b, a, q) >= 0 {
				ok = false
				break
			}
		}
		if ok {
			l := max(dist2(a, p), dist2(p, b), dist2(a, b))
			if w/l > best {
				best, at = w/l, i
			}
		}
	}
	if at < 0 {
		panic("meshtest: outline crosses itself")
	}
	return at
}

func area2(a, b, c [2]float64) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}

func dist2(a, b [2]float64) float64 {
	return (b[0]-a[0])*(b[0]-a[0]) + (b[1]-a[1])*(b[1]-a[1])
}
