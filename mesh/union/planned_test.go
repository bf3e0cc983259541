package union_test

import (
	"fmt"
	"os"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/outside"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// Ribs as they are planned leave no place where the surface goes through
// itself by more than a ten-thousandth of a millimetre.
func TestDepthOnPlannedRibs(t *testing.T) {
	t.Parallel()
	n := uint64(2)
	if property.Long() {
		n = 24
	}
	deepest, cases := 0.0, 0
	for seed := uint64(1); seed <= n; seed++ {
		part := meshtest.RandomHouse(seed).Mesh
		survey, err := span.Run(t.Context(), part, span.Defaults(), span.Options{})
		if err != nil {
			t.Fatal(err)
		}
		plan, err := rib.Make(t.Context(), part, survey, rib.DefaultSettings(survey.Settings))
		if err != nil {
			t.Logf("house %d: %v", seed, err)
			continue
		}
		tools := plan.Solids()
		if len(tools) == 0 {
			continue
		}
		r, err := union.Unite(part, tools)
		if err != nil {
			t.Errorf("house %d: %v", seed, err)
			continue
		}
		meshtest.Check(t, r.Mesh)
		if r.Report.Move > 1e-3 {
			t.Errorf("house %d: a vertex moved by %g", seed, r.Report.Move)
		}
		cases++
		for _, c := range meshtest.Contacts(r.Mesh) {
			if c.Kind == meshtest.Pierce && c.Depth > deepest {
				deepest = c.Depth
				if c.Depth > 1e-4 {
					t.Errorf("house %d: %v", seed, c)
				}
			}
		}
	}
	t.Logf("%d houses, deepest crossing %.3g mm", cases, deepest)
}

// Random housings with ribs thrown in at any angle, turned, scaled and moved,
// against the outside library; live only, for the answers would fill a book.
func TestTrialsAgainstLibrary(t *testing.T) {
	if os.Getenv("FALSEWORK_OUTSIDE") == "" {
		t.Skip("FALSEWORK_OUTSIDE is not set: no library to ask")
	}
	if os.Getenv("FALSEWORK_UPDATE") != "" {
		t.Skip("nothing is stored of these")
	}
	n := uint64(20)
	if property.Long() {
		n = 300
	}
	var cases []outside.Case
	for seed := range n {
		part, tools := union.RandomTrial(seed)
		r, err := union.Unite(part, tools)
		if err != nil {
			t.Errorf("trial %d: %v", seed, err)
			continue
		}
		var moved []*mesh.Mesh
		for _, m := range tools {
			moved = append(moved, shift(m, r.Report.Shift))
		}
		cases = append(cases, outside.Case{Name: fmt.Sprintf("trial-%03d", seed), Part: part, Tools: moved, Ribbed: r.Mesh})
	}
	for _, a := range outside.Ask(t, "testdata/none.json", cases) {
		outside.Hold(t, a)
	}
}
