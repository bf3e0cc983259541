package span

import (
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// Facts of the trade: common practice, no published source.
func TestFactsOfTheTrade(t *testing.T) {
	for _, c := range []struct {
		fact  string
		m     *mesh.Mesh
		needs bool
	}{
		{"a bridge of 30 is laid without a flaw", wall(meshtest.Rectangle(20, 20, 50, 80)), false},
		{"one of 70 acceptably", wall(meshtest.Rectangle(20, 20, 90, 80)), false},
		{"at 100 strands droop", wall(meshtest.Rectangle(20, 20, 120, 80)), true},
		{"a round cut-out prints unaided", wall(ellipse(30, 30)), false},
		{"so does an oval one", wall(ellipse(30, 50)), false},
		{"lying, too", wall(ellipse(30, 20)), false},
		{"a wall leaning 45 degrees prints unaided", profile([2]float64{0, 0}, [2]float64{5, 0}, [2]float64{45, 40}, [2]float64{40, 40}), false},
		{"one leaning 60 does not", profile([2]float64{0, 0}, [2]float64{5, 0}, [2]float64{75, 40}, [2]float64{65, 40}), true},
	} {
		needs := false
		for _, x := range survey(t, meshtest.TurnZ(c.m, 19), coarse()).Ceilings {
			needs = needs || x.NeedsRibs
		}
		if needs != c.needs {
			t.Errorf("%s: needs ribs %v", c.fact, needs)
		}
	}
}
