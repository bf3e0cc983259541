package job

import (
	"context"
	"errors"
	"io"
	"math"
	"slices"
	"testing"

	"falsework/cmd/falsework/settings"
	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// line is a line of stages that never touch geometry: every proof but the
// last of so many fails, because a ceiling on part or rib still hangs.
func line(fail int, on string, spacings *[]float64) (*Line, *Part) {
	m := meshtest.Blocks(meshtest.Add(0, 0, 0, 1, 1, 1))
	p := &Part{Name: "housing.stl", Mesh: m,
		Write: func(context.Context, io.Writer, *union.Result) error { return nil },
		Again: func(context.Context, []byte, *union.Result) (*mesh.Mesh, error) { return m, nil }}
	l := &Line{
		Survey: func(context.Context, *mesh.Mesh, span.Settings, span.Options) (*span.Survey, error) {
			return &span.Survey{Ceilings: make([]span.Ceiling, 1)}, nil
		},
		Plan: func(_ context.Context, _ *mesh.Mesh, s *span.Survey, set rib.Settings) (*rib.Plan, error) {
			*spacings = append(*spacings, bay(set, 1))
			return &rib.Plan{Survey: s, Settings: set, Ceilings: []rib.CeilingPlan{{ID: 1, Ribs: make([]rib.Rib, 1)}}}, nil
		},
		Unite: func(*mesh.Mesh, *mesh.Audit, []*mesh.Mesh) (*union.Result, error) { return &union.Result{Mesh: m}, nil },
		Verify: func(p *rib.Plan, _ rib.Evidence) *rib.Verification {
			p.Verified = &rib.Verification{Verified: true, Reasons: []string{"in order"}}
			if len(*spacings) <= fail {
				p.Verified = &rib.Verification{Reasons: []string{"hangs"}, Found: []span.Ceiling{{On: on}}}
			}
			return p.Verified
		},
	}
	return l, p
}

// bay is the widest bay that settings allow under a ceiling.
func bay(s rib.Settings, id int) float64 {
	if b, ok := s.Closer[id]; ok {
		return b
	}
	return s.Spacing
}

func TestRibSetsRibsCloserWhereTheProofHangs(t *testing.T) {
	cases := []struct {
		name  string
		fail  int
		on    string
		plans int
		ok    bool
	}{
		{"proved at once", 0, "part", 1, true},
		{"proved closer", 1, "part", 2, true},
		{"proved at half", 2, "part", 3, true},
		{"never proved", 9, "part", 3, false},
		{"a hanging rib is not mended by more ribs", 9, "rib", 1, false},
	}
	for _, c := range cases {
		var spacings []float64
		l, p := line(c.fail, c.on, &spacings)
		v := settings.New()
		if err := v.Finish(); err != nil {
			t.Fatal(err)
		}
		out, err := l.Rib(context.Background(), p, v, false)
		if len(spacings) != c.plans || (err == nil) != c.ok {
			t.Errorf("%s: planned at %v, error %v", c.name, spacings, err)
			continue
		}
		if err != nil && (!errors.Is(err, ErrDisagrees) || out != nil) {
			t.Errorf("%s: got %v with %v, want no outcome and ErrDisagrees", c.name, out, err)
		}
		if err == nil && len(out.Notes) != c.plans-1 {
			t.Errorf("%s: %d notes of %d plans", c.name, len(out.Notes), c.plans)
		}
		for i, s := range spacings {
			if want := closer[i] * v.Rib.Spacing; math.Abs(s-want) > 1e-9 {
				t.Errorf("%s: plan %d at %g mm, want %g", c.name, i, s, want)
			}
		}
	}
}

// A ceiling that the ribs of others were to carry, and that hangs all the same,
// gets its own; bays need be no closer for that.
func TestRibGivesRibsToWhatIsNotCarried(t *testing.T) {
	var spacings []float64
	l, p := line(1, "part", &spacings)
	verify := l.Verify
	l.Verify = func(p *rib.Plan, e rib.Evidence) *rib.Verification {
		v := verify(p, e)
		if !v.Verified {
			v.Blamed = []int{1}
		}
		return v
	}
	l.Plan = func(_ context.Context, _ *mesh.Mesh, s *span.Survey, set rib.Settings) (*rib.Plan, error) {
		spacings = append(spacings, set.Spacing)
		s.Ceilings = make([]span.Ceiling, 2)
		c := []rib.CeilingPlan{{ID: 1, Spared: true}, {ID: 2, Ribs: make([]rib.Rib, 1)}}
		if slices.Contains(set.Own, 1) {
			c[0] = rib.CeilingPlan{ID: 1, Ribs: make([]rib.Rib, 1)}
		}
		return &rib.Plan{Survey: s, Settings: set, Ceilings: c}, nil
	}
	v := settings.New()
	if err := v.Finish(); err != nil {
		t.Fatal(err)
	}
	out, err := l.Rib(context.Background(), p, v, false)
	if err != nil {
		t.Fatal(err)
	}
	if len(spacings) != 2 || spacings[0] != spacings[1] || out.Plan.Ribbed() != 2 || len(out.Notes) != 1 {
		t.Errorf("planned at %v, %d ribbed, notes %q", spacings, out.Plan.Ribbed(), out.Notes)
	}
}

// twoCeilings plans a rib under each of two ceilings that is not refused.
func twoCeilings(spacings *[]float64) func(context.Context, *mesh.Mesh, *span.Survey, rib.Settings) (*rib.Plan, error) {
	return func(_ context.Context, _ *mesh.Mesh, s *span.Survey, set rib.Settings) (*rib.Plan, error) {
		*spacings = append(*spacings, bay(set, 2))
		plan := &rib.Plan{Survey: s, Settings: set}
		for id := 1; id <= 2; id++ {
			c := rib.CeilingPlan{ID: id, Ribs: make([]rib.Rib, 1)}
			if slices.Contains(set.Refused, id) {
				c = rib.CeilingPlan{ID: id, Left: "refused", Fault: true}
			}
			plan.Ceilings = append(plan.Ceilings, c)
		}
		return plan, nil
	}
}

// Where closer ribs carry one ceiling and never the other, only that other is
// left, and the one keeps them.
func TestRibLeavesAsFewAsCloserRibsAllow(t *testing.T) {
	var spacings []float64
	l, p := line(0, "part", &spacings)
	l.Plan = twoCeilings(&spacings)
	l.Survey = func(context.Context, *mesh.Mesh, span.Settings, span.Options) (*span.Survey, error) {
		return &span.Survey{Ceilings: make([]span.Ceiling, 2)}, nil
	}
	v := settings.New()
	if err := v.Finish(); err != nil {
		t.Fatal(err)
	}
	l.Verify = func(p *rib.Plan, _ rib.Evidence) *rib.Verification {
		var blamed []int
		if !slices.Contains(p.Settings.Refused, 1) {
			blamed = append(blamed, 1)
		}
		if bay(p.Settings, 2) > 0.8*v.Rib.Spacing {
			blamed = append(blamed, 2)
		}
		p.Verified = &rib.Verification{Verified: len(blamed) == 0, Blamed: blamed}
		for range blamed {
			p.Verified.Found = append(p.Verified.Found, span.Ceiling{On: "part"})
			p.Verified.Reasons = append(p.Verified.Reasons, "hangs")
		}
		return p.Verified
	}
	out, err := l.Rib(context.Background(), p, v, false)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(out.Left, []int{1}) || len(spacings) != 4 || spacings[3] != closer[1]*v.Rib.Spacing {
		t.Errorf("left %v, planned at %v; want [1], the last of four at %g", out.Left, spacings, closer[1]*v.Rib.Spacing)
	}
}

// A ceiling whose ribs the proof blames is left, and the other gets its ribs;
// where nothing is to be blamed nothing is handed over.
func TestRibLeavesWhatTheProofBlames(t *testing.T) {
	for _, c := range []struct {
		name  string
		on    string
		blame [][]int // in turn, by the proofs of plans that refuse nothing, one ceiling, two
		plans int
		left  []int
		ok    bool
	}{
		{"one of two", "part", [][]int{{1}}, 4, []int{1}, true},
		{"one of two, whose rib hangs", "rib", [][]int{{2}}, 2, []int{2}, true},
		{"one, then the other", "rib", [][]int{{2}, {1}}, 3, []int{1, 2}, true},
		{"nothing", "rib", [][]int{nil}, 1, nil, false},
		{"one, then nothing", "rib", [][]int{{2}, nil}, 2, nil, false},
	} {
		var spacings []float64
		l, p := line(0, c.on, &spacings)
		l.Plan = twoCeilings(&spacings)
		l.Verify = func(p *rib.Plan, _ rib.Evidence) *rib.Verification {
			p.Verified = &rib.Verification{Verified: true, Reasons: []string{"in order"}}
			if n := len(p.Settings.Refused); n < len(c.blame) {
				p.Verified = &rib.Verification{Reasons: []string{"hangs"}, Found: []span.Ceiling{{On: c.on}}, Blamed: c.blame[n]}
			}
			return p.Verified
		}
		l.Survey = func(context.Context, *mesh.Mesh, span.Settings, span.Options) (*span.Survey, error) {
			return &span.Survey{Ceilings: make([]span.Ceiling, 2)}, nil
		}
		v := settings.New()
		if err := v.Finish(); err != nil {
			t.Fatal(err)
		}
		out, err := l.Rib(context.Background(), p, v, false)
		if len(spacings) != c.plans || (err == nil) != c.ok {
			t.Errorf("%s: planned at %v, error %v", c.name, spacings, err)
			continue
		}
		if !c.ok {
			if !errors.Is(err, ErrDisagrees) || out != nil {
				t.Errorf("%s: got %v with %v, want no outcome and ErrDisagrees", c.name, out, err)
			}
			continue
		}
		// Of a ceiling without ribs it is not told that they were set closer.
		if !slices.Equal(out.Left, c.left) || len(out.Notes) != len(c.blame) {
			t.Errorf("%s: left %v with notes %q, want %v", c.name, out.Left, out.Notes, c.left)
		}
		if last := spacings[len(spacings)-1]; last != spacings[0] {
			t.Errorf("%s: the others planned at %g mm, want %g", c.name, last, spacings[0])
		}
	}
}

// Where more ribs change nothing in what the proof says, no more are tried; where
// closer bays gave the same ribs, that says nothing yet.
func TestRibSetsRibsCloserWhereThatHelps(t *testing.T) {
	for _, c := range []struct {
		name  string
		ribs  []int // of ceiling 1 in turn
		says  []string
		plans int
		notes int
	}{
		{"other ribs, the same findings", []int{1, 2}, []string{"hangs", "hangs"}, 3, 1},
		{"other ribs, other findings", []int{1, 2, 3}, []string{"hangs", "hangs less", "hangs less"}, 4, 1},
		{"the same ribs", []int{1, 1, 2}, []string{"hangs", "hangs"}, 3, 2},
	} {
		var spacings []float64
		l, p := line(0, "part", &spacings)
		plan := twoCeilings(&spacings)
		l.Plan = func(ctx context.Context, m *mesh.Mesh, s *span.Survey, set rib.Settings) (*rib.Plan, error) {
			n := len(spacings)
			p, err := plan(ctx, m, s, set)
			if !slices.Contains(set.Refused, 1) {
				p.Ceilings[0].Ribs = make([]rib.Rib, c.ribs[n])
			}
			return p, err
		}
		l.Verify = func(p *rib.Plan, _ rib.Evidence) *rib.Verification {
			p.Verified = &rib.Verification{Verified: true, Reasons: []string{"in order"}}
			if n := len(spacings) - 1; n < len(c.says) && !slices.Contains(p.Settings.Refused, 1) {
				p.Verified = &rib.Verification{Reasons: []string{c.says[n]}, Found: []span.Ceiling{{On: "part"}}, Blamed: []int{1}}
			}
			return p.Verified
		}
		l.Survey = func(context.Context, *mesh.Mesh, span.Settings, span.Options) (*span.Survey, error) {
			return &span.Survey{Ceilings: make([]span.Ceiling, 2)}, nil
		}
		v := settings.New()
		if err := v.Finish(); err != nil {
			t.Fatal(err)
		}
		out, err := l.Rib(context.Background(), p, v, false)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if len(spacings) != c.plans || len(out.Notes) != c.notes {
			t.Errorf("%s: planned %d times, notes %q", c.name, len(spacings), out.Notes)
		}
	}
}
