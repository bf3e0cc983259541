package mesh_test

import (
	"math"
	"slices"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

func TestTurnAgainstValidator(t *testing.T) {
	m := meshtest.RandomHouse(1).Mesh
	x, y, z := [3]float64{1, 0, 0}, [3]float64{0, 1, 0}, [3]float64{0, 0, 1}
	for _, a := range [][3]float64{{30, 0, 0}, {0, 40, 0}, {0, 0, 50}, {10, 20, 30}, {-100, 200, 333}} {
		got := mesh.Turn(a[0], a[1], a[2]).Apply(m)
		want := meshtest.Turn(meshtest.Turn(meshtest.Turn(m, x, a[0]), y, a[1]), z, a[2])
		for v := range want.Vertices {
			for i := range 3 {
				if d := math.Abs(float64(got.Vertices[v][i] - want.Vertices[v][i])); d > 1e-4 {
					t.Fatalf("turn by %v: vertex %d off by %g", a, v, d)
				}
			}
		}
		meshtest.Check(t, got)
	}
}

func TestQuarterTurnsAreExact(t *testing.T) {
	m := meshtest.RandomHouse(1).Mesh
	for _, turn := range []mesh.Transform{mesh.Turn(90, 0, 0), mesh.Turn(0, -90, 0), mesh.Turn(0, 0, 450), mesh.Turn(180, 90, 0)} {
		got := m
		for range 4 {
			got = turn.Apply(got)
		}
		if !slices.Equal(got.Vertices, m.Vertices) {
			t.Errorf("four turns by %v move the part", turn.Rows)
		}
	}
	p := mesh.Turn(0, 0, 90).Apply(&mesh.Mesh{Vertices: [][3]float32{{1, 2, 3}}})
	if p.Vertices[0] != [3]float32{-2, 1, 3} {
		t.Errorf("(1, 2, 3) goes to %v", p.Vertices[0])
	}
}

func TestUnits(t *testing.T) {
	m := meshtest.Blocks(meshtest.Add(0, 0, 0, 1, 2, 3))
	for unit, want := range map[string]float64{"mm": 6, "cm": 6e3, "m": 6e9, "in": 6 * 25.4 * 25.4 * 25.4} {
		f, err := mesh.Unit(unit)
		if err != nil {
			t.Fatal(err)
		}
		if v := mesh.Turn(0, 0, 0).Scaled(f).Apply(m).Volume(); math.Abs(v-want) > 1e-6*want {
			t.Errorf("%s: volume %g, want %g", unit, v, want)
		}
	}
	if _, err := mesh.Unit("furlong"); err == nil {
		t.Error("no error for a unit that is not known")
	}
}

func TestApplyKeepsTheMeshWelded(t *testing.T) {
	// Two vertices a unit in the last place apart fall together when moved where the grid is coarser.
	m := &mesh.Mesh{
		Vertices:  [][3]float32{{1, 0, 0}, {math.Nextafter32(1, 2), 0, 0}, {0, 1e7, 0}},
		Triangles: [][3]int32{{0, 1, 2}},
	}
	got := mesh.Turn(0, 0, 45).Apply(m)
	if len(got.Vertices) == 3 && got.Vertices[0] == got.Vertices[1] {
		t.Error("equal vertices left apart")
	}
	if mesh.Turn(0, 0, 360).Apply(m) != m {
		t.Error("a full turn is not nothing")
	}
	for _, p := range mesh.Turn(0, 0, 180).Apply(m).Vertices {
		for _, x := range p {
			if x == 0 && math.Signbit(float64(x)) {
				t.Error("-0 occurs")
			}
		}
	}
}
