package rib

import (
	"testing"

	mt "falsework/mesh/meshtest"
	"falsework/mesh/union"
)

// Where a layout that passes the sieve does not carry is known to be borne by
// those that do, and by few that do not. Under a roof with a round hole most
// families fail in one way: beside the hole.
func TestFailuresAreLearned(t *testing.T) {
	house := mt.Blocks(mt.Add(0, 0, 0, 220, 110, 80), mt.Cut(3, -1, -1, 217, 107, 77))
	m, err := union.Subtract(house, mt.Prism(60, 90, mt.Circle(110, 55, 20, 64)))
	if err != nil {
		t.Fatal(err)
	}
	s := surveyOf(t, m.Mesh)
	roof := &s.Ceilings[0]
	for i := range s.Ceilings {
		if s.Ceilings[i].Area > roof.Area {
			roof = &s.Ceilings[i]
		}
	}
	k := &maker{ctx: t.Context(), part: m.Mesh, plan: &Plan{Survey: s, Settings: DefaultSettings(s.Settings)}, reading: read(m.Mesh, s)}
	q := k.queue(roof)
	b := newShaper(q.view, k.cutter, s, nil)
	var known []failure
	carry, doubted, fail, seen := 0, 0, 0, 0
	for i := range q.all {
		l := &q.all[i]
		if i%9 > 0 || !q.passes(l) { // to judge them all takes long
			continue
		}
		lines := see(l, fine)
		borne := true
		for j := range known {
			borne = borne && q.bears(&known[j], lines)
		}
		v := k.carries(b, contact(l, b.s, nil))
		if v.err != nil {
			t.Fatal(v.err)
		}
		if v.ok {
			carry++
			if !borne {
				doubted++
			}
			continue
		}
		fail++
		if !borne {
			seen++
			continue
		}
		for _, p := range v.at {
			known = append(known, q.failure(p))
		}
	}
	t.Logf("%d carry, %d of them doubted; %d do not, %d of them foreseen from %d places", carry, doubted, fail, seen, len(known))
	if carry < 10 || fail < 20 {
		t.Fatal("nothing is tested")
	}
	if 3*doubted > carry {
		t.Errorf("%d of %d that carry are doubted", doubted, carry)
	}
	if 2*seen < fail {
		t.Errorf("%d of %d that do not carry are foreseen", seen, fail)
	}
}
