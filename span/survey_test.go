package span

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/section"
)

// hall is a roof 234 x 147 held on three sides, 30 above the floor.
func hall() *mesh.Mesh {
	return meshtest.Blocks(add(0, 0, 0, 240, 150, 33), cut(3, 0, 0, 237, 147, 30))
}

func TestJudgeRibs(t *testing.T) {
	s := survey(t, hall(), Defaults())
	for _, c := range []struct {
		ribs        section.Polygons
		limit       float64
		reach, hang float64 // hang of -1: within the ledge
	}{
		{nil, 40, 117, 117},
		// Five ribs 0.5 thick leave six bays of (234 - 5 x 0.5)/6.
		{bars(5), 40, 19.3, -1},
		{bars(4), 40, 23.2, 23.2},
		{bars(4), 60, 23.2, -1},
	} {
		j, err := s.Judge(1, c.ribs, c.limit)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(j.Reach-c.reach) > 0.3 {
			t.Errorf("%d ribs: reach %.2f, want %.2f", len(c.ribs), j.Reach, c.reach)
		}
		if c.hang < 0 && j.Hang > 2+over || c.hang >= 0 && math.Abs(j.Hang-c.hang) > 0.6 {
			t.Errorf("%d ribs, strands to %g: hang %.2f at %v, want %.2f", len(c.ribs), c.limit, j.Hang, j.At, c.hang)
		}
	}
	if _, err := s.Judge(7, nil, 40); err == nil {
		t.Error("a ceiling that is not there was judged")
	}
}

// The trap: one rib in the middle of a deep shelf passes the reach while its
// lip hangs.
func TestJudgeSeesTheLip(t *testing.T) {
	s := survey(t, meshtest.Blocks(add(0, 0, 0, 60, 45, 33), cut(0, 5, 0, 60, 45, 30)), Defaults())
	middle := section.Polygons{{{0, 24.75}, {60, 24.75}, {60, 25.25}, {0, 25.25}}}
	j, err := s.Judge(1, middle, 40)
	if err != nil {
		t.Fatal(err)
	}
	if j.Reach > 20.1 || math.Abs(j.Hang-19.75) > 0.3 {
		t.Errorf("one rib in the middle: %+v, want reach and hang of 19.75", j)
	}
	edge := append(middle, section.Path{{0, 44}, {60, 44}, {60, 44.5}, {0, 44.5}})
	if j, _ = s.Judge(1, edge, 40); j.Hang > 2 {
		t.Errorf("a rib at the edge as well: %+v", j)
	}
}

// A lip beside a rib is judged by the underside at the rib, whatever lower
// ground the ceiling has elsewhere.
//
//	##################   46
//	##     ___________   43, from 40 at the wall
//	##  --'        | |   a rib 3.5 from the edge
func TestJudgeLipUnderHigherCeiling(t *testing.T) {
	m := meshtest.PrismIn(meshtest.Upright(0, 0, 0), 0, 60, [][2]float64{{0, 0}, {4, 0}, {4, 40}, {14, 43}, {40, 43}, {40, 46}, {0, 46}})
	s, err := Run(context.Background(), m, Defaults(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(s.Ceilings); n != 1 || s.Ceilings[0].Z[1]-s.Ceilings[0].Z[0] < 2.5 {
		t.Fatalf("%d ceilings, the first from %.1f", n, s.Ceilings[0].Z)
	}
	c := s.Ceilings[0]
	for _, lip := range []float64{0.5, 3.5} {
		rib := section.Polygons{{{40 - lip - 0.5, c.Min[1]}, {40 - lip, c.Min[1]}, {40 - lip, c.Max[1]}, {40 - lip - 0.5, c.Max[1]}}}
		j, err := s.Judge(1, rib, 40)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(j.Hang-lip) > 0.3 {
			t.Errorf("a lip of %g mm: %.2f hang", lip, j.Hang)
		}
	}
}

func TestHeldAndFreeBorders(t *testing.T) {
	c := survey(t, hall(), Defaults()).Ceilings[0]
	length := func(ls [][]Point) (l float64) {
		for _, p := range ls {
			for i := 1; i < len(p); i++ {
				l += distance(p[i-1], p[i])
			}
		}
		return l
	}
	if h, f := length(c.Held), length(c.Free); math.Abs(h-(234+2*147)) > 0.1 || math.Abs(f-234) > 0.1 {
		t.Errorf("held %.3f, free %.3f, want 528 and 234", h, f)
	}
}

func TestGrounded(t *testing.T) {
	s := survey(t, meshtest.Blocks(add(0, 0, 0, 10, 10, 33), add(10, 0, 30, 60, 10, 33), add(50, 0, 10, 60, 10, 30)), Defaults())
	for _, c := range []struct {
		p    [3]float64
		want bool
	}{
		{[3]float64{5, 5, 0.1}, true}, {[3]float64{5, 5, 32}, true},
		{[3]float64{55, 5, 10.1}, false}, {[3]float64{55, 5, 29.9}, false}, // a leg that hangs
		{[3]float64{55, 5, 31}, true}, // joined by the beam
		{[3]float64{30, 5, 20}, false}, {[3]float64{5, 5, 40}, false}, {[3]float64{5, 5, -1}, false},
	} {
		if got := s.Grounded(c.p); got != c.want {
			t.Errorf("grounded at %v: %v", c.p, got)
		}
	}
}

func TestZonesAndRibs(t *testing.T) {
	m := meshtest.Blocks(add(0, 0, 0, 140, 3, 80), cut(20, 0, 10, 70, 3, 60), cut(70.5, 0, 10, 120, 3, 60))
	zone := Zone{Footprint: section.Polygons{{{20, 0}, {120, 0}, {120, 3}, {20, 3}}}, Z: [2]float64{60, 60}, Limit: 40}
	s, err := Run(context.Background(), m, Defaults(), Options{Zones: []Zone{zone},
		OnRib: func(p [3]float64) bool { return p[0] > 70 }})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Ceilings) != 2 {
		t.Fatalf("want two bays:%s", list(s))
	}
	for i, c := range s.Ceilings {
		if !c.NeedsRibs || c.Limit != 40 || !strings.Contains(c.Why, "40") {
			t.Errorf("bay %d of 50 in a zone of 40: %+v", i, c)
		}
	}
	if s.Ceilings[0].On != "part" || s.Ceilings[1].On != "rib" {
		t.Errorf("on %q and %q", s.Ceilings[0].On, s.Ceilings[1].On)
	}
}

// A zone may hold a part of a ceiling alone: there, and nowhere else, its limit holds.
func TestZoneOfAPart(t *testing.T) {
	m := meshtest.Blocks(add(0, 0, 0, 200, 66, 80), cut(0, 3, 10, 200, 63, 60)) // a tunnel 60 wide
	for _, far := range []float64{0, 60, 150, 200} {
		zone := Zone{Footprint: section.Polygons{{{0, 3}, {far, 3}, {far, 63}, {0, 63}}}, Z: [2]float64{60, 60}, Limit: 40}
		s, err := Run(t.Context(), m, Defaults(), Options{Zones: []Zone{zone}})
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Ceilings) != 1 || s.Ceilings[0].NeedsRibs != (far > 0) {
			t.Fatalf("zone to %g:%s", far, list(s))
		}
		c := &s.Ceilings[0]
		if far == 0 {
			if c.Limit != 70 || len(c.Hanging) != 0 {
				t.Errorf("no zone: limit %g, hangs at %v", c.Limit, c.Hanging)
			}
			continue
		}
		if c.Limit != 40 || len(c.Hanging) < 50 || len(c.Hanging) > 102 || c.HangAt[0] > far {
			t.Errorf("zone to %g: limit %g, hangs at %v and %d places", far, c.Limit, c.HangAt, len(c.Hanging))
		}
		for _, q := range c.Hanging {
			if q[0] > far || math.Abs(q[2]-60) > 1e-9 {
				t.Fatalf("zone to %g: hangs at %v", far, q)
			}
		}
	}
}

func TestHeightsAreThePartsOwn(t *testing.T) {
	for _, z := range []float64{20, 20.03, 20.1, 20.17} {
		s := survey(t, meshtest.Blocks(add(0, 0, 0, 140, 3, 80), cut(20, 0, 10, 120, 3, z)), Defaults())
		if len(s.Ceilings) != 1 || math.Abs(s.Ceilings[0].Z[0]-z) > 1e-5 || math.Abs(s.Ceilings[0].Z[1]-z) > 1e-5 {
			t.Errorf("lintel at %g:%s", z, list(s))
		}
	}
}

func TestLowAndSmall(t *testing.T) {
	for _, c := range []struct {
		gap  float64
		want bool
	}{{1, true}, {1.8, true}, {2.6, false}, {10, false}} {
		s := survey(t, meshtest.Blocks(add(0, 0, 0, 120, 10, 30), cut(10, 0, 10, 110, 10, 10+c.gap)), Defaults())
		if len(s.Ceilings) != 1 || s.Ceilings[0].Low != c.want || !s.Ceilings[0].NeedsRibs {
			t.Errorf("gap of %g:%s", c.gap, list(s))
		}
	}
	for _, c := range []struct {
		wide float64
		want bool
	}{{1.5, true}, {1.9, true}, {2.3, false}} {
		s := survey(t, meshtest.Blocks(add(0, 0, 0, 30, 10, 30), cut(10, 0, 0, 30, 10, 27), add(20, 3, 20, 20+c.wide, 3+c.wide, 27)), Defaults())
		if len(s.Ceilings) != 2 || s.Ceilings[0].Kind != Island || s.Ceilings[0].Small != c.want {
			t.Errorf("peg %g wide:%s", c.wide, list(s))
		}
	}
}

func TestAtTheLimit(t *testing.T) {
	for _, c := range []struct {
		wide        float64
		needs, near bool
	}{{69, false, false}, {70.05, false, true}, {70.15, true, true}, {72, true, false}} {
		s := survey(t, wall(meshtest.Rectangle(20, 20, 20+c.wide, 80)), Defaults())
		if len(s.Ceilings) != 1 || s.Ceilings[0].NeedsRibs != c.needs || s.Ceilings[0].AtLimit != c.near || c.near != strings.Contains(s.Ceilings[0].Why, "at the limit") {
			t.Errorf("window %g wide:%s", c.wide, list(s))
		}
	}
}

func TestSameAnswerOnAnyNumberOfCores(t *testing.T) {
	m := meshtest.Turn(meshtest.Join(hall(), meshtest.Move(meshtest.Vault(33, 30, 64), 100, 200, 0)), [3]float64{0, 0, 1}, 13)
	old := runtime.GOMAXPROCS(1)
	one := survey(t, m, coarse())
	runtime.GOMAXPROCS(4)
	four := survey(t, m, coarse())
	runtime.GOMAXPROCS(old)
	if fmt.Sprint(one.Ceilings) != fmt.Sprint(four.Ceilings) {
		t.Errorf("one core:%s\nfour:%s", list(one), list(four))
	}
}

func TestRunStopsAndReports(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	calls, last := 0, -1
	_, err := Run(ctx, meshtest.Vault(63, 60, 128), Defaults(), Options{Progress: func(done, total int) {
		calls++
		if done < last || done > total {
			t.Errorf("progress went from %d to %d of %d", last, done, total)
		}
		last = done
		if calls == 3 {
			cancel()
		}
	}})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("interrupted survey returned %v", err)
	}
}

// A winding stair round a newel: its underside lies over itself.
func TestWindingStair(t *testing.T) {
	all := []*mesh.Mesh{meshtest.Cylinder(5, 84, 48)}
	const steps, rise = 24, 1.5
	for i := range 2*steps + 6 {
		var p [][2]float64
		for j := 0; j <= 3; j++ {
			a := 2 * math.Pi * (float64(i) + float64(j)/3) / steps
			p = append(p, [2]float64{25 * math.Cos(a), 25 * math.Sin(a)})
		}
		for j := 3; j >= 0; j-- {
			a := 2 * math.Pi * (float64(i) + float64(j)/3) / steps
			p = append(p, [2]float64{4 * math.Cos(a), 4 * math.Sin(a)})
		}
		z := 2 + rise*float64(i)
		all = append(all, meshtest.Prism(z, z+2*rise, p))
	}
	s := survey(t, meshtest.Join(all...), Defaults())
	n := 0
	for _, c := range s.Ceilings {
		if c.NeedsRibs {
			n++
			// The last quarter counts what lies before it as printed.
			if c.Kind != Ledge || c.Reach < 16 || c.Reach > 21 || c.Area > 2000 {
				t.Errorf("a turn of 20 deep:%s", list(s))
			}
		}
	}
	if n < 2 || n > 4 {
		t.Errorf("two turns and a quarter gave %d ceilings:%s", n, list(s))
	}
}

func TestRefuses(t *testing.T) {
	for _, c := range []struct {
		change func(*Settings)
		m      *mesh.Mesh
		want   string
	}{
		{func(s *Settings) { s.Layer = 0 }, hall(), "layer"},
		{func(s *Settings) { s.Slope = 95 }, hall(), "slope"},
		{func(s *Settings) { s.Limit = math.NaN() }, hall(), "limit"},
		{func(*Settings) {}, meshtest.Blocks(add(0, 0, 0, 1, 1, 1e6)), "unit"},
	} {
		s := Defaults()
		c.change(&s)
		if _, err := Run(context.Background(), c.m, s, Options{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("want an error about %s, got %v", c.want, err)
		}
	}
	if s := survey(t, &mesh.Mesh{}, Defaults()); len(s.Ceilings) != 0 || s.Layers() != 0 {
		t.Errorf("an empty mesh has ceilings:%s", list(s))
	}
}

// Real parts, each in another of six poses (one in seven is left out); with
// FALSEWORK_LONG in all six.
func TestRealPartsInSixPoses(t *testing.T) {
	n, given := 0, 0
	realParts(t, func(name string, m *mesh.Mesh) {
		if testing.Short() || len(m.Triangles) > 8000 {
			return
		}
		for _, p := range [][4]float64{{0, 0, 1, 0}, {1, 0, 0, 90}, {1, 0, 0, -90}, {1, 0, 0, 180}, {0, 1, 0, 90}, {0, 1, 0, -90}} {
			if given++; !property.Long() && given%7 != 0 {
				continue
			}
			s, err := Run(context.Background(), meshtest.Turn(m, [3]float64{p[0], p[1], p[2]}, p[3]), coarse(), Options{})
			if err == nil {
				sane(t, s)
				n++
			}
		}
	})
	t.Logf("%d surveys", n)
}
