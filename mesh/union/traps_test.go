package union

import (
	"errors"
	"math"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// Cases that kernels of this kind have stumbled over, each by itself.

func slab(x0, y0, z0, x1, y1, z1 float64) *mesh.Mesh {
	return meshtest.Blocks(meshtest.Add(x0, y0, z0, x1, y1, z1))
}

// sound unites and holds the result to the guarantee of the package.
func sound(t *testing.T, part *mesh.Mesh, tools ...*mesh.Mesh) *Result {
	t.Helper()
	r, err := Unite(part, tools)
	if err != nil {
		t.Fatal(err)
	}
	var sum tally
	if err := sum.judge(part, r); err != nil {
		t.Fatal(err)
	}
	return r
}

// refused wants a defect of a kind near a place.
func refused(t *testing.T, err error, kind Defect, tool int, at [3]float64, off float64) {
	t.Helper()
	var d *DefectError
	if !errors.As(err, &d) {
		t.Fatalf("got %v, want %s", err, kind)
	}
	if d.Kind != kind || d.Tool != tool {
		t.Errorf("got %v, want %s of tool %d", err, kind, tool)
	}
	for k := range 3 {
		if !(math.Abs(d.At[k]-at[k]) <= off) {
			t.Errorf("%v, want it near %v", err, at)
		}
	}
}

// An inside-out part passes every local test; it must not lose its outer half.
func TestInsideOutPart(t *testing.T) {
	box, rib := slab(0, 0, 0, 20, 20, 20), slab(5, 5, 15, 6, 12, 25)
	_, err := Unite(meshtest.Flip(box), []*mesh.Mesh{rib})
	refused(t, err, InsideOut, -1, [3]float64{10, 10, 10}, 10)
	_, err = Subtract(meshtest.Flip(box), rib)
	refused(t, err, InsideOut, -1, [3]float64{10, 10, 10}, 10)
	// One body of two: refused where the rib meets it, left alone where not.
	two := meshtest.Join(slab(0, 0, 0, 20, 20, 20), meshtest.Flip(slab(30, 0, 0, 40, 10, 10)))
	_, err = Unite(two, []*mesh.Mesh{slab(32, 5, 5, 33, 6, 15)})
	refused(t, err, InsideOut, -1, [3]float64{35, 5, 5}, 5)
	sound(t, two, rib)
	_, err = Unite(box, []*mesh.Mesh{rib, meshtest.Flip(rib)})
	refused(t, err, InsideOut, 1, [3]float64{5.5, 8, 20}, 5)
}

// Loops on one triangle of a rib may cross without any of their corners lying
// in the other: two bars laid crosswise leave such a plus on a sheet.
func TestCrossingLoopsOnOneTriangle(t *testing.T) {
	part := meshtest.Join(slab(-20, -2, -3, 20, 2, 3), slab(-2.5, -15, -3.5, 2.5, 15, 3.5))
	for _, sheet := range []*mesh.Mesh{
		slab(-100, -90, 0.2, 110, 120, 0.7),
		meshtest.Turn(slab(-100, -90, 0.2, 110, 120, 0.7), [3]float64{3, 1, 2}, 7),
	} {
		r, err := Unite(part, []*mesh.Mesh{sheet})
		if err != nil {
			t.Fatal(err)
		}
		meshtest.Check(t, r.Mesh)
		if err := untouched(part, r); err != nil {
			t.Error(err)
		}
		// The part passes through itself, and the bar left whole through the
		// sheet; but nothing that was made overlaps in its plane.
		for _, c := range meshtest.Contacts(r.Mesh) {
			if c.Kind == meshtest.Overlap && c.Depth > 1e-4 {
				t.Error(c)
			}
		}
		if len(r.Report.Notes) != 1 || !strings.Contains(r.Report.Notes[0], "overlaps itself") {
			t.Errorf("notes %q", r.Report.Notes)
		}
		// The greater bar alone is cut: the other stays as it came.
		about(t, "overlap", r.Report.Overlap, 30*5*0.5, 1)
	}
}

// Four triangles at an edge: two bodies that touch along it stay two, and are
// paired by angle where a rib cuts the edge.
func TestShellsThatShareAnEdge(t *testing.T) {
	part := meshtest.Join(slab(0, 0, 0, 10, 10, 10), slab(10, 10, 0, 20, 20, 10))
	crowded := 0
	for _, f := range meshtest.Faults(part) {
		if f.Kind == meshtest.Crowded {
			crowded++
		}
	}
	if crowded == 0 {
		t.Fatal("the part has no edge with four triangles")
	}
	for name, rib := range map[string]*mesh.Mesh{
		"through the edge": slab(5, 5, 4, 15, 15, 5),
		"past the edge":    slab(2, 2, 4, 5, 5, 15),
		"along the edge":   slab(9, 9, -3, 11, 11, 13),
	} {
		r, err := Unite(part, []*mesh.Mesh{rib})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, f := range meshtest.Faults(r.Mesh) {
			// What is left of the edge still has four, and its ends are pinched.
			if f.Kind != meshtest.Crowded && f.Kind != meshtest.Pinched || math.Abs(f.At[0]-10) > 1e-6 || math.Abs(f.At[1]-10) > 1e-6 {
				t.Errorf("%s: %v", name, f)
			}
		}
		want := r.Report.PartVolume + r.Report.ToolVolume - r.Report.Overlap
		about(t, name+": volume", meshtest.Volume(r.Mesh), want, 1e-4*r.Report.ToolVolume)
		if err := untouched(part, r); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Triangles without area on a rib's way have no side and are never crossed;
// the cut passes by them.
func TestCollinearTrianglesOnTheWay(t *testing.T) {
	part := slab(0, 0, 0, 20, 20, 20)
	// Put a vertex on every edge of the top, and lay a triangle without area
	// between the halves and the whole.
	for i := range len(part.Triangles) {
		k := part.Triangles[i]
		for e := range 3 {
			u, v, w := k[e], k[(e+1)%3], k[(e+2)%3]
			p, q := part.Vertices[u], part.Vertices[v]
			if p[2] != 20 || q[2] != 20 || p[0] != q[0] && p[1] != q[1] || part.Vertices[w][2] != 20 {
				continue
			}
			n := int32(len(part.Vertices))
			part.Vertices = append(part.Vertices, [3]float32{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2, 20})
			part.Triangles[i] = [3]int32{u, n, w}
			part.Triangles = append(part.Triangles, [3]int32{n, v, w}, [3]int32{u, v, n})
			break
		}
	}
	flat := 0
	for _, f := range meshtest.Faults(part) {
		if f.Kind != meshtest.Degenerate {
			t.Fatal(f)
		}
		flat++
	}
	if flat == 0 {
		t.Fatal("no triangle without area")
	}
	for name, rib := range map[string]*mesh.Mesh{
		"through the middle of an edge": slab(-3, 9, 15, 3, 11, 25),
		"beside the middle":             slab(-3, 4, 15, 3, 5, 25),
		"over two corners":              slab(-3, -3, 15, 3, 25, 25),
		"turned":                        meshtest.Move(meshtest.TurnZ(slab(-8, -8, 15, 8, 8, 25), 33), 1, 9, 0),
	} {
		r, err := Unite(part, []*mesh.Mesh{rib})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		left := 0
		for _, f := range meshtest.Faults(r.Mesh) {
			if f.Kind != meshtest.Degenerate {
				t.Errorf("%s: %v", name, f)
			}
			left++
		}
		if left > flat {
			t.Errorf("%s: %d triangles without area, %d before", name, left, flat)
		}
		for i, src := range r.Source {
			if k := r.Mesh.Triangles[i]; src < 0 && (k[0] == k[1] || k[1] == k[2] || k[2] == k[0]) {
				t.Errorf("%s: a new triangle without area", name)
			}
		}
		want := r.Report.PartVolume + r.Report.ToolVolume - r.Report.Overlap
		about(t, name+": volume", meshtest.Volume(r.Mesh), want, 1e-4*r.Report.ToolVolume)
	}
}

// Ribs that overlap themselves and each other are made one before they meet
// the part: no volume is counted twice.
func TestRibsThatOverlapThemselves(t *testing.T) {
	part := slab(0, 0, 0, 20, 20, 20)
	cross := meshtest.Join(slab(5, 5, 15, 6, 12, 30), slab(2, 7, 22, 12, 8, 24))
	again := meshtest.Join(slab(4, 6, 27, 9, 7, 28), slab(8, 4, 15, 8.5, 9, 29), slab(4.2, 6.2, 27.1, 4.4, 6.4, 32))
	one, err := Combine([]*mesh.Mesh{cross})
	if err != nil {
		t.Fatal(err)
	}
	meshtest.CheckEmbedded(t, one, 1e-5)
	about(t, "cross", meshtest.Volume(one), 7*15+10*2-1*2, 1e-4)
	r := sound(t, part, cross, again)
	meshtest.CheckEmbedded(t, r.Mesh, 1e-5)
	first := 7*15 + 10*2 - 1*2.0
	second := 5*1*1 + 0.5*5*14 - 0.5*1*1 + 0.2*0.2*(32-28.0)
	both := 1*1*1 + 0.5*1*2.0 // the second's bar with the first's post; its post with the first's bar
	about(t, "all ribs", r.Report.ToolVolume, first+second-both, 1e-3)
	// Subtract and Intersect take such a tool too.
	cut, err := Subtract(part, cross)
	if err != nil {
		t.Fatal(err)
	}
	about(t, "cut", meshtest.Volume(cut.Mesh), 8000-7*5, 1e-3)
}

// A rib in a cavity that touches nothing stays, as a shell of its own; in
// solid material it goes.
func TestRibFloatingInACavity(t *testing.T) {
	part := meshtest.Join(slab(0, 0, 0, 30, 30, 30), meshtest.Flip(slab(5, 5, 5, 25, 25, 25)))
	for name, c := range map[string]struct {
		rib   *mesh.Mesh
		shell int
		adds  float64
	}{
		"in the hollow":           {slab(10, 10, 10, 11, 20, 20), 3, 100},
		"across the hollow":       {slab(4, 10, 10, 26, 11, 11), 2, 20},
		"in the wall":             {slab(1, 1, 1, 4, 4, 4), 2, 0},
		"outside":                 {slab(40, 1, 1, 44, 4, 4), 3, 36},
		"from outside to hollow":  {slab(10, 10, 20, 11, 11, 40), 2, 15},
		"fills the hollow itself": {slab(4, 4, 4, 26, 26, 26), 1, 8000},
	} {
		r := sound(t, part, c.rib)
		if n := meshtest.Shells(r.Mesh); n != c.shell {
			t.Errorf("%s: %d shells, want %d", name, n, c.shell)
		}
		about(t, name, meshtest.Volume(r.Mesh)-r.Report.PartVolume, c.adds, 0.05)
	}
}

// A shell of the part that lies wholly inside a rib goes.
func TestPartShellInsideARib(t *testing.T) {
	part := meshtest.Join(slab(0, 0, 0, 20, 20, 20), slab(5, 5, 25, 6, 6, 26), slab(8, 8, 24, 9, 9, 30))
	r := sound(t, part, slab(4, 4, 15, 7, 7, 28))
	if n := meshtest.Shells(r.Mesh); n != 2 {
		t.Errorf("%d shells, want 2", n)
	}
	about(t, "overlap", r.Report.Overlap, 3*3*5+1, 0.05)
}

// Lengths that decide are tied to the last place of the coordinates: a shape
// in metres, in microns, and far from the origin, is united like any other.
func TestScalesAndPlaces(t *testing.T) {
	frame := meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 3, 80), meshtest.Cut(10, 0, 10, 90, 3, 70))
	ribs := []*mesh.Mesh{slab(30, 0.4, 9.9, 30.5, 2.6, 70.1), slab(60, 0.4, 9.9, 60.5, 2.6, 70.1), slab(9.9, 0.42, 40, 90.1, 2.58, 40.4)}
	for name, f := range map[string]func(*mesh.Mesh) *mesh.Mesh{
		"in metres":      func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Scale(m, 1e-3, 1e-3, 1e-3) },
		"in microns":     func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Scale(m, 1e3, 1e3, 1e3) },
		"1 mm in all":    func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Scale(m, 1e-2, 1e-2, 1e-2) },
		"2 m in all":     func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Scale(m, 20, 20, 20) },
		"1,000 mm off":   func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Move(m, 1000, 1000, 1000) },
		"turned, far":    func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Move(meshtest.TurnZ(m, 31), -1000, 2000, 500) },
		"a thousandth":   func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Scale(m, 1e-6, 1e-6, 1e-6) },
		"near underflow": func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Scale(m, 1e-30, 1e-30, 1e-30) },
		"near overflow":  func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Scale(m, 1e9, 1e9, 1e9) },
	} {
		var tools []*mesh.Mesh
		for _, r := range ribs {
			tools = append(tools, f(r))
		}
		r, err := Unite(f(frame), tools)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		meshtest.Check(t, r.Mesh)
		if g := meshtest.Genus(r.Mesh); g != 6 { // two ribs and a brace part the opening into six
			t.Errorf("%s: genus %d, want 6", name, g)
		}
	}
}

func TestNumbersThatAreNone(t *testing.T) {
	box, rib := slab(0, 0, 0, 20, 20, 20), slab(5, 5, 15, 6, 12, 25)
	for _, bad := range []float32{float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1))} {
		spoilt := meshtest.Clone(box)
		spoilt.Vertices[3][1] = bad
		_, err := Unite(spoilt, []*mesh.Mesh{rib})
		var d *DefectError
		if !errors.As(err, &d) || d.Kind != NotFinite || d.Tool != -1 {
			t.Errorf("part with %v: %v", bad, err)
		}
		spoilt = meshtest.Clone(rib)
		spoilt.Vertices[3][1] = bad
		_, err = Unite(box, []*mesh.Mesh{rib, spoilt})
		if !errors.As(err, &d) || d.Kind != NotFinite || d.Tool != 1 {
			t.Errorf("rib with %v: %v", bad, err)
		}
	}
	// Denormal coordinates are numbers like others.
	tiny := math.Float32frombits(3)
	for _, v := range []int{0, 1, 5} {
		part := meshtest.Clone(box)
		for k := range 3 {
			if part.Vertices[v][k] == 0 {
				part.Vertices[v][k] = tiny
			}
		}
		sound(t, part, slab(-1, -1, -2, 3, 3, 3))
		sound(t, part, rib)
	}
	small := meshtest.Clone(rib)
	for i := range small.Vertices {
		for k := range 3 {
			small.Vertices[i][k] *= 1e-42
		}
	}
	sound(t, box, small)
}

// Two bodies that share a whole face hold two triangles back to back there,
// which are to be mended before. A rib across them is refused, with the place;
// one beside them is not.
func TestFacesBackToBack(t *testing.T) {
	part := meshtest.Join(slab(0, 0, 0, 10, 10, 10), slab(10, 0, 0, 20, 10, 10))
	for name, rib := range map[string]*mesh.Mesh{
		"out of the top": slab(8, 4, 4, 12, 6, 12),
		"all round":      slab(5, 4, -2, 15, 4.5, 12),
	} {
		_, err := Unite(part, []*mesh.Mesh{rib})
		if !errors.Is(err, ErrNotConverged) || !strings.Contains(err.Error(), "near (10.0") && !strings.Contains(err.Error(), "near (9.99") {
			t.Errorf("%s: got %v, want %v near x = 10", name, err, ErrNotConverged)
		}
	}
	r, err := Unite(part, []*mesh.Mesh{slab(4, 4, 5, 9, 5, 12)})
	if err != nil {
		t.Fatal(err)
	}
	if had, has := len(meshtest.Faults(part)), len(meshtest.Faults(r.Mesh)); has != had {
		t.Errorf("%d faults, %d before", has, had)
	}
}

// Where no position of a solid gives a sound surface, that is said, with the
// place, after a bounded search that always ends alike: a cut as thin as the
// coordinates are fine leaves two faces with nothing between them.
func TestNoSoundSurface(t *testing.T) {
	box, sheet := slab(0, 0, 0, 20, 20, 20), slab(-1, -1, 10, 21, 21, 10+2e-6)
	_, err := Subtract(box, sheet)
	if !errors.Is(err, ErrNotConverged) || !strings.Contains(err.Error(), ", 10.00") {
		t.Errorf("got %v, want %v with a place near z = 10", err, ErrNotConverged)
	}
	if _, again := Subtract(box, sheet); err == nil || again == nil || again.Error() != err.Error() {
		t.Errorf("%v, and then %v", err, again)
	}
	// A union keeps such faces, which the solid brought along, and says where.
	r, err := Unite(box, []*mesh.Mesh{sheet})
	if err != nil {
		t.Fatal(err)
	}
	meshtest.Check(t, r.Mesh)
	if len(r.Report.Notes) != 1 || !strings.Contains(r.Report.Notes[0], "without thickness near") {
		t.Errorf("notes %q", r.Report.Notes)
	}
}
