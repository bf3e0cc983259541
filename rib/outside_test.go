package rib_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/outside"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// What is planned and united for the example and for random housings holds
// before an outside library: closed, nothing lost, its own union's volume and
// genus. Planning twenty housings takes a while, so that a plain run compares
// the example alone.
func TestPlannedRibsAgainstLibrary(t *testing.T) {
	e := tideHousing(t)
	cases := []outside.Case{{Name: "tide-housing", Part: e.part, Tools: shifted(e.plan.Solids(), e.union.Report.Shift), Ribbed: e.ribbed}}
	const houses = 20
	for seed := uint64(1); len(cases) <= houses; seed++ {
		if os.Getenv("FALSEWORK_OUTSIDE") == "" && !property.Long() {
			break
		}
		c, err := planned(t, seed)
		if err != nil {
			t.Errorf("house %d: %v", seed, err)
		}
		if c.Ribbed != nil {
			cases = append(cases, c)
		}
	}
	for _, a := range outside.Ask(t, filepath.Join("testdata", "outside.json"), cases) {
		outside.Hold(t, a)
	}
}

// planned runs a random housing as far as the union; the case is empty when
// nothing needs ribs.
func planned(t *testing.T, seed uint64) (outside.Case, error) {
	c := outside.Case{Name: fmt.Sprintf("house-%03d", seed), Part: meshtest.RandomHouse(seed).Mesh}
	survey, err := span.Run(t.Context(), c.Part, span.Defaults(), span.Options{})
	if err != nil {
		return c, err
	}
	plan, err := rib.Make(t.Context(), c.Part, survey, rib.DefaultSettings(survey.Settings))
	if err != nil {
		return c, err
	}
	tools := plan.Solids()
	if len(tools) == 0 {
		return c, nil
	}
	r, err := union.Unite(c.Part, tools)
	if err != nil {
		return c, err
	}
	c.Tools, c.Ribbed = shifted(tools, r.Report.Shift), r.Mesh
	return c, nil
}

// shifted moves solids as the union moved them: each coordinate rounded to
// float32.
func shifted(solids []*mesh.Mesh, by [3]float64) []*mesh.Mesh {
	var out []*mesh.Mesh
	for _, m := range solids {
		m = meshtest.Clone(m)
		for i := range m.Vertices {
			for k := range 3 {
				m.Vertices[i][k] = float32(float64(m.Vertices[i][k]) + by[k])
			}
		}
		out = append(out, m)
	}
	return out
}
