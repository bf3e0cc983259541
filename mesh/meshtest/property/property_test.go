package property

import (
	"flag"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Two runs of one property see the same draws by default, and others with
// FALSEWORK_LONG. Each way is tried in the run it is for.
func TestDraws(t *testing.T) {
	draws := func() (all []int) {
		Check(t, func(t *rapid.T) { all = append(all, rapid.Int().Draw(t, "n")) })
		return all
	}
	first, second := draws(), draws()
	if len(first) < 100 {
		t.Errorf("%d draws, want at least 100", len(first))
	}
	fixed := !Long() || flag.Lookup("rapid.seed").Value.String() != "0"
	if slices.Equal(first, second) != fixed {
		t.Errorf("draws alike: %v, want %v", !fixed, fixed)
	}
}
