package rib_test

import (
	"testing"

	"falsework/mesh"
	mt "falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/union"
)

// Beside a hole much wider than a bay, and under a disc, ribs with equal bays leave
// the flanks of the rim hanging. Ribs that cut it into equal arcs carry it, and few
// suffice.
func TestRoundRimsOnGradedRibs(t *testing.T) {
	cut := func(m, hole *mesh.Mesh) *mesh.Mesh {
		r, err := union.Subtract(m, hole)
		if err != nil {
			t.Fatal(err)
		}
		return r.Mesh
	}
	table := mt.Prism(60, 64, mt.Circle(0, 0, 90, 96))
	for _, at := range [][2]float64{{62, 62}, {-62, 62}, {-62, -62}, {62, -62}} {
		table = mt.Join(table, mt.Prism(0, 61, mt.Circle(at[0], at[1], 8, 24)))
	}
	for _, c := range []struct {
		name string
		part *mesh.Mesh
		most int // ribs
		slow bool
	}{
		{"roof with a hole", cut(mt.Blocks(mt.Add(0, 0, 0, 320, 170, 60), mt.Cut(3, -1, -1, 317, 167, 57)),
			mt.Prism(50, 70, mt.Circle(160, 85, 50, 96))), 12, false},
		{"round table", table, 12, true},
	} {
		if c.slow && !property.Long() {
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			p, _ := ribbed(t, c.part, nil)
			n := 0
			for _, l := range p.Ceilings {
				n += len(l.Ribs)
			}
			if n == 0 || n > c.most {
				t.Errorf("%d ribs, want %d at most", n, c.most)
			}
		})
	}
}
