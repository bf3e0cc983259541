package union

import (
	"errors"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// Flush faces leave nothing between them: neither a skin where something is
// cut away or shared, nor a slit where solids are put together.
func TestFlushFaces(t *testing.T) {
	t.Parallel()
	cube := slab(0, 0, 0, 10, 10, 10)
	post := meshtest.Cylinder(3, 10, 12)
	step := meshtest.Blocks(meshtest.Add(0, 0, 0, 10, 10, 5), meshtest.Add(0, 0, 5, 5, 10, 10))
	for _, c := range []struct {
		name string
		a, b *mesh.Mesh
	}{
		{"alike", cube, cube},
		{"side by side", cube, slab(10, 0, 0, 20, 10, 10)},
		{"one on part of another", cube, slab(2, 3, 10, 8, 7, 15)},
		{"in a corner", cube, slab(0, 0, 0, 5, 5, 5)},
		{"through, flush at both ends", cube, slab(2, 2, 0, 8, 8, 10)},
		{"across, flush at the sides", cube, slab(-5, 2, 0, 15, 8, 10)},
		{"a post on a face", cube, meshtest.Move(post, 5, 5, 10)},
		{"a post in it", cube, meshtest.Move(post, 5, 5, 0)},
		{"a step and its fill", step, slab(5, 0, 5, 10, 10, 10)},
		{"two steps alike", step, step},
		{"along one edge", cube, slab(10, 10, 0, 20, 20, 10)},
		{"at one corner", cube, slab(10, 10, 10, 20, 20, 20)},
	} {
		for _, deg := range []float64{0, 27} {
			turn := func(m *mesh.Mesh) *mesh.Mesh {
				if deg == 0 {
					return m
				}
				return meshtest.Turn(m, [3]float64{1, 2, 3}, deg)
			}
			a, b := turn(c.a), turn(c.b)
			tol := 0.5 // a tool may move by a few microns over some 500 mm2
			va, vb := meshtest.Volume(a), meshtest.Volume(b)
			look := func(name string, m *mesh.Mesh, err error) float64 {
				if s := (skinned{}); errors.As(err, &s) && deg != 0 {
					t.Logf("%s at %g degrees, %s: %v", c.name, deg, name, err)
					return -1
				}
				if err != nil {
					t.Errorf("%s at %g degrees, %s: %v", c.name, deg, name, err)
					return -1
				}
				if len(m.Triangles) == 0 {
					return 0
				}
				meshtest.Check(t, m)
				for _, s := range meshtest.Skins(m, 1e-5, 1e-2) {
					t.Errorf("%s at %g degrees, %s: %v", c.name, deg, name, s)
				}
				return meshtest.Volume(m)
			}
			m, err := Combine([]*mesh.Mesh{a, b})
			or := look("combine", m, err)
			of := func(r *Result, err error) (*mesh.Mesh, error) {
				if err != nil {
					return nil, err
				}
				return r.Mesh, nil
			}
			m, err = of(Subtract(a, b))
			less := look("subtract", m, err)
			m, err = of(Intersect(a, b))
			and := look("intersect", m, err)
			if or >= 0 && and >= 0 {
				about(t, c.name+": united and shared", or+and, va+vb, tol)
			}
			if less >= 0 && and >= 0 {
				about(t, c.name+": left and shared", less+and, va, tol)
			}
		}
	}
}
