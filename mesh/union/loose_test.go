package union

import (
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// Two shells lie over each other in a corner, and a bar meets both there. The
// bar is united with what goes without conflict; the other shell stays as it
// came, and the result says so.
func TestOverlappingShells(t *testing.T) {
	a := meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 20, 20))
	b := meshtest.Move(meshtest.TurnZ(meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 20, 20)), 17), 11, 9, 7)
	part := meshtest.Join(a, b)
	bar := meshtest.Blocks(meshtest.Add(13, -5, 15, 15, 40, 17))
	r, err := Unite(part, []*mesh.Mesh{bar})
	if err != nil {
		t.Fatal(err)
	}
	meshtest.Check(t, r.Mesh)
	if len(r.Report.Notes) == 0 {
		t.Error("nothing is said of the overlap")
	}
	if want := r.Report.PartVolume + r.Report.ToolVolume - r.Report.Overlap; math.Abs(meshtest.Volume(r.Mesh)-want) > 1e-4*r.Report.ToolVolume {
		t.Errorf("volume %v, part + bar - overlap is %v", meshtest.Volume(r.Mesh), want)
	}
	if r.Report.Overlap <= 0 || r.Report.Overlap >= r.Report.ToolVolume {
		t.Errorf("overlap %v of a bar of %v", r.Report.Overlap, r.Report.ToolVolume)
	}
}

// Away from the overlap nothing changes: the bar is united as with any part.
func TestOverlapElsewhere(t *testing.T) {
	a := meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 20, 20))
	b := meshtest.Move(meshtest.TurnZ(meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 20, 20)), 17), 11, 9, 7)
	r, err := Unite(meshtest.Join(a, b), []*mesh.Mesh{meshtest.Blocks(meshtest.Add(-5, 3, 3, 5, 5, 5))})
	if err != nil {
		t.Fatal(err)
	}
	meshtest.Check(t, r.Mesh)
	if len(r.Report.Notes) != 0 || r.Report.Loose != 0 {
		t.Errorf("notes %q, %d loose", r.Report.Notes, r.Report.Loose)
	}
}
