package union

import (
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

func about(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.Abs(got-want) > tol {
		t.Errorf("%s is %.9g, want %.9g", what, got, want)
	}
}

func TestBoxes(t *testing.T) {
	a := meshtest.Blocks(meshtest.Add(0, 0, 0, 10, 10, 10))
	b := meshtest.Blocks(meshtest.Add(5.1, 5.2, 5.3, 15, 15, 15))
	common := 4.9 * 4.8 * 4.7
	for _, c := range []struct {
		name string
		f    func() (*Result, error)
		want float64
	}{
		{"unite", func() (*Result, error) { return run(a, b, combine, false) }, 1000 + 9.9*9.8*9.7 - common},
		{"subtract", func() (*Result, error) { return Subtract(a, b) }, 1000 - common},
		{"intersect", func() (*Result, error) { return Intersect(a, b) }, common},
	} {
		r, err := c.f()
		if err != nil {
			t.Fatal(c.name, err)
		}
		meshtest.Check(t, r.Mesh)
		about(t, c.name+" volume", meshtest.Volume(r.Mesh), c.want, 1e-4)
		about(t, c.name+" reported", r.Report.Volume, meshtest.Volume(r.Mesh), 1e-9)
		about(t, c.name+" overlap", r.Report.Overlap, common, 1e-4)
		t.Logf("%s: %d triangles, %+v", c.name, len(r.Mesh.Triangles), r.Report)
	}
}

// A rib stood in the opening of a frame, embedded in sill and lintel.
func TestRibInFrame(t *testing.T) {
	t.Parallel()
	frame := meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 3, 80), meshtest.Cut(10, 0, 10, 90, 3, 70))
	for _, times := range []int{0, 3, 5} {
		part := meshtest.Subdivide(frame, times)
		var tools []*mesh.Mesh
		for i := range 3 {
			x := 30 + 20*float64(i)
			tools = append(tools, meshtest.Blocks(meshtest.Add(x-0.25, 0.4, 9.9, x+0.25, 2.6, 70.1)))
		}
		for i := range 2 {
			z := 30 + 20*float64(i)
			tools = append(tools, meshtest.Blocks(meshtest.Add(9.9, 0.42, z, 90.1, 2.58, z+0.4)))
		}
		r, err := Unite(part, tools)
		if err != nil {
			t.Fatal(err)
		}
		meshtest.Check(t, r.Mesh)
		want := meshtest.Volume(part) + 3*0.5*2.2*60 + 2*2.16*0.4*80 - 6*0.5*2.16*0.4
		about(t, "volume", meshtest.Volume(r.Mesh), want, 0.05)
		t.Logf("%d triangles: %d, %+v", len(part.Triangles), len(r.Mesh.Triangles), r.Report)
	}
}
