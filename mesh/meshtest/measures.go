package meshtest

import (
	"math"

	"falsework/mesh"
)

// Volume returns the signed volume of a closed surface, positive when its
// triangles face outwards (the divergence theorem).
func Volume(m *mesh.Mesh) float64 {
	v := 0.0
	for t := range m.Triangles {
		a, b, c := corner(m, t, 0), corner(m, t, 1), corner(m, t, 2)
		v += a[0]*(b[1]*c[2]-b[2]*c[1]) + a[1]*(b[2]*c[0]-b[0]*c[2]) + a[2]*(b[0]*c[1]-b[1]*c[0])
	}
	return v / 6
}

// Area returns the area of the surface.
func Area(m *mesh.Mesh) float64 {
	s := 0.0
	for t := range m.Triangles {
		s += norm(normal2(corner(m, t, 0), corner(m, t, 1), corner(m, t, 2))) / 2
	}
	return s
}

func normal2(a, b, c [3]float64) [3]float64 {
	u := [3]float64{b[0] - a[0], b[1] - a[1], b[2] - a[2]}
	v := [3]float64{c[0] - a[0], c[1] - a[1], c[2] - a[2]}
	return [3]float64{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}
}

func norm(v [3]float64) float64 { return math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2]) }

// Euler returns V - E + F over the vertices that triangles use. A closed
// manifold has 2 shells - 2 genus.
func Euler(m *mesh.Mesh) int {
	v := map[int32]bool{}
	e := map[[2]int32]bool{}
	for _, t := range m.Triangles {
		for c := range 3 {
			a, b := t[c], t[(c+1)%3]
			v[a] = true
			e[[2]int32{min(a, b), max(a, b)}] = true
		}
	}
	return len(v) - len(e) + len(m.Triangles)
}

// Shells returns how many pieces the surface is in, joined over vertices.
func Shells(m *mesh.Mesh) int {
	up := make([]int32, len(m.Vertices))
	for i := range up {
		up[i] = int32(i)
	}
	root := func(v int32) int32 {
		for up[v] != v {
			up[v] = up[up[v]]
			v = up[v]
		}
		return v
	}
	used := map[int32]bool{}
	for _, t := range m.Triangles {
		up[root(t[0])] = root(t[1])
		up[root(t[1])] = root(t[2])
	}
	for _, t := range m.Triangles {
		used[root(t[0])] = true
	}
	return len(used)
}

// Genus returns the number of handles of all shells of a closed manifold
// together.
func Genus(m *mesh.Mesh) int { return Shells(m) - Euler(m)/2 }
