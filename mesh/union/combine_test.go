package union

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
)

// oneByOne is Combine without groups: its twin.
func oneByOne(tools []*mesh.Mesh) (*mesh.Mesh, error) {
	all := &mesh.Mesh{}
	for _, t := range tools {
		if len(all.Triangles) == 0 {
			all = t
			continue
		}
		r, err := run(all, t, combine, false)
		if err != nil {
			return nil, err
		}
		all = r.Mesh
	}
	return all, nil
}

// crossed draws ribs along y and braces along x at random places, some of
// which meet others of their kind, none flush.
func crossed(seed uint64) (tools []*mesh.Mesh) {
	r := rand.New(rand.NewPCG(seed, 1))
	for range 1 + r.IntN(5) {
		x := 60 * r.Float64()
		tools = append(tools, meshtest.Blocks(meshtest.Add(x, 20*r.Float64(), 0, x+2, 60+10*r.Float64(), 40+r.Float64())))
	}
	for range 1 + r.IntN(5) {
		y, z := 20+30*r.Float64(), 30*r.Float64()
		tools = append(tools, meshtest.Blocks(meshtest.Add(-r.Float64(), y, z, 62+r.Float64(), y+4, z+2)))
	}
	return tools
}

// Grouping changes how a solid is cut into triangles, not the solid.
func TestCombineAgainstOneByOne(t *testing.T) {
	t.Parallel()
	property.Check(t, func(t *rapid.T) {
		tools := crossed(rapid.Uint64().Draw(t, "seed"))
		got, err := Combine(tools)
		if err != nil {
			t.Fatal(err)
		}
		want, err := oneByOne(tools)
		if err != nil {
			t.Fatal(err)
		}
		a, err := got.Audit(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if f := a.Err(); f != nil {
			t.Fatal(f)
		}
		b, err := want.Audit(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		// Each cut rounds its new vertices.
		if slack := 1e-5 * b.Area; math.Abs(a.Volume-b.Volume) > slack {
			t.Errorf("volume %v, one by one %v", a.Volume, b.Volume)
		}
		if len(a.Shells) != len(b.Shells) {
			t.Errorf("%d shells, one by one %d", len(a.Shells), len(b.Shells))
		}
	})
}

// Ribs that stay apart take one union for all braces together.
func TestApart(t *testing.T) {
	tr := benchHouse(0)
	groups, err := apart(tr.tools)
	if err != nil {
		t.Fatal(err)
	}
	if len(groups) != 2 || len(groups[0].bodies) != 12 || len(groups[1].bodies) != 20 {
		t.Errorf("%d groups", len(groups))
	}
	for _, g := range groups {
		meshtest.Check(t, g.mesh())
		for i := range g.bodies {
			for j := range i {
				if overlap(g.bodies[i].box, g.bodies[j].box) {
					t.Errorf("bodies %d and %d of one group meet", i, j)
				}
			}
		}
	}
}

// Where a group cannot be added at once, its bodies are, one by one, and what
// is wrong is put to the tool.
func TestGroupOneByOne(t *testing.T) {
	tools := []*mesh.Mesh{slab(0, 0, 0, 4, 4, 4), slab(1, 1, 3, 2, 2, 9), slab(10, 0, 0, 14, 4, 4)}
	groups, err := apart(tools)
	if err != nil || len(groups) != 2 {
		t.Fatal(len(groups), err)
	}
	done := []*mesh.Mesh{tools[0], {}, tools[2]}
	all, err := groups[1].addTo(groups[0].mesh(), done, tools)
	if err != nil {
		t.Fatal(err)
	}
	meshtest.Check(t, all)
	if v, want := all.Volume(), 2*64+5.0; math.Abs(v-want) > 1e-4 {
		t.Errorf("volume %v, want %v", v, want)
	}
	if done[1] != tools[1] {
		t.Error("the tool added is not among those done")
	}
}
