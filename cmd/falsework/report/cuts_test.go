package report

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/rib"
	"falsework/span"
)

// The table gathers cuts by kind, and begins with the ceiling that is nearest
// to an open side.
func TestCutsGoFromTheOutsideIn(t *testing.T) {
	at := func(z float64) [3]float64 { return [3]float64{1, 2, z} }
	plan := &rib.Plan{
		Survey: &span.Survey{Bounds: mesh.Box{Min: [3]float64{0, 0, 10}}},
		Ceilings: []rib.CeilingPlan{
			{ID: 3, Cuts: []rib.Cut{
				{What: "brace end", At: at(30), Length: 3.5, Thick: 0.4, Reach: 12},
				{What: "brace end", At: at(50), Length: 4.5, Thick: 0.4, Reach: 40},
				{What: "crest", At: at(90), Length: 20, Thick: 0.5, Reach: 30},
			}},
			{ID: 5},
			{ID: 8, Cuts: []rib.Cut{{What: "landing", At: at(60), Length: 2.2, Thick: 0.5, Reach: 1.5}}},
			{ID: 9, Cuts: []rib.Cut{{What: "crest", At: at(70), Length: 2.2, Thick: 0.5, Reach: math.Inf(1)}}},
		},
	}
	var b bytes.Buffer
	WriteCuts(&b, Look{}, plan)
	var got []string
	for _, line := range strings.Split(b.String(), "\n") {
		if f := strings.Fields(line); len(f) > 0 && f[0] >= "0" && f[0] <= "9" {
			got = append(got, strings.Join(f, " "))
		}
	}
	want := []string{
		"8 landings, where ribs stand on the part 1 50.0 2.2 0.5 1.5",
		"3 brace ends, at the walls 2 20.0 to 40.0 3.5 to 4.5 0.4 12.0 to 40.0",
		"3 crests, along the ceiling 1 80.0 20.0 0.5 30.0",
		"9 crests, along the ceiling 1 60.0 2.2 0.5 no open side",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("rows\n%s\nwant\n%s\nin\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"), b.String())
	}
	b.Reset()
	WriteCuts(&b, Look{}, &rib.Plan{Survey: plan.Survey, Ceilings: plan.Ceilings[1:2]})
	if b.Len() > 0 {
		t.Errorf("cuts where there are none: %s", b.String())
	}
}
