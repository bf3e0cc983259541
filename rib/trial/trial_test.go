package trial

import (
	"context"
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/outside"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

var (
	ctx      = context.Background()
	settings = span.Defaults()
	material = rib.DefaultSettings(settings).Material
)

// doorway is a wall of 3 mm with an opening 120 wide and 60 high, two ribs of
// 0.5 mm in it and a brace of two layers at 30 mm.
func doorway() *mesh.Mesh {
	return meshtest.Blocks(
		meshtest.Add(0, 0, 0, 160, 3, 80), meshtest.Cut(20, -1, -1, 140, 4, 60),
		meshtest.Add(59.5, 0.4, 0, 60, 2.6, 60.1), meshtest.Add(99.5, 0.4, 0, 100, 2.6, 60.1),
		meshtest.Add(19.9, 0.5, 30, 140.1, 2.5, 30.4))
}

func cut(t *testing.T, m *mesh.Mesh, r Region) *Piece {
	t.Helper()
	p, err := Cut(ctx, m, r, settings, material)
	if err != nil {
		t.Fatal(err)
	}
	meshtest.Check(t, p.Mesh)
	if low := p.Mesh.Bounds().Min[2]; low != 0 {
		t.Errorf("the piece stands at %v", low)
	}
	return p
}

func TestBelowHasTheVolumeOfItsBlocks(t *testing.T) {
	p := cut(t, doorway(), Below(doorway().Bounds(), 20))
	// Two jambs and two ribs, less the inset of the cut.
	want := (2*20*3 + 2*0.5*2.2) * (20 - inset*settings.Layer)
	if v := meshtest.Volume(p.Mesh); math.Abs(v-want) > 1e-3*want {
		t.Errorf("volume %v, want %v", v, want)
	}
	if n := meshtest.Shells(p.Mesh); n != 4 {
		t.Errorf("%d shells, want 4", n)
	}
	if len(p.Hanging()) != 0 || p.Reach() != 0 {
		t.Errorf("hanging %v", p.Hanging())
	}
	if !(p.Effort.Minutes > 0 && p.Effort.Minutes < p.Whole.Minutes && p.Effort.Mass < p.Whole.Mass) {
		t.Errorf("the piece takes %+v, the part %+v", p.Effort, p.Whole)
	}
}

// A slab that begins above the brace keeps the lintel carried by both ribs;
// one that holds the brace alone hangs nowhere, either.
func TestBetween(t *testing.T) {
	m := doorway()
	p := cut(t, m, Between(m.Bounds(), 50, 70))
	// Ribs at 59.5 to 60 and 99.5 to 100: bays of 39.5, 39.5 and 40.
	if math.Abs(p.Reach()-20) > 0.1 || len(p.Hanging()) != 0 || len(p.Survey.Ceilings) != 1 {
		t.Errorf("reach %v, hanging %v", p.Reach(), p.Hanging())
	}
	w := p.Survey.Ceilings[0]
	if math.Abs(w.Z[0]-10) > 0.05 || math.Abs(p.From-50) > 0.05 || math.Abs(p.To-70) > 0.05 {
		t.Errorf("ceiling at %v, from %v to %v", w.Z, p.From, p.To)
	}
	cut(t, m, Between(m.Bounds(), 25, 35))
}

// Heights are moved to boundaries of layers: a slab asked for at 49.93 begins
// at 49.8, and its ceiling is 51 layers up.
func TestLayersOfThePieceAreThoseOfThePart(t *testing.T) {
	m := doorway()
	p := cut(t, m, Between(m.Bounds(), 49.93, 70.07))
	if math.Abs(p.From-49.8) > 0.02 || math.Abs(p.To-70.2) > 0.02 {
		t.Errorf("from %v to %v", p.From, p.To)
	}
	s := settings
	s.FirstLayer = 0.3
	for _, c := range []struct{ z, low, high float64 }{{50, 50, 50.1}, {0.1, 0, 0.3}, {49.93, 49.8, 50.1}} {
		r := Between(mesh.Box{}, c.z, c.z).layered(0, s)
		if math.Abs(r.Min[2]-c.low) > 1e-9 || math.Abs(r.Max[2]-c.high) > 1e-9 {
			t.Errorf("%v: from %v to %v, want %v to %v", c.z, r.Min[2], r.Max[2], c.low, c.high)
		}
	}
}

// A box round the lintel that leaves one rib out hangs, and says so.
func TestWhatTheCutLeavesHangingIsNamed(t *testing.T) {
	m := doorway()
	p := cut(t, m, Region{[3]float64{-1, -1, 40}, [3]float64{161, 4, 81}})
	if len(p.Hanging()) != 0 {
		t.Errorf("the whole lintel hangs: %v", p.Hanging())
	}
	p = cut(t, m, Region{[3]float64{-1, -1, 40}, [3]float64{90, 4, 81}})
	if len(p.Hanging()) != 1 || p.Hanging()[0].Kind != span.Ledge {
		t.Errorf("a lintel cut off at 90 mm: %v", p.Hanging())
	}
}

// A slab that begins between two braces leaves nothing of the upper one when
// no rib or jamb of it is in the box.
func TestLoosePiecesAreLeftOut(t *testing.T) {
	m := meshtest.Blocks(
		meshtest.Add(0, 0, 0, 100, 3, 80), meshtest.Cut(20, -1, -1, 80, 4, 60),
		meshtest.Add(19.9, 0.5, 30, 80.1, 2.5, 30.4), meshtest.Add(39.5, 0.4, 0, 40, 2.6, 60.1))
	p := cut(t, m, Region{[3]float64{10, -1, 20}, [3]float64{39, 4, 31}})
	if p.Loose != 0 || meshtest.Shells(p.Mesh) != 1 {
		t.Errorf("with a jamb: %d loose, %d shells", p.Loose, meshtest.Shells(p.Mesh))
	}
	m = meshtest.Join(m, meshtest.Move(meshtest.Blocks(meshtest.Add(0, 0, 0, 4, 2, 4)), 60, 0.5, 26))
	p = cut(t, m, Region{[3]float64{10, -1, 20}, [3]float64{70, 4, 29.8}})
	if p.Loose != 1 || meshtest.Shells(p.Mesh) != 2 || len(p.Hanging()) != 0 {
		t.Errorf("%d loose, %d shells, hanging %v", p.Loose, meshtest.Shells(p.Mesh), p.Hanging())
	}
}

// Where a face of the part lies on the very height or side of the cut, no skin
// stays behind.
func TestFlushCutsLeaveNoSkin(t *testing.T) {
	m := doorway()
	for _, c := range []struct {
		name string
		r    Region
		want float64 // lengths of its box
	}{
		{"from the lintel up", Between(m.Bounds(), 60, 90), 20},
		{"up to the lintel", Between(m.Bounds(), 40, 60), 20},
		{"at the brace", Between(m.Bounds(), 30, 60), 30},
		{"over the brace", Between(m.Bounds(), 30.4, 60), 29.6},
	} {
		p := cut(t, m, c.r)
		if got := p.Mesh.Bounds().Size()[2]; math.Abs(got-c.want) > 0.03 {
			t.Errorf("%s: %v high, want %v", c.name, got, c.want)
		}
	}
	side := cut(t, m, Region{[3]float64{20, -9, -9}, [3]float64{140, 9, 30}})
	if n := meshtest.Shells(side.Mesh); n != 2 {
		t.Errorf("between the jambs %d shells, want the two ribs", n)
	}
}

func TestCutRefuses(t *testing.T) {
	m := doorway()
	b := m.Bounds()
	var wrong *RegionError
	for _, c := range []struct {
		r    Region
		want string
	}{
		{Below(b, 200), "whole part"},
		{Below(b, -3), "misses the part"},
		{Between(b, 90, 95), "misses the part"},
		{Between(b, 50, 40), "empty"},
		{Between(b, math.NaN(), 40), "empty"},
		{Region{[3]float64{21, -1, 10}, [3]float64{50, 4, 20}}, "nothing of the part"},
	} {
		if _, err := Cut(ctx, m, c.r, settings, material); !errors.As(err, &wrong) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v: %v, want %q", c.r, err, c.want)
		}
	}
	skin := meshtest.Blocks(meshtest.Add(0, 0, 0, 50, 0.1, 50))
	if _, err := Cut(ctx, skin, Below(skin.Bounds(), 20), settings, material); !errors.As(err, &wrong) || !strings.Contains(err.Error(), "thinner than a nozzle of 0.4 mm") {
		t.Errorf("a skin: %v", err)
	}
	open := meshtest.Clone(m)
	open.Triangles = open.Triangles[1:]
	var defect *union.DefectError
	refused := 0
	for z := 5.0; z < 80; z += 10 {
		p, err := Cut(ctx, open, Below(b, z), settings, material)
		switch {
		case errors.As(err, &defect) || errors.Is(err, ErrOpen):
			refused++
		case err != nil:
			t.Errorf("below %g of an open part: %v", z, err)
		default:
			meshtest.Check(t, p.Mesh) // the hole lies elsewhere
		}
	}
	if refused == 0 {
		t.Error("no piece of an open part was refused")
	}
}

// housing is a random housing with webs in its openings, as a ribbed part.
func housing(t *testing.T, seed uint64) *mesh.Mesh {
	t.Helper()
	h := meshtest.RandomHouse(seed)
	var tools []*mesh.Mesh
	for _, o := range h.Front {
		x := (o.Min[0] + o.Max[0]) / 2
		tools = append(tools, meshtest.Blocks(meshtest.Add(x-0.25, 0.4, o.Min[2]-0.1, x+0.25, h.Wall-0.4, o.Max[2]+0.1)))
	}
	if len(tools) == 0 {
		return h.Mesh
	}
	r, err := union.Unite(h.Mesh, tools)
	if err != nil {
		t.Fatal(err)
	}
	return r.Mesh
}

// regions are cuts of all kinds through a part.
func regions(b mesh.Box) map[string]Region {
	s := b.Size()
	return map[string]Region{
		"below":   Below(b, s[2]*0.4),
		"between": Between(b, s[2]*0.3, s[2]*0.55),
		"around": Around([2]float64{b.Min[0] + s[0]*0.2, b.Min[1]}, [2]float64{b.Min[0] + s[0]*0.6, b.Min[1] + s[1]*0.3},
			[2]float64{b.Min[2] + s[2]*0.5, b.Min[2] + s[2]*0.5}, s[2]*0.2),
	}
}

// The library's volumes add up: what part and box share is what they hold
// less their union. The piece is sound before it, too.
func TestPiecesAgainstLibrary(t *testing.T) {
	var cases []outside.Case
	for seed := uint64(1); seed <= 4; seed++ {
		m := housing(t, seed)
		for _, name := range []string{"below", "between", "around"} {
			r := regions(m.Bounds())[name]
			box, _, err := r.layered(m.Bounds().Min[2], settings).clip(m.Bounds(), inset*settings.Layer)
			if err != nil {
				t.Fatal(err)
			}
			res, err := union.Intersect(m, blank(box))
			if err != nil {
				t.Fatal(err)
			}
			cases = append(cases, outside.Case{Name: name + "-" + string('0'+rune(seed)), Part: m, Tools: []*mesh.Mesh{blank(box)}, Ribbed: res.Mesh})
		}
	}
	for _, a := range outside.Ask(t, filepath.Join("testdata", "outside.json"), cases) {
		want := a.Part.Volume + a.Ribs.Volume - a.Union.Volume
		if a.Error != "" || a.Ribbed.Status != "NoError" || math.Abs(a.Ribbed.Volume-want) > 1e-5*a.Part.Volume {
			t.Errorf("%s: piece %+v, the library shares %.4f mm3 (%s)", a.Name, a.Ribbed, want, a.Error)
		}
	}
}

// Pieces of random housings are sound, wherever they are cut.
func TestRandomPieces(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		m := housing(t, seed)
		for name, r := range regions(m.Bounds()) {
			p := cut(t, m, r)
			if t.Failed() {
				t.Fatalf("housing %d, %s", seed, name)
			}
			if got := p.Mesh.Bounds().Size()[2]; math.Abs(got-(p.To-p.From)) > 1e-3 {
				t.Errorf("housing %d, %s: %v high, from %v to %v", seed, name, got, p.From, p.To)
			}
		}
	}
}
