package mend_test

import (
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/mend"
	"falsework/mesh/meshtest"
)

// Of two blocks side by side, one inside out, the facets that they share run the
// same way; turned, one lies back to back with the other. One block must come
// back, of the volume of both.
func TestTurningABlockLeavesNoLeaf(t *testing.T) {
	near := meshtest.Add(0, 0, 0, 1, 1, 1)
	for _, c := range []struct {
		name string
		far  *mesh.Mesh
		want float64
	}{
		{"behind", meshtest.Blocks(meshtest.Add(0, 1, 0, 1, 2, 1)), 2},
		{"behind, deeper", meshtest.Blocks(meshtest.Add(0, 1, 0, 1, 3, 1)), 3},
		{"on top", meshtest.Blocks(meshtest.Add(0, 0, 1, 1, 1, 2)), 2},
		{"on top, higher", meshtest.Blocks(meshtest.Add(0, 0, 1, 1, 1, 3)), 3},
	} {
		for _, in := range []bool{false, true} { // which is inside out
			a, b := c.far, meshtest.Flip(meshtest.Blocks(near))
			if in {
				a, b = meshtest.Flip(c.far), meshtest.Blocks(near)
			}
			m := append(soupOf(a), soupOf(b)...).weld()
			r, err := mend.Surface(bg, m)
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			if n := leaves(r.Mesh); n > 0 || math.Abs(r.Audit.Volume-c.want) > 1e-6 {
				t.Errorf("%s: %d triangles back to back, volume %g; want none, %g", c.name, n, r.Audit.Volume, c.want)
			}
		}
	}
}
