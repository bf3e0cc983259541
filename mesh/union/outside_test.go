package union_test

import (
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/outside"
	"falsework/mesh/union"
)

// Random housings with columns and braces in their front openings and sheets
// under their roofs, united here and by the outside library.
func TestHousesAgainstLibrary(t *testing.T) {
	t.Parallel()
	var cases []outside.Case
	for seed := uint64(1); seed <= 24; seed++ {
		h := meshtest.RandomHouse(seed)
		part := h.Mesh
		tools := fill(h)
		if seed%3 == 0 { // off the grid
			turn := func(m *mesh.Mesh) *mesh.Mesh {
				return meshtest.Move(meshtest.TurnZ(m, 7.3*float64(seed)), 11.7, -3.3, 0)
			}
			part = turn(part)
			for i := range tools {
				tools[i] = turn(tools[i])
			}
		}
		r, err := union.Unite(part, tools)
		if err != nil {
			t.Errorf("house %d: %v", seed, err)
			continue
		}
		meshtest.Check(t, r.Mesh)
		for i := range tools {
			tools[i] = shift(tools[i], r.Report.Shift)
		}
		cases = append(cases, outside.Case{Name: fmt.Sprintf("house-%02d", seed), Part: part, Tools: tools, Ribbed: r.Mesh})
	}
	for _, a := range outside.Ask(t, filepath.Join("testdata", "houses.json"), cases) {
		outside.Hold(t, a)
	}
}

// fill makes webs 0.5 thick: columns with two braces in the openings of the
// front, and sheets 12 deep under the roof, all let into what holds them.
func fill(h meshtest.House) []*mesh.Mesh {
	var tools []*mesh.Mesh
	add := func(x0, y0, z0, x1, y1, z1 float64) {
		if x1-x0 > 0.1 && y1-y0 > 0.1 && z1-z0 > 0.1 {
			tools = append(tools, meshtest.Blocks(meshtest.Add(x0, y0, z0, x1, y1, z1)))
		}
	}
	for _, o := range h.Front {
		low, high := o.Min[2]-0.1, o.Max[2]+0.1
		if o.Min[2] == 0 {
			low = 0.003 // stands on the bed
		}
		n := int(math.Ceil((o.Max[0] - o.Min[0]) / 40))
		for i := 1; i < n; i++ {
			x := o.Min[0] + (o.Max[0]-o.Min[0])*float64(i)/float64(n)
			add(x-0.25, 0.4, low, x+0.25, h.Wall-0.4, high)
		}
		for i := 1; i <= 2; i++ {
			z := o.Min[2] + (o.Max[2]-o.Min[2])*float64(i)/3
			add(o.Min[0]-0.1, 0.42, z, o.Max[0]+0.1, h.Wall-0.42, z+0.4)
		}
	}
	n := int(math.Ceil(h.Width / 40))
	top := h.Tall - h.Roof
	for i := 1; i < n; i++ {
		x := h.Width * float64(i) / float64(n)
		add(x-0.25, h.Wall-0.1, top-12, x+0.25, h.Depth-h.Wall-0.4, top+0.1)
	}
	return tools
}

// shift moves a mesh as the union moved its tools: each coordinate rounded
// to float32.
func shift(m *mesh.Mesh, by [3]float64) *mesh.Mesh {
	m = meshtest.Clone(m)
	for i := range m.Vertices {
		for k := range 3 {
			m.Vertices[i][k] = float32(float64(m.Vertices[i][k]) + by[k])
		}
	}
	return m
}
