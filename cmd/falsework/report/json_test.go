package report

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"falsework/rib"
	"falsework/span"
)

// What is without end has no number in JSON: under a roof closed all round no
// side is open for a blade.
func TestInfiniteIsNull(t *testing.T) {
	p := &rib.Plan{Survey: &span.Survey{}, Ceilings: []rib.CeilingPlan{{ID: 1, Cuts: []rib.Cut{
		{What: "crest", Length: 3, Reach: math.Inf(1)}, {What: "crest", Length: 2, Reach: 1.5}}}}}
	out, err := json.Marshal(NewPlan(Part{}, p, nil, nil))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"length":3,"thick":0,"reach":null`, `"length":2,"thick":0,"reach":1.5`} {
		if !strings.Contains(string(out), want) {
			t.Errorf("%s\nlacks %s", out, want)
		}
	}
}
