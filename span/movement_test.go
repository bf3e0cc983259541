package span

import (
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
)

// How far a span may move when the same part is given otherwise: turned about
// z, sliced from a shifted start, in thinner or thicker layers, subdivided.
const (
	moveFlat  = 0.2
	moveArch  = 0.5
	moveStrip = 0.7
)

// The parts that movement is measured on, by their name in the table.
var moving = []struct {
	name string
	most float64
}{
	{"window 100 wide", moveFlat},
	{"round hole within the limit", moveArch},
	{"bowed front", moveStrip},
	{"pointed arch of two arcs", moveArch}, // closed by a ridge narrower than the lattice
	{"wide niche", moveFlat},
	{"shelf", moveFlat},
	{"roof held on three sides", moveFlat},
	{"corner plate", moveFlat},
	{"shelf on brackets", moveFlat},
	{"oval roof", moveFlat},
	{"round roof with a post", moveFlat},
	{"perforated shelf", moveFlat},
	{"window round a bend", moveStrip},
	{"round hole over the limit", moveArch},
	{"oval lying", moveArch},
	{"segmental arch, flat", moveArch},
	{"segmental arch, high", moveArch},
	{"barrel vault", moveArch},
	{"dome", moveArch},
	{"wide dome", moveArch},
	{"flat gable", moveArch},
	{"lean-to", moveArch},
}

// size is what a ceiling is known by: its span, or its reach where it has none.
func size(c Ceiling) float64 {
	if c.Kind == Bridge {
		return c.Span
	}
	return c.Reach
}

func TestMovement(t *testing.T) {
	chosen, some := moving, givings
	if !property.Long() {
		chosen = moving[:4]
		some = nil
		for _, g := range givings {
			switch g.name {
			case "turned by 63.3", "first layer 0.27", "layers of 0.28", "subdivided":
				some = append(some, g)
			}
		}
	}
	for _, c := range chosen {
		t.Run(c.name, func(t *testing.T) {
			var base []Ceiling
			worst := 0.0
			for _, p := range parts {
				if p.name != c.name {
					continue
				}
				m := p.m()
				base = survey(t, m, Defaults()).Ceilings
				lo, hi := make([]float64, len(base)), make([]float64, len(base))
				for i, b := range base {
					lo[i], hi[i] = size(b), size(b)
				}
				for _, g := range some {
					s := Defaults()
					if g.s != nil {
						s = g.s(s)
					}
					got := survey(t, g.f(m), s)
					if len(got.Ceilings) != len(base) {
						t.Errorf("%s: %d ceilings instead of %d:%s", g.name, len(got.Ceilings), len(base), list(got))
						continue
					}
					for i, b := range got.Ceilings {
						lo[i], hi[i] = min(lo[i], size(b)), max(hi[i], size(b))
						if b.Kind != base[i].Kind || b.NeedsRibs != base[i].NeedsRibs && math.Abs(size(b)-s.Limit) > c.most {
							t.Errorf("%s: ceiling %d is another:%s", g.name, b.ID, list(got))
						}
					}
				}
				for i := range lo {
					worst = max(worst, hi[i]-lo[i])
				}
			}
			if len(base) == 0 {
				t.Fatalf("no ceiling in %q", c.name)
			}
			t.Logf("moves by %.3f mm", worst)
			if worst > c.most {
				t.Errorf("moves by %.3f mm, %.1f at most", worst, c.most)
			}
		})
	}
}

// A verdict that may come out otherwise when the same part is given otherwise
// says that it is at the limit, and others do not.
func TestFlipsAreAtTheLimit(t *testing.T) {
	ball := func(r float64) func() *mesh.Mesh {
		return func() *mesh.Mesh { return meshtest.Sphere(r, 96) }
	}
	for _, c := range []struct {
		name string
		m    func() *mesh.Mesh
		at   bool
	}{
		{"window", func() *mesh.Mesh { return wall(meshtest.Rectangle(20, 20, 90.1, 80)) }, true},
		{"narrower window", func() *mesh.Mesh { return wall(meshtest.Rectangle(20, 20, 89, 80)) }, false},
		{"wider window", func() *mesh.Mesh { return wall(meshtest.Rectangle(20, 20, 91, 80)) }, false},
		{"round hole", func() *mesh.Mesh { return wall(ellipse(70.1/math.Sqrt2, 70.1/math.Sqrt2)) }, true},
		{"smaller round hole", func() *mesh.Mesh { return wall(ellipse(48.5, 48.5)) }, false},
		{"shelf", func() *mesh.Mesh { return meshtest.Blocks(add(0, 0, 0, 60, 15, 33), cut(0, 12.9, 0, 60, 15, 30)) }, true},
		{"narrower shelf", func() *mesh.Mesh { return meshtest.Blocks(add(0, 0, 0, 60, 15, 33), cut(0, 13.4, 0, 60, 15, 30)) }, false},
		{"small ball", ball(3), false},
		{"slot just as deep as the ledge", func() *mesh.Mesh { return wall(meshtest.Rectangle(50, 20, 54, 60)) }, false},
		{"slot a little deeper", func() *mesh.Mesh { return wall(meshtest.Rectangle(50, 20, 54.2, 60)) }, false},
	} {
		seen := map[bool]bool{}
		for i, g := range givings {
			if !property.Long() && i%5 != 1 {
				continue
			}
			s := Defaults()
			if g.s != nil {
				s = g.s(s)
			}
			for _, x := range survey(t, g.f(c.m()), s).Ceilings {
				seen[x.NeedsRibs] = true
				if x.AtLimit != c.at {
					t.Errorf("%s, %s: at the limit %v: %s", c.name, g.name, x.AtLimit, x.Why)
				}
			}
		}
		if len(seen) > 1 && !c.at {
			t.Errorf("%s: verdict flips", c.name)
		}
	}
}
