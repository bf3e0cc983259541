package rib

import (
	"reflect"
	"testing"

	"falsework/mesh/meshtest"
	"falsework/span"
)

// What is remembered is what planning anew would give: with a ceiling refused, with
// closer ribs, for another survey. A ceiling that nothing of it touches is not
// planned again.
func TestMemory(t *testing.T) {
	m := meshtest.Blocks(meshtest.Add(0, 0, 0, 120, 90, 120), meshtest.Cut(3, 0, 3, 117, 87, 60), meshtest.Cut(3, 0, 64, 117, 87, 117))
	s := surveyOf(t, m)
	var need []int
	for i := range s.Ceilings {
		if s.Ceilings[i].NeedsRibs {
			need = append(need, s.Ceilings[i].ID)
		}
	}
	if len(need) != 2 {
		t.Fatalf("%d ceilings need ribs", len(need))
	}
	var y Memory
	times := func(id int) int { return len(y.known[id]) }
	plan := func(s *span.Survey, set Settings) {
		t.Helper()
		got, err := y.Make(t.Context(), m, s, set)
		if err != nil {
			t.Fatal(err)
		}
		want, err := Make(t.Context(), m, s, set)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got.Ceilings, want.Ceilings) || got.Totals != want.Totals {
			t.Fatalf("remembered %+v, made %+v", got.Totals, want.Totals)
		}
	}
	set := DefaultSettings(s.Settings)
	plan(s, set)
	plan(s, set)
	if times(need[0]) != 1 || times(need[1]) != 1 {
		t.Fatalf("planned again with the same settings: %d and %d times", times(need[0]), times(need[1]))
	}
	set.Refused = need[1:]
	plan(s, set)
	if times(need[0]) != 1 {
		t.Errorf("the lower ceiling was planned %d times, though only the upper is refused", times(need[0]))
	}
	set.Refused = need[:1]
	plan(s, set)
	if times(need[1]) != 2 {
		t.Errorf("the upper ceiling was planned %d times, want once with the ribs below it and once without", times(need[1]))
	}
	set.Refused, set.Spacing = nil, 0.7*set.Spacing
	plan(s, set)
	if times(need[0]) != 2 {
		t.Errorf("the lower ceiling was planned %d times, want once for each spacing", times(need[0]))
	}
	set.Spacing /= 0.7
	set.Closer = map[int]float64{need[1]: 0.5 * set.Spacing}
	plan(s, set)
	if times(need[0]) != 2 {
		t.Errorf("the lower ceiling was planned %d times, though only the upper has closer ribs", times(need[0]))
	}
	wide, err := y.Make(t.Context(), m, s, DefaultSettings(s.Settings))
	if err != nil {
		t.Fatal(err)
	}
	near, err := y.Make(t.Context(), m, s, set)
	if err != nil {
		t.Fatal(err)
	}
	for k, id := range need {
		if n, more := len(wide.Ceilings[id-1].Ribs), len(near.Ceilings[id-1].Ribs); n != more && k == 0 || n >= more && k == 1 {
			t.Errorf("ceiling %d: %d ribs, %d with closer ones under ceiling %d", id, n, more, need[1])
		}
	}
	again := *s
	plan(&again, set)
	if times(need[0]) != 1 {
		t.Errorf("a survey made anew finds %d plans of another one", times(need[0]))
	}
}
