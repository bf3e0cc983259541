package rib

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// Lines read in bands, and only where their row meets a facet, find what they
// find when every line asks every facet.
func TestProbesAskEveryFacet(t *testing.T) {
	for seed := range 6 {
		h := meshtest.RandomHouse(uint64(seed))
		for _, part := range []*mesh.Mesh{h.Mesh, meshtest.TurnZ(h.Mesh, 27), meshtest.SubdivideTo(h.Mesh, 9)} {
			p := newProbes(part, 1.7)
			r := rand.New(rand.NewPCG(1, uint64(seed)))
			lines := 0
			for range 300 {
				i, j := r.IntN(p.nx), r.IntN(p.ny)
				want, ok := everyFacet(part, p.line(0, i), p.line(1, j))
				if !ok {
					continue // read from its neighbour
				}
				got := p.solid[j*p.nx+i]
				if len(got) > 0 {
					lines++
				}
				if !reflect.DeepEqual(got, want) {
					t.Fatalf("house %d, line %d %d: %v, want %v", seed, i, j, got, want)
				}
			}
			if lines < 50 {
				t.Errorf("house %d: only %d lines met the part", seed, lines)
			}
		}
	}
}

func everyFacet(m *mesh.Mesh, x, y float64) (solid []stretch, balanced bool) {
	var hits []hit
	for t := range m.Triangles {
		var c [3][3]float64
		for k := range c {
			for j, x := range m.Corner(t, k) {
				c[k][j] = float64(x)
			}
		}
		det := float64((c[1][0]-c[0][0])*(c[2][1]-c[0][1])) - float64((c[1][1]-c[0][1])*(c[2][0]-c[0][0]))
		if det == 0 {
			continue
		}
		f := newFacet(c, det)
		if z, ok := f.under(x, y); ok {
			hits = append(hits, hit{z: z, up: int32(-math.Copysign(1, det))})
		}
	}
	return balance(nil, hits), !unbalanced(hits)
}
