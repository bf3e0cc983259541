package outside

import (
	"math"
	"testing"
)

// Hold checks one answer: the library takes all meshes as manifolds, nothing
// of the part is lost, and volume and genus of the ribbed mesh are those of
// the library's own union of the same operands.
func Hold(t *testing.T, a Answer) {
	t.Helper()
	if a.Error != "" {
		t.Errorf("case %s: the library refuses it: %s", a.Name, a.Error)
		return
	}
	for _, m := range []struct {
		name string
		Measure
	}{{"part", a.Part}, {"ribs", a.Ribs}, {"union", a.Union}, {"ribbed", a.Ribbed}} {
		if m.Status != "NoError" {
			t.Errorf("case %s: %s is no manifold to the library: %s", a.Name, m.name, m.Status)
		}
	}
	// Both sides round new points to float32, within a micron; a thousandth of
	// the ribs' volume and a millionth of the part's are the bounds promised.
	bound := a.bound()
	if d := math.Abs(a.Ribbed.Volume - a.Union.Volume); d > bound {
		t.Errorf("case %s: volume %.6f mm3, the library's union %.6f (%.2g apart, bound %.2g)", a.Name, a.Ribbed.Volume, a.Union.Volume, d, bound)
	}
	if a.Read != 0 && !a.Kept {
		// On reading, the library collapses short edges; it has then changed the
		// mesh, not judged it. Said, because such edges are worth avoiding.
		t.Logf("case %s: the library changes volume (by %.3g mm3) or genus as it reads the mesh; what is lost or extra was measured along lines", a.Name, a.Read-a.Ribbed.Volume)
	}
	// Rounding moves either surface by half a unit in the last place.
	bound = math.Max(bound, a.Unit*a.Ribs.Area)
	if a.Lost > bound {
		t.Errorf("case %s: %.3g mm3 of part or ribs are lost (bound %.2g)", a.Name, a.Lost, bound)
	}
	if a.Extra > bound {
		t.Errorf("case %s: %.3g mm3 are in neither part nor ribs (bound %.2g)", a.Name, a.Extra, bound)
	}
	if a.Ribbed.Genus != a.Union.Genus {
		t.Errorf("case %s: genus %d, the library's union has %d", a.Name, a.Ribbed.Genus, a.Union.Genus)
	}
}

func (a Answer) bound() float64 { return math.Min(1e-6*a.Part.Volume, 1e-3*a.Ribs.Volume) }
