package union

import (
	"math"
	"math/rand/v2"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// fused joins meshes over their equal vertices.
func fused(ms ...*mesh.Mesh) *mesh.Mesh {
	m := &mesh.Mesh{}
	at := map[vec]int32{}
	for _, x := range ms {
		for _, k := range x.Triangles {
			for e, v := range k {
				id, ok := at[x.Vertices[v]]
				if !ok {
					id = int32(len(m.Vertices))
					at[x.Vertices[v]] = id
					m.Vertices = append(m.Vertices, x.Vertices[v])
				}
				k[e] = id
			}
			m.Triangles = append(m.Triangles, k)
		}
	}
	return m
}

// Bodies of a part that share an edge or a corner, with ribs at any angle over
// it, beside it and along it: no new fault, and the volume right. An edge of
// four triangles that a rib leaves on one side only is a pinched vertex there,
// an old one. No place is covered twice over, and none is left to a note.
func TestBodiesThatTouch(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 3))
	for i := range few(60, 5000) {
		part := fused(slab(0, 0, 0, 10, 10, 10), slab(10, 10, 0, 20, 20, 10))
		switch i % 3 {
		case 1:
			part = fused(slab(0, 0, 0, 10, 10, 10), slab(10, 10, 10, 20, 20, 20))
		case 2:
			part = fused(slab(0, 0, 0, 10, 10, 10), slab(10, 10, 0, 20, 20, 10), slab(10, 0, 10, 20, 10, 20))
		}
		axis := func() [3]float64 { return [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()} }
		if i%2 == 0 {
			part = meshtest.Turn(part, axis(), r.Float64()*360)
		}
		var tools []*mesh.Mesh
		for range 1 + r.IntN(3) {
			m := meshtest.Blocks(meshtest.Add(-8*r.Float64(), -0.3, -6*r.Float64(), 8*r.Float64()+1, 0.3, 6*r.Float64()+1))
			m = meshtest.Turn(m, axis(), r.Float64()*360)
			p, q, f := part.Vertices[r.IntN(len(part.Vertices))], part.Vertices[r.IntN(len(part.Vertices))], r.Float64()
			d := sub(q, p)
			tools = append(tools, meshtest.Move(m, float64(p[0])+f*d[0], float64(p[1])+f*d[1], float64(p[2])+f*d[2]))
		}
		res, err := Unite(part, tools)
		if err != nil {
			t.Errorf("case %d: %v", i, err)
			continue
		}
		old := map[vec]bool{}
		for _, p := range part.Vertices {
			old[p] = true
		}
		had := map[meshtest.Kind]int{}
		for _, f := range meshtest.Faults(part) {
			had[f.Kind]++
		}
		for _, f := range meshtest.Faults(res.Mesh) {
			if f.Kind == meshtest.Pinched && old[rounded(f.At)] {
				continue
			}
			if had[f.Kind]--; had[f.Kind] < 0 {
				t.Errorf("case %d: %v", i, f)
			}
		}
		rep := res.Report
		if len(rep.Notes) > 0 {
			t.Errorf("case %d: %v", i, rep.Notes)
		}
		if off := math.Abs(meshtest.Volume(res.Mesh) - (rep.PartVolume + rep.ToolVolume - rep.Overlap)); off > 1e-3 {
			t.Errorf("case %d: volume off by %g", i, off)
		}
		for _, s := range meshtest.Skins(neighbourhood(res), 4e-6, 1e-3) {
			t.Errorf("case %d: %v", i, s)
		}
	}
}
