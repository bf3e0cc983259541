package union

import (
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// without drops the triangles that lie wholly in a box.
func without(m *mesh.Mesh, lo, hi [3]float32) *mesh.Mesh {
	out := &mesh.Mesh{Vertices: m.Vertices}
	for t, k := range m.Triangles {
		in := true
		for c := range 3 {
			for d, x := range m.Corner(t, c) {
				in = in && lo[d] <= x && x <= hi[d]
			}
		}
		if !in {
			out.Triangles = append(out.Triangles, k)
		}
	}
	return out
}

// The number of triangles over a solid does not tell whether it is inside when
// one of them is missing: a lid open over a rib, a floor open under it.
func TestOpenPartAwayFromTheRib(t *testing.T) {
	hollow := func() *mesh.Mesh {
		return meshtest.Subdivide(meshtest.Blocks(meshtest.Add(0, 0, 0, 40, 40, 40), meshtest.Cut(8, 8, 8, 32, 32, 32)), 2)
	}
	ribs := map[string]struct {
		rib  *mesh.Mesh
		adds float64
	}{
		"in the hollow, touching nothing": {slab(19, 18, 12, 20, 22, 20), 32},
		"in the wall, touching nothing":   {slab(2, 17, 12, 3, 22, 20), 0},
		"in the roof under the hole":      {slab(19, 18, 33.5, 20, 22, 35), 0},
		"from floor to roof":              {slab(19, 18, 7, 20, 22, 33), 1 * 4 * 24},
		"outside over the hole":           {slab(19, 18, 50, 20, 22, 60), 40},
		"through the side wall":           {slab(-5, 17, 12, 12, 22, 14), 9 * 10},
		"in the floor over the hole":      {slab(3, 3, 2, 4, 4, 4), 0},
		"round the part":                  {meshtest.Blocks(meshtest.Add(-9, -9, 18, 49, 49, 22), meshtest.Cut(-4, -4, 18, 44, 44, 22)), 4 * (58*58 - 48*48)},
	}
	parts := map[string]*mesh.Mesh{
		"closed":            hollow(),
		"open in the roof":  without(hollow(), [3]float32{13, 13, 40}, [3]float32{27, 27, 40}),
		"open at the inner": without(hollow(), [3]float32{8, 8, 32}, [3]float32{14, 32, 32}),
		"open in two":       without(without(hollow(), [3]float32{13, 13, 40}, [3]float32{27, 27, 40}), [3]float32{0, 0, 0}, [3]float32{40, 10, 0}),
	}
	for pn, part := range parts {
		rim := 0
		for _, f := range meshtest.Faults(part) {
			if f.Kind == meshtest.OpenEdge {
				rim++
			}
		}
		if (rim == 0) != (pn == "closed") {
			t.Fatalf("%s: %d open edges", pn, rim)
		}
		for rn, c := range ribs {
			r, err := Unite(part, []*mesh.Mesh{c.rib})
			if err != nil {
				t.Errorf("%s, %s: %v", pn, rn, err)
				continue
			}
			if got := r.Report.ToolVolume - r.Report.Overlap; math.Abs(got-c.adds) > 0.5 {
				t.Errorf("%s, %s: adds %g, want %g", pn, rn, got, c.adds)
			}
			open := rim
			for _, f := range meshtest.Faults(r.Mesh) {
				if f.Kind != meshtest.OpenEdge {
					t.Errorf("%s, %s: %v", pn, rn, f)
				}
				open--
			}
			if open != 0 {
				t.Errorf("%s, %s: %d open edges less than before", pn, rn, open)
			}
		}
	}
}

// Where a rib comes into the reach of an opening nothing tells what is inside:
// refused, with the nearest open edge.
func TestOpenPartAtTheRib(t *testing.T) {
	part := without(meshtest.Subdivide(slab(0, 0, 0, 40, 40, 40), 3), [3]float32{15, 15, 40}, [3]float32{25, 25, 40})
	for name, rib := range map[string]*mesh.Mesh{
		"through the opening":    slab(17, 17, 30, 18, 22, 50),
		"across its edge":        slab(23, 17, 35, 30, 22, 45),
		"over all of it":         slab(5, 5, 35, 35, 35, 45),
		"in the opening's reach": slab(19, 19, 39.9, 20, 20, 40.1),
	} {
		for op, f := range map[string]func() (*Result, error){
			"unite":     func() (*Result, error) { return Unite(part, []*mesh.Mesh{rib}) },
			"subtract":  func() (*Result, error) { return Subtract(part, rib) },
			"intersect": func() (*Result, error) { return Intersect(part, rib) },
		} {
			r, err := f()
			if r != nil {
				t.Errorf("%s, %s: a result and %v", name, op, err)
				continue
			}
			t.Run(name+" "+op, func(t *testing.T) { refused(t, err, OpenEdge, -1, [3]float64{20, 20, 40}, 5.01) })
		}
	}
}

// The sums that tell an open surface from a closed one see every triangle.
func TestOpennessSeesEachTriangle(t *testing.T) {
	m := meshtest.Subdivide(meshtest.Blocks(meshtest.Add(0, 0, 0, 9, 9, 9), meshtest.Cut(3, 3, 0, 6, 6, 9)), 2)
	whole := openness{}
	for _, k := range m.Triangles {
		whole.add(&k)
	}
	if r := rims(m, nil, &whole); whole != (openness{}) || r != nil {
		t.Fatalf("a closed surface has %d rims", len(r))
	}
	for i := range m.Triangles {
		left := &mesh.Mesh{Vertices: m.Vertices}
		left.Triangles = append(append(left.Triangles, m.Triangles[:i]...), m.Triangles[i+1:]...)
		var o openness
		for _, k := range left.Triangles {
			o.add(&k)
		}
		r := rims(left, nil, &o)
		if len(r) != 1 || len(r[0].edges) != 3 {
			t.Fatalf("triangle %d missing: %d rims", i, len(r))
		}
		// Its edges are those of the triangle, as it ran along them.
		for _, e := range r[0].edges {
			k := m.Triangles[i]
			if e != [2]int32{k[0], k[1]} && e != [2]int32{k[1], k[2]} && e != [2]int32{k[2], k[0]} {
				t.Fatalf("triangle %v missing: rim %v", k, r[0].edges)
			}
		}
		if c := caps(r); len(c) != 1 {
			t.Fatalf("caps %v", c)
		}
	}
}
