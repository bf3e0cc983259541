package rib_test

import (
	"fmt"
	"math"
	"testing"

	mt "falsework/mesh/meshtest"
)

// Under the lintel of a wall, however thick and whether straight or bent, ribs
// stand across the wall, where braces to the jambs hold them; not in line along
// it, where nothing does.
func TestLintelsOfThickWalls(t *testing.T) {
	for _, c := range []struct{ thick, bow float64 }{{4, 20}, {6.2, 40}, {6.5, 0}, {7, 30}} {
		t.Run(fmt.Sprintf("%g thick, bowed by %g", c.thick, c.bow), func(t *testing.T) {
			m := mt.Blocks(mt.Add(0, 0, 0, 280, c.thick, 100), mt.Cut(30, -1, 5, 250, c.thick+1, 80))
			if c.bow > 0 {
				m = mt.Bow(mt.SubdivideTo(m, 12), 280, c.bow)
			}
			p, _ := ribbed(t, m, nil)
			n := 0
			for _, l := range p.Ceilings {
				if len(l.Unsteady) > 0 {
					t.Errorf("%d ribs are unsteady", len(l.Unsteady))
				}
				for _, r := range l.Ribs {
					n++
					if long := math.Hypot(r.To[0]-r.From[0], r.To[1]-r.From[1]); long > 1.2*c.thick {
						t.Errorf("a rib of %.1f mm in a wall of %g", long, c.thick)
					}
				}
			}
			// Five at least, with bays of 40 mm.
			if n < 5 || n > 6 {
				t.Errorf("%d ribs", n)
			}
		})
	}
}
