package rib

import (
	"math"
	"testing"

	"falsework/mesh/section"
)

// A brace between webs that run opposite ways, as across a ring of them, is a
// strip as wide as its ties all along, not one that crosses over itself.
func TestBraceBetweenWebsThatRunOppositeWays(t *testing.T) {
	for _, turned := range []bool{false, true} {
		far := ribLine{axis: axis{section.Point{30, -20}, section.Point{0, 1}}}
		use := stretch{18, 22}
		if turned {
			far = ribLine{axis: axis{section.Point{30, 20}, section.Point{0, -1}}}
		}
		b := &bracer{lines: []ribLine{{axis: axis{section.Point{0, -20}, section.Point{0, 1}}}, far}}
		c := &chain{ties: []tie{{0, 20, use}, {1, 20, use}}, walls: [2]bool{true, true}}
		tips := [2][2]section.Point{{{-5, -2}, {-5, 2}}, {{35, -2}, {35, 2}}}
		if turned {
			tips[1][0], tips[1][1] = tips[1][1], tips[1][0] // a tip goes by the run of its tie
		}
		if got := b.outline(c, tips).Area(); math.Abs(got-160) > 1e-9 {
			t.Errorf("turned %v: the strip covers %g mm2, want 160", turned, got)
		}
	}
}
