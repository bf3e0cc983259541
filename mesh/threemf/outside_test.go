package threemf

import (
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/stl"
)

// lib3mf runs the check of .ci/outside/read3mf.cpp, which reads a package with
// the reference library of the 3MF Consortium (lib3mf 1.8.1 of Debian, in
// strict mode). It returns what the library says and the build as it wrote it
// in STL, or its complaint.
func lib3mf(t *testing.T, data []byte) (lines []string, build *mesh.Mesh, complaint string) {
	t.Helper()
	home := os.Getenv("FALSEWORK_OUTSIDE")
	tool := filepath.Join(home, "read3mf")
	if _, err := os.Stat(tool); home == "" || err != nil {
		t.Skip("lib3mf was not asked: no read3mf in the folder that FALSEWORK_OUTSIDE names; .ci/run outside makes it")
	}
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.3mf"), filepath.Join(dir, "out.stl")
	if err := os.WriteFile(in, data, 0o666); err != nil {
		t.Fatal(err)
	}
	var said, errs strings.Builder
	c := exec.CommandContext(context.Background(), tool, in, out)
	c.Stdout, c.Stderr = &said, &errs
	if err := c.Run(); err != nil {
		return nil, nil, strings.TrimSpace(errs.String() + " " + err.Error())
	}
	f, err := stl.ReadFile(bg, out)
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSpace(said.String()), "\n"), f.Mesh, ""
}

// sameSoup tells whether two meshes have the same triangles in the same order,
// to a share of the size; 0 asks for the same bits.
func sameSoup(a, b *mesh.Mesh, share float64) error {
	if len(a.Triangles) != len(b.Triangles) {
		return fmt.Errorf("%d triangles and %d", len(a.Triangles), len(b.Triangles))
	}
	slack := 0.0
	for _, x := range a.Bounds().Max {
		slack = max(slack, share*math.Abs(x))
	}
	for t := range a.Triangles {
		for c := range 3 {
			p, q := a.Corner(t, c), b.Corner(t, c)
			for i := range p {
				if d := math.Abs(float64(p[i]) - float64(q[i])); d > slack {
					return fmt.Errorf("triangle %d, corner %d: %v and %v", t, c, p, q)
				}
			}
		}
	}
	return nil
}

// What is written here the library reads without a warning, as the same
// objects, and writes as the same triangles bit for bit.
func TestLibraryReadsWhatIsWritten(t *testing.T) {
	odd := cube()
	for i, x := range []float32{0.1, 1.0 / 3, -1e-20, 9.9999e8, 16777217, 1.0000001, -0.30000001, 7} {
		odd.Vertices[i] = [3]float32{x, float32(i), -x}
	}
	ring := meshtest.Turn(meshtest.Ring(10, 3, 40), [3]float64{1, 2, 3}, 50)
	cases := [][]Object{{{"cube", cube()}}, {{"odd", odd}}, {{"ring", ring}}, {{"a <b> & c's", cube()}, {"Rippen Gehäuse", ring}}, {{"a", cube()}, {"b", cube()}, {"c", ring}}}
	for seed := range uint64(6) {
		cases = append(cases, []Object{{"house", meshtest.RandomHouse(seed).Mesh}})
	}
	for _, objects := range cases {
		data := written(t, objects...)
		lines, build, complaint := lib3mf(t, data)
		if complaint != "" {
			t.Errorf("%s: %s", objects[0].Name, complaint)
			continue
		}
		want := []string{"item"}
		for _, o := range objects {
			manifold := 1
			if a, err := o.Mesh.Audit(bg); err != nil || a.Fault(mesh.NonManifold) != nil {
				manifold = 0
			}
			want = append(want, "object "+plainName(o.Name), fmt.Sprintf("mesh %d %d %d", len(o.Mesh.Vertices), len(o.Mesh.Triangles), manifold))
		}
		if n := len(objects); n > 1 {
			var names []string
			for _, o := range objects {
				names = append(names, plainName(o.Name))
			}
			want = append(want, "object "+strings.Join(names, " with "), fmt.Sprintf("components %d", n))
		}
		if got := strings.Join(lines, "|"); got != strings.Join(want, "|") {
			t.Errorf("the library says\n%s\nwant\n%s", got, strings.Join(want, "|"))
		}
		if err := sameSoup(parsed(t, data).Mesh, build, 0); err != nil {
			t.Errorf("%s: %v", objects[0].Name, err)
		}
	}
}

// Transforms, components and mirrors come out as the library has them. It
// writes lengths in the file's unit, and multiplies in float32.
func TestLibraryPlacesObjectsAlike(t *testing.T) {
	turn := `transform="0.6 0.8 0 -0.8 0.6 0 0 0 1 12.5 -3.25 7"`
	mirror := `transform="-1 0 0 0 1 0 0 0 1 5 0 0"`
	shear := `transform="1 0 0 0.5 2 0 0.25 0 1.5 0 1 2"`
	two := object(1, tetra("2")) + `<object id="2" name="fin" type="solidsupport">` + tetra("1") + "</object>"
	for name, text := range map[string]string{
		"turned":               modelText("", two, item(1, turn)),
		"sheared":              modelText("", two, item(1, shear)),
		"two items":            modelText("", two, item(1, turn)+item(1, "")),
		"components":           modelText("", two+object(3, components(component(1, turn), component(1, shear))), item(3, "")),
		"components in place":  modelText("", two+object(3, components(component(1, shear))), item(3, turn)),
		"two levels":           modelText("", two+object(3, components(component(1, shear)))+object(4, components(component(3, turn), component(1, ""))), item(4, shear)),
		"mirrored":             modelText("", two, item(1, mirror)),
		"mirrored twice":       modelText("", two+object(3, components(component(1, mirror))), item(3, mirror)),
		"comments and foreign": modelText(`xmlns:q="urn:q"`, "<!-- a -->"+two, item(1, turn)),
	} {
		data := holding(t, text)
		_, build, complaint := lib3mf(t, data)
		if complaint != "" {
			t.Errorf("%s: %s", name, complaint)
			continue
		}
		ours := parsed(t, data).Mesh
		if strings.HasPrefix(name, "mirrored") {
			// The library keeps the order of corners; the solid is the same but
			// for its outside, which is ours to know.
			a, _ := ours.Audit(bg)
			b, _ := build.Audit(bg)
			if a.Bounds != b.Bounds || math.Abs(a.Volume-8./6) > 1e-6 || math.Abs(math.Abs(b.Volume)-a.Volume) > 1e-6 {
				t.Errorf("%s: %v of volume %g, the library's %v of %g", name, a.Bounds, a.Volume, b.Bounds, b.Volume)
			}
			continue
		}
		if err := sameSoup(ours, build, 1e-6); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What is refused by a clause here the library refuses too, where it looks at
// the matter at all.
func TestLibraryRefusesAlike(t *testing.T) {
	one := object(1, tetra("2"))
	swap := func(old, by string) string { return strings.Replace(simple(), old, by, 1) }
	for name, text := range map[string]string{
		"another root":     swap(coreSpace, "urn:other"),
		"unknown unit":     modelText(`unit="furlong"`, one, item(1, "")),
		"number twice":     modelText("", one+one, item(1, "")),
		"vertex without z": swap(` z="0"`, ""),
		"index beyond":     swap(`v1="1"`, `v1="4"`),
		"vertex twice":     swap(`v1="1" v2="2"`, `v1="2" v2="2"`),
		"of itself":        modelText("", one+object(2, components(component(2, ""))), item(2, "")),
		"no such item":     modelText("", one, item(3, "")),
		"short transform":  modelText("", one, item(1, `transform="1 0 0 0 1 0 0 0 1 0 0"`)),
		"item of other":    modelText("", `<object id="1" type="other">`+tetra("2")+"</object>", item(1, "")),
	} {
		data := holding(t, text)
		if e := refused(t, data); e == nil {
			t.Errorf("%s: read here", name)
		}
		if _, _, complaint := lib3mf(t, data); complaint == "" {
			t.Errorf("%s: read by the library", name)
		}
	}
}
