package rib

import (
	"context"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// planOf surveys a part and plans its ribs.
func planOf(t *testing.T, m *mesh.Mesh, change func(*Settings)) *Plan {
	t.Helper()
	s := surveyOf(t, m)
	set := DefaultSettings(s.Settings)
	if change != nil {
		change(&set)
	}
	p, err := Make(context.Background(), m, s, set)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The plain pitch of 35 mm is for columns between the jambs of a thin wall. A
// web under a narrow ledge has no jambs and obeys the rule for every web: free
// no longer than its depth allows.
//
//	 ###        ####################
//	 #  |       # |   |   |   |    #
//	 #  |       # |   |   |   |    #
//	 #          ####################
//	a ledge     an opening
func TestPlainPitchIsForOpenings(t *testing.T) {
	ledge := meshtest.Blocks(meshtest.Add(0, 0, 0, 60, 20, 70), meshtest.Add(0, 20, 60, 60, 25, 64))
	p := planOf(t, ledge, nil)
	c := p.Ceilings[0]
	if !c.Ribbed() {
		t.Fatal(c.Left)
	}
	for _, r := range c.Ribs {
		if r.Scheme == "column" {
			t.Errorf("a column under a ledge: %v", r.From)
		}
	}
	if len(c.Unsteady) > 0 {
		t.Errorf("%d unsteady ribs", len(c.Unsteady))
	}
	opening := meshtest.Blocks(meshtest.Add(0, 0, 0, 120, 5, 80), meshtest.Cut(10, 0, 5, 110, 5, 70))
	p = planOf(t, opening, nil)
	for _, r := range p.Ceilings[0].Ribs {
		if r.Scheme != "column" {
			t.Errorf("%s in an opening", r.Scheme)
		}
	}
	if len(p.Ceilings[0].Braces) != 1 || !strings.Contains(p.Ceilings[0].Layout, "ribs") {
		t.Errorf("65 mm high: %d braces, %s", len(p.Ceilings[0].Braces), p.Ceilings[0].Layout)
	}
}
