package mend_test

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"falsework/mesh"
	"falsework/mesh/mend"
	"falsework/mesh/meshtest"
	"falsework/mesh/stl"
)

// parts returns the folder of real part files, or skips the test.
func parts(t testing.TB) string {
	dir := os.Getenv("FALSEWORK_PARTS")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "parts") // beside the repository
	}
	if !exists(dir) {
		t.Skip("no folder of real parts; set FALSEWORK_PARTS to one")
	}
	return dir
}

func exists(path string) bool { _, err := os.Stat(path); return err == nil }

// Volumes and numbers of parts that admesh 0.98.4 (Debian) prints for the
// same files as "Volume" and "Number of parts". It adds in float32, which is
// good for about 2e-5 of these.
var admesh = map[string]struct {
	volume float64
	shells int
}{
	"arm-base.stl":           {122689.820312, 1},
	"box-self-piercing.stl":  {16.084253, 10},
	"bracket.stl":            {23709.035156, 1},
	"brick-underside.stl":    {26752.960938, 1},
	"busted.stl":             {526.448303, 1},
	"case-inverted.stl":      {13722.064453, 1},
	"case-small.stl":         {18513.470703, 1},
	"cover-zero-normals.stl": {17176.890625, 1},
	"features.stl":           {11.627702, 1},
	"housing-a-base.stl":     {81614.195312, 1},
	"housing-a-lid.stl":      {45124.757812, 1},
	"plate-holes.stl":        {767362.0, 1},
	"sphere.stl":             {4.175508, 1},
	"stand.stl":              {46899.480469, 1},
	"teapot.stl":             {526.507507, 1},
}

// refused are the files that no certain mend closes.
var refused = map[string]mesh.FaultKind{"soup.stl": mesh.OpenEdge, "tray-large.stl": mesh.OpenEdge}

// Every real part ends as a sound surface or as a refusal with a reason, and
// volumes agree with an outside program.
func TestRealParts(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(parts(t), "*.stl"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%d files, error %v", len(files), err)
	}
	for _, path := range files {
		name := filepath.Base(path)
		t.Run(name, func(t *testing.T) {
			f, err := stl.ReadFile(bg, path)
			var e *stl.Error
			if errors.As(err, &e) {
				if name != "empty.stl" || e.Kind != stl.Empty {
					t.Error(err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			r, err := mend.Surface(bg, f.Mesh)
			if want := refused[name]; want != 0 {
				var u *mend.Unmendable
				if !errors.As(err, &u) || u.Fault.Kind != want {
					t.Errorf("error %v, want a refusal for %v", err, want)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			closed(t, r)
			if len(r.Mends) > 0 {
				checkSource(t, f.Mesh, r)
			}
			if want, ok := admesh[name]; ok {
				if math.Abs(r.Audit.Volume-want.volume) > 3e-5*want.volume || len(r.Audit.Shells) != want.shells {
					t.Errorf("volume %.9g in %d shells, admesh has %.9g in %d", r.Audit.Volume, len(r.Audit.Shells), want.volume, want.shells)
				}
			}
		})
	}
}

// closed holds the validator's faults against what a mended surface may
// keep: shells that touch along an edge or at a corner.
func closed(t *testing.T, r *mend.Result) {
	t.Helper()
	for _, f := range meshtest.Faults(r.Mesh) {
		switch f.Kind {
		case meshtest.Crowded, meshtest.Pinched:
		default:
			t.Errorf("mended, but %v", f)
		}
	}
	if !r.Audit.Closed() || r.Audit.Err() != nil || r.Audit.Volume <= 0 {
		t.Errorf("closed %v, error %v, volume %g", r.Audit.Closed(), r.Audit.Err(), r.Audit.Volume)
	}
}
