package pose

import (
	"context"
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/section"
	"falsework/rib"
	"falsework/span"
)

var ctx = context.Background()

func defaults() Settings {
	s := Settings{Survey: span.Defaults()}
	s.Rib = rib.DefaultSettings(s.Survey)
	return s
}

// portal is a wall of 10 mm with an opening 100 wide and 30 high: standing it
// needs ribs, on its head and lying on its face it needs none, on its side the
// opening is a bridge of 30.
func portal() *mesh.Mesh {
	return meshtest.Blocks(meshtest.Add(0, 0, 0, 120, 10, 50), meshtest.Cut(10, -1, -1, 110, 11, 30))
}

func all(m *mesh.Mesh) []Candidate {
	var list []Candidate
	for _, p := range Axes() {
		list = append(list, Candidate{Pose: p, Mesh: m})
	}
	return list
}

// Each pose lays the side it names on the bed: volume and the area of that
// side are those of the part, whatever the pose.
func TestAxesLieOnTheSideTheyName(t *testing.T) {
	m := portal()
	found, err := Compare(ctx, all(m), defaults(), nil)
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		contact float64
		height  float64
		need    int
	}{
		{2 * 10 * 10, 50, 1},     // two jambs; the opening is over the limit
		{120 * 10, 50, 0},        // the lintel lies on the bed
		{120*50 - 100*30, 10, 0}, // the face
		{120*50 - 100*30, 10, 0}, // its back
		{50 * 10, 120, 0},        // a jamb; the other jamb stands out 30
		{50 * 10, 120, 0},        //
	}
	for i, r := range found {
		w := want[i]
		if r.Pose.Number != i+1 || math.Abs(r.Contact-w.contact) > 0.01*w.contact || math.Abs(r.Size[2]-w.height) > 1e-6 {
			t.Errorf("pose %d (%s): contact %v, height %v; want %v and %v", r.Pose.Number, r.Pose.Down, r.Contact, r.Size[2], w.contact, w.height)
		}
		if i < 4 && r.Need() != w.need {
			t.Errorf("pose %d needs ribs under %d ceilings, want %d", i+1, r.Need(), w.need)
		}
		if math.Abs(r.Mesh.Volume()-m.Volume()) > 1e-3 {
			t.Errorf("pose %d changes the volume", i+1)
		}
		if (r.Plan.Totals.Volume > 0) != (r.Need() > r.Left()) {
			t.Errorf("pose %d: ribs of %v mm3 for %d ceilings", i+1, r.Plan.Totals.Volume, r.Need())
		}
	}
	first := found[0]
	if first.Longest() != 100 || first.Minutes() <= first.Part.Minutes || first.Supported() <= first.Part.Minutes {
		t.Errorf("pose 1: longest %v, %v and %v min of %v", first.Longest(), first.Minutes(), first.Supported(), first.Part.Minutes)
	}
	if found[2].Longest() != 0 || found[2].Minutes() != found[2].Part.Minutes || !found[2].Prints() {
		t.Errorf("pose 3: %+v", found[2])
	}
}

// Transform and Turn say the same.
func TestNumbersAreTurns(t *testing.T) {
	for _, p := range Axes() {
		if Transform(p.Number) != mesh.Turn(p.Turn[0], p.Turn[1], p.Turn[2]) {
			t.Errorf("pose %d", p.Number)
		}
	}
	if !Transform(0).Identity() || !Transform(7).Identity() || !Transform(1).Identity() {
		t.Error("a number that is none turns the part")
	}
}

// The side named lies lowest: a peg on that side is at the bottom.
func TestSidesByAPeg(t *testing.T) {
	pegs := []meshtest.Block{
		meshtest.Add(4, 4, -5, 6, 6, 0), meshtest.Add(4, 4, 10, 6, 6, 15), meshtest.Add(4, -5, 4, 6, 0, 6),
		meshtest.Add(4, 10, 4, 6, 15, 6), meshtest.Add(-5, 4, 4, 0, 6, 6), meshtest.Add(10, 4, 4, 15, 6, 6)}
	for i, peg := range pegs {
		m := meshtest.Blocks(meshtest.Add(0, 0, 0, 10, 10, 10), peg)
		r, err := look(ctx, Candidate{Pose: axes[i], Mesh: m}, defaults())
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.Contact-4) > 1e-6 || r.Size[2] != 15 {
			t.Errorf("pose %d: contact %v, height %v", i+1, r.Contact, r.Size[2])
		}
	}
}

func TestCompareFails(t *testing.T) {
	gone, stop := context.WithCancel(ctx)
	stop()
	if _, err := Compare(gone, all(portal()), defaults(), nil); !errors.Is(err, context.Canceled) {
		t.Errorf("interrupted: %v", err)
	}
	open := meshtest.Clone(portal())
	open.Triangles = open.Triangles[3:]
	var hole *section.OpenError
	if _, err := Compare(ctx, all(open), defaults(), nil); !errors.As(err, &hole) {
		t.Errorf("open: %v", err)
	}
	s := defaults()
	s.Rib.Spacing = 1000
	var wrong *rib.SettingsError
	if _, err := Compare(ctx, all(portal()), s, nil); !errors.As(err, &wrong) {
		t.Errorf("wrong setting: %v", err)
	}
}

func TestFit(t *testing.T) {
	bar := meshtest.Blocks(meshtest.Add(0, 0, 0, 120, 10, 20))
	cases := []struct {
		name string
		m    *mesh.Mesh
		bed  [3]float64
		fits bool
		turn float64
	}{
		{"as it stands", bar, [3]float64{120, 10, 20}, true, 0},
		{"a quarter turn", bar, [3]float64{20, 130, 100}, true, 90},
		{"across the corners", bar, [3]float64{100, 100, 100}, true, 45},
		{"too long", bar, [3]float64{80, 80, 100}, false, 45},
		{"too high", bar, [3]float64{200, 200, 15}, false, 0},
		{"turned already", meshtest.TurnZ(bar, 30), [3]float64{121, 11, 100}, true, 150},
	}
	for _, c := range cases {
		p := Fit(c.m, c.bed)
		if !p.Given || p.Fits != c.fits || math.Abs(p.Turn-c.turn) > 0.01 {
			t.Errorf("%s: %+v, want fits %v at %v", c.name, p, c.fits, c.turn)
		}
	}
	if p := Fit(bar, [3]float64{80, 80, 15}); p.Over[2] != 5 || p.Over[0] < 11 || p.Over[0] > 12 {
		// 130/sqrt(2) - 80 across the corners.
		t.Errorf("over %v", p.Over)
	}
	if Fit(bar, [3]float64{}).Given {
		t.Error("a bed of zeros is a bed")
	}
}

// The extent of the outline is that of all points, at any turn, and the best
// turn is no worse than any of 720.
func TestOutlineAgainstAllPoints(t *testing.T) {
	property.Check(t, func(t *rapid.T) {
		m := &mesh.Mesh{}
		for range rapid.IntRange(1, 40).Draw(t, "points") {
			m.Vertices = append(m.Vertices, [3]float32{
				float32(rapid.IntRange(-20, 20).Draw(t, "x")), float32(rapid.IntRange(-20, 20).Draw(t, "y")), 0})
		}
		o := outline(m)
		every := make(hull, 0, len(m.Vertices))
		for _, v := range m.Vertices {
			every = append(every, [2]float64{float64(v[0]), float64(v[1])})
		}
		bed := [3]float64{rapid.Float64Range(5, 50).Draw(t, "bed x"), rapid.Float64Range(5, 50).Draw(t, "bed y"), 10}
		least := math.Inf(1)
		for i := range 720 {
			a := float64(i) / 4
			w, d := every.size(a)
			if len(o) > 0 {
				ow, od := o.size(a)
				if math.Abs(ow-w) > 1e-9 || math.Abs(od-d) > 1e-9 {
					t.Fatalf("at %v the outline is %v x %v, the points %v x %v", a, ow, od, w, d)
				}
			}
			least = min(least, max(w-bed[0], d-bed[1]))
		}
		if len(o) == 0 {
			return // a single point
		}
		if got := o.over(o.best(bed), bed); got > least+1e-3 {
			t.Fatalf("best turn passes the bed by %v, another by %v", got, least)
		}
	})
}
