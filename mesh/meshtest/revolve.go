package meshtest

import (
	"math"

	"falsework/mesh"
	"falsework/mesh/internal/angle"
)

// Revolve turns a profile once round the z axis in n equal steps, the first
// at angle 0. The profile is a list of points (radius, z), radius not
// negative, that runs counter-clockwise round its material when radius points
// right and z up. It closes from last to first unless both lie on the axis,
// where nothing needs closing.
func Revolve(n int, profile ...[2]float64) *mesh.Mesh {
	b := newBuilder()
	at := func(p [2]float64, k int) [3]float64 {
		s, c := math.Sincos(2 * math.Pi * float64(k%n) / float64(n))
		return [3]float64{p[0] * c, p[0] * s, p[1]}
	}
	for i, p := range profile {
		q := profile[(i+1)%len(profile)]
		if p[0] == 0 && q[0] == 0 {
			continue
		}
		for k := range n {
			b.quad(at(p, k), at(p, k+1), at(q, k+1), at(q, k))
		}
	}
	return b.done("body of revolution")
}

// Cylinder stands on z = 0 round the z axis, n-sided, its corners on the
// radius: its volume is n/2 sin(2 pi/n) r r h.
func Cylinder(r, h float64, n int) *mesh.Mesh {
	return Revolve(n, [2]float64{0, 0}, [2]float64{r, 0}, [2]float64{r, h}, [2]float64{0, h})
}

// Cone stands on z = 0 round the z axis with its tip at height h.
func Cone(r, h float64, n int) *mesh.Mesh {
	return Revolve(n, [2]float64{0, 0}, [2]float64{r, 0}, [2]float64{0, h})
}

// Tube stands on z = 0 round the z axis, open along it.
func Tube(outer, inner, h float64, n int) *mesh.Mesh {
	return Revolve(n, [2]float64{inner, 0}, [2]float64{outer, 0}, [2]float64{outer, h}, [2]float64{inner, h})
}

// Sphere is a ball round the origin with n meridians and about n/2 parallels.
func Sphere(r float64, n int) *mesh.Mesh {
	return Revolve(n, arc(0, 0, r, -90, 90, n/2)...)
}

// Dome is half a ball with its flat side on z = 0.
func Dome(r float64, n int) *mesh.Mesh {
	return Revolve(n, append([][2]float64{{0, 0}}, arc(0, 0, r, 0, 90, n/4)...)...)
}

// Vault is a hollow half ball open below, standing on z = 0.
func Vault(outer, inner float64, n int) *mesh.Mesh {
	return Revolve(n, append(arc(0, 0, outer, 0, 90, n/4), arc(0, 0, inner, 90, 0, n/4)...)...)
}

// Ring is a torus round the z axis: a circle of the lesser radius whose
// middle goes round at the greater.
func Ring(greater, lesser float64, n int) *mesh.Mesh {
	k := max(n/2, 6)
	p := arc(greater, 0, lesser, 0, 360, k)
	return Revolve(n, p[:k]...)
}

// arc returns n+1 points of a circle round (x, y) from one angle to another,
// exact on the axes.
func arc(x, y, r, from, to float64, n int) [][2]float64 {
	var p [][2]float64
	for k := range n + 1 {
		s, c := angle.Sincos(from + (to-from)*float64(k)/float64(n))
		p = append(p, [2]float64{x + r*c, y + r*s})
	}
	return p
}

// Circle returns n points counter-clockwise round (x, y), the first at angle
// 0, as an outline for [Prism].
func Circle(x, y, r float64, n int) [][2]float64 { return arc(x, y, r, 0, 360, n)[:n] }

// Rectangle returns an outline for [Prism].
func Rectangle(x0, y0, x1, y1 float64) [][2]float64 {
	return [][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}
