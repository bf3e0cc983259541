package union

import (
	"errors"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// A broken tool is named by its number, wherever it is found broken.
func TestBrokenToolsAreNamed(t *testing.T) {
	part := slab(0, 0, 0, 20, 20, 20)
	good := func() *mesh.Mesh { return slab(5, 5, 15, 6, 12, 25) }
	open := good()
	open.Triangles = open.Triangles[1:]
	doubled := good()
	doubled.Triangles = append(doubled.Triangles, doubled.Triangles[0])
	turned := good()
	k := turned.Triangles[0]
	turned.Triangles[0] = [3]int32{k[0], k[2], k[1]}
	// A hollow that no body of the tool holds.
	stray := meshtest.Join(slab(5, 5, 15, 9, 12, 25), meshtest.Flip(slab(8, 6, 30, 9, 7, 31)))
	for _, c := range []struct {
		name string
		tool *mesh.Mesh
		kind Defect
	}{
		{"open", open, OpenEdge},
		{"doubled triangle", doubled, NonManifoldEdge},
		{"turned triangle", turned, NonManifoldEdge},
		{"inside out", meshtest.Flip(good()), InsideOut},
		{"a shell inside out", stray, InsideOut},
	} {
		t.Run(c.name, func(t *testing.T) {
			at := [3]float64{7, 8.5, 23}
			_, err := Unite(part, []*mesh.Mesh{good(), c.tool, good()})
			refused(t, err, c.kind, 1, at, 8.1)
			if !strings.HasPrefix(err.Error(), "added solid 2 has ") {
				t.Error(err)
			}
			_, err = Combine([]*mesh.Mesh{good(), good(), c.tool})
			refused(t, err, c.kind, 2, at, 8.1)
			_, err = Subtract(part, c.tool)
			refused(t, err, c.kind, 0, at, 8.1)
			_, err = Intersect(part, c.tool)
			refused(t, err, c.kind, 0, at, 8.1)
		})
	}
}

// What is found only when solids meet is put to the operand it is found in.
func TestBlame(t *testing.T) {
	tools := []*mesh.Mesh{slab(0, 0, 0, 1, 1, 1), {}, slab(5, 0, 0, 9, 1, 1)}
	index := func(at [3]float64) int { return nearest(tools, at) }
	for _, c := range []struct {
		own  int
		at   [3]float64
		tool int
	}{{0, [3]float64{8, 0, 0}, -1}, {1, [3]float64{8, 0.5, 0.5}, 2}, {1, [3]float64{-3, 0, 0}, 0}, {1, [3]float64{2.9, 0, 0}, 0}, {1, [3]float64{3.1, 0, 0}, 2}} {
		err := blame(&broken{Pierced, c.own, c.at}, index)
		refused(t, err, Pierced, c.tool, c.at, 0)
	}
	if err := blame(ErrNotConverged, index); !errors.Is(err, ErrNotConverged) {
		t.Error(err)
	}
	if err := blame(nil, index); err != nil {
		t.Error(err)
	}
}

// A tool that is one shell and passes through itself cannot be split into
// bodies: refused, with its number, where it would be cut.
func TestToolThatPassesThroughItself(t *testing.T) {
	// A strip that runs round and back through its own beginning.
	loop := meshtest.Prism(0, 4, [][2]float64{{0, 0}, {30, 0}, {30, 20}, {10, 20}, {10, -10}, {12, -10}, {12, 18}, {28, 18}, {28, 2}, {0, 2}})
	if n := len(meshtest.Contacts(loop)); n == 0 {
		t.Fatal("the strip does not pass through itself")
	}
	good := slab(40, 40, -5, 45, 45, 10)
	_, err := Unite(slab(-20, -20, -9, 60, 60, 2), []*mesh.Mesh{good, loop})
	refused(t, err, Pierced, 1, [3]float64{11, 1, 2}, 3.1)
}

// Rounding may fold a tool by some units in the last place of the triangles
// there, and that is no overlap. What is wider is one, though it lie at the
// origin, where coordinates are finest.
func TestOverlapAtTheOrigin(t *testing.T) {
	// A ring that is cut open, one of its ends then drawn past the other by w.
	ring := func(w float64) *mesh.Mesh {
		m := meshtest.Prism(-2, 2, [][2]float64{
			{-1, 1}, {-10, 1}, {-10, -19}, {10, -19}, {10, 1}, {0, 1},
			{0, -1}, {8, -1}, {8, -17}, {-8, -17}, {-8, -1}, {-1, -1}})
		for i := range m.Vertices {
			if m.Vertices[i][0] == -1 {
				m.Vertices[i][0] = float32(w)
			}
		}
		return m
	}
	part := slab(-30, -30, -9, 30, 30, 0.5)
	for _, w := range []float64{1, 0.1, 0.01, 0.001} {
		tool := ring(w)
		if len(meshtest.Contacts(tool)) == 0 {
			t.Fatalf("the ring's ends do not meet by %g", w)
		}
		_, err := Unite(part, []*mesh.Mesh{tool})
		refused(t, err, Pierced, 0, [3]float64{w / 2, 0, 0.5}, 1.7+w)
		_, err = Subtract(part, tool)
		refused(t, err, Pierced, 0, [3]float64{w / 2, 0, 0.5}, 1.7+w)
		_, err = Intersect(part, tool)
		refused(t, err, Pierced, 0, [3]float64{w / 2, 0, 0.5}, 1.7+w)
	}
}

// A pit that comes out below a solid shows on a sheet there as a loop that
// turns the wrong way, a leg that stands in another one as a loop too many.
// However narrow, they are no folds until they are as narrow as rounding
// leaves them.
func TestLoopsThatAreNoFolds(t *testing.T) {
	part := slab(-30, -30, -9, 30, 30, -1)
	for _, w := range []float64{1, 0.1, 0.01, 0.001} {
		pit := meshtest.Blocks(meshtest.Add(-5, -5, 0, 5, 5, 10), meshtest.Cut(0, -2, 5, w, 2, 10))
		for i := range pit.Vertices {
			if pit.Vertices[i][2] == 5 {
				pit.Vertices[i][2] = -3
			}
		}
		leg := meshtest.Blocks(meshtest.Add(-5, -5, -4, 5, 5, 8), meshtest.Add(-5, -5, 8, 25, 5, 10), meshtest.Add(20, -2, -4, 20+w, 2, 8))
		for i := range leg.Vertices {
			if v := &leg.Vertices[i]; v[2] < 8 && v[0] > 5 {
				v[0] -= 24 // leans, and is in the other leg at the sheet
			}
		}
		for name, tool := range map[string]*mesh.Mesh{"pit": pit, "leg": leg} {
			if len(meshtest.Contacts(tool)) == 0 {
				t.Fatalf("%s %g does not pass through itself", name, w)
			}
			_, err := Unite(part, []*mesh.Mesh{tool})
			refused(t, err, Pierced, 0, [3]float64{0, 0, -1}, 8)
			_, err = Subtract(part, tool)
			refused(t, err, Pierced, 0, [3]float64{0, 0, -1}, 8)
		}
	}
}
