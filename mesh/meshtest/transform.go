package meshtest

import (
	"math"

	"falsework/mesh"
	"falsework/mesh/internal/angle"
)

// Warp moves every vertex by f and rounds to float32. Vertices that fall
// together are not merged.
func Warp(m *mesh.Mesh, f func([3]float64) [3]float64) *mesh.Mesh {
	w := Clone(m)
	for i, p := range m.Vertices {
		w.Vertices[i] = round(f([3]float64{float64(p[0]), float64(p[1]), float64(p[2])}))
	}
	return w
}

// Move shifts m.
func Move(m *mesh.Mesh, x, y, z float64) *mesh.Mesh {
	return Warp(m, func(p [3]float64) [3]float64 { return [3]float64{p[0] + x, p[1] + y, p[2] + z} })
}

// Scale stretches m along the axes. A negative product of the factors
// mirrors; the triangles are then turned round, so that outside stays outside.
func Scale(m *mesh.Mesh, x, y, z float64) *mesh.Mesh {
	w := Warp(m, func(p [3]float64) [3]float64 { return [3]float64{p[0] * x, p[1] * y, p[2] * z} })
	if x*y*z < 0 {
		return Flip(w)
	}
	return w
}

// Mirror reflects m in the plane through the origin at right angles to an
// axis (0, 1 or 2); outside stays outside.
func Mirror(m *mesh.Mesh, axis int) *mesh.Mesh {
	s := [3]float64{1, 1, 1}
	s[axis] = -1
	return Scale(m, s[0], s[1], s[2])
}

// Flip turns every triangle round: outside becomes inside.
func Flip(m *mesh.Mesh) *mesh.Mesh {
	w := Clone(m)
	for i, t := range w.Triangles {
		w.Triangles[i] = [3]int32{t[0], t[2], t[1]}
	}
	return w
}

// Turn turns m about an axis through the origin by degrees, counter-clockwise
// seen from the axis' tip. Turns by multiples of 90 about x, y or z are exact.
func Turn(m *mesh.Mesh, axis [3]float64, deg float64) *mesh.Mesh {
	l := math.Sqrt(axis[0]*axis[0] + axis[1]*axis[1] + axis[2]*axis[2])
	x, y, z := axis[0]/l, axis[1]/l, axis[2]/l
	s, c := angle.Sincos(deg)
	k := 1 - c
	// Rodrigues' rotation formula.
	r := [3][3]float64{
		{c + x*x*k, x*y*k - z*s, x*z*k + y*s},
		{y*x*k + z*s, c + y*y*k, y*z*k - x*s},
		{z*x*k - y*s, z*y*k + x*s, c + z*z*k},
	}
	return Warp(m, func(p [3]float64) (q [3]float64) {
		for i := range q {
			q[i] = r[i][0]*p[0] + r[i][1]*p[1] + r[i][2]*p[2]
		}
		return q
	})
}

// TurnZ turns m about the z axis.
func TurnZ(m *mesh.Mesh, deg float64) *mesh.Mesh { return Turn(m, [3]float64{0, 0, 1}, deg) }

// Bow bends what stands along x outwards in y: y falls by depth at the middle
// of 0..width and by nothing at its ends, a parabola. Subdivide first.
func Bow(m *mesh.Mesh, width, depth float64) *mesh.Mesh {
	return Warp(m, func(p [3]float64) [3]float64 {
		u := p[0] / width
		return [3]float64{p[0], p[1] - 4*depth*u*(1-u), p[2]}
	})
}
