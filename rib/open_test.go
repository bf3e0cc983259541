package rib

import (
	"testing"

	"falsework/mesh/meshtest"
)

// A hole in the outer face of a wall changes nothing of the plan inside: braces
// end on that wall as if it were whole.
func TestOpenWallHoldsBraces(t *testing.T) {
	whole := meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 60, 63), meshtest.Cut(3, 3, 3, 97, 60, 60))
	torn := meshtest.Clone(whole)
	widest, at := 0.0, -1
	for i := range torn.Triangles {
		lo, hi, out := 1e9, -1e9, true
		for k := range 3 {
			p := torn.Corner(i, k)
			out = out && p[0] == 100
			lo, hi = min(lo, float64(p[2])), max(hi, float64(p[2]))
		}
		if out && hi-lo > widest {
			widest, at = hi-lo, i
		}
	}
	if widest < 50 {
		t.Fatalf("no tall triangle in the outer face: %g", widest)
	}
	torn.Triangles = append(torn.Triangles[:at], torn.Triangles[at+1:]...)
	a, b := planOf(t, whole, nil), planOf(t, torn, nil)
	if len(a.Ceilings) != len(b.Ceilings) {
		t.Fatalf("%d ceilings and %d", len(a.Ceilings), len(b.Ceilings))
	}
	for i, c := range a.Ceilings {
		d := b.Ceilings[i]
		if len(c.Ribs) != len(d.Ribs) || len(c.Braces) != len(d.Braces) || len(d.Braces) == 0 || len(d.Unsteady) > 0 {
			t.Errorf("ceiling %d: %d ribs, %d braces; with the hole %d ribs, %d braces, %d unsteady", c.ID, len(c.Ribs), len(c.Braces), len(d.Ribs), len(d.Braces), len(d.Unsteady))
		}
	}
}
