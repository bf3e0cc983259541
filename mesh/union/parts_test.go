package union_test

import (
	"os"
	"path/filepath"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/stl"
	"falsework/mesh/union"
)

// A real part of ten shells that pierce one another in 610 places. A rib that
// meets several of them is united with those that go together and overlaps the
// rest, as they overlap one another, and the result says so. So what pierces
// is told apart: what the part brought along, a rib against a shell it was not
// united with, and the new surface against itself, which is ours to answer for.
func TestPartThatPiercesItself(t *testing.T) {
	dir := os.Getenv("FALSEWORK_PARTS")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "parts") // beside the repository
	}
	f, err := stl.ReadFile(t.Context(), filepath.Join(dir, "box-self-piercing.stl"))
	if err != nil {
		t.Skip("no folder of real parts; set FALSEWORK_PARTS to one")
	}
	part := f.Mesh
	b := part.Bounds()
	own := 0.0
	for _, c := range meshtest.Contacts(part) {
		if c.Kind == meshtest.Pierce {
			own = max(own, c.Depth)
		}
	}
	t.Logf("the part pierces itself by %.3g mm", own)
	for i := range 6 {
		if i != 2 && !property.Long() {
			continue
		}
		x := b.Min[0] + (b.Max[0]-b.Min[0])*(float64(i)+0.5)/6
		rib := meshtest.Blocks(meshtest.Add(x-0.05, b.Min[1]+0.1, b.Min[2]+0.1, x+0.05, b.Max[1]-0.1, b.Max[2]-0.1))
		r, err := union.Unite(part, []*mesh.Mesh{rib})
		if err != nil {
			t.Errorf("rib %d: %v", i, err)
			continue
		}
		var old, mixed, fresh float64
		for _, c := range meshtest.Contacts(r.Mesh) {
			if c.Kind != meshtest.Pierce {
				continue
			}
			switch a, b := r.Source[c.A] < 0, r.Source[c.B] < 0; {
			case a && b:
				fresh = max(fresh, c.Depth)
			case a || b:
				mixed = max(mixed, c.Depth)
			default:
				old = max(old, c.Depth)
			}
		}
		t.Logf("rib %d: the part's own %.3g, new against old %.3g, new against new %.3g; %v", i, old, mixed, fresh, r.Report.Notes)
		// Pieces of the part's triangles count as new, and may pierce others as
		// the whole triangles did.
		if max(old, mixed) > own+1e-6 {
			t.Errorf("rib %d: the result pierces itself by %g, the part by %g", i, max(old, mixed), own)
		}
		if fresh > 1e-4 {
			t.Errorf("rib %d: the new surface pierces itself by %g", i, fresh)
		}
	}
}
