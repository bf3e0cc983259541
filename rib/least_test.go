package rib

import (
	"context"
	"fmt"
	"math"
	"sort"
	"testing"

	"falsework/mesh"
	mt "falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/section"
	"falsework/span"
)

// A rectangle is a ceiling a by b, high above its floor, held on some sides.
type rectangle struct {
	name    string
	a, b    float64
	high    float64
	limit   float64
	x, y    [2]bool // walls at the ends of each
	inAWall bool
}

func (r rectangle) part() *mesh.Mesh {
	const t = 3
	if r.inAWall {
		return mt.Blocks(mt.Add(0, 0, 0, r.a+40, r.b, r.high+30), mt.Add(0, -20, 0, r.a+40, 20, 3), mt.Cut(20, 0, 8, r.a+20, r.b, r.high+8))
	}
	x0, y0, x1, y1 := 0.0, 0.0, r.a+2*t, r.b+2*t
	cx0, cy0, cx1, cy1 := x0, y0, x1, y1
	if r.x[0] {
		cx0 += t
	}
	if r.x[1] {
		cx1 -= t
	}
	if r.y[0] {
		cy0 += t
	}
	if r.y[1] {
		cy1 -= t
	}
	blocks := []mt.Block{mt.Add(x0, y0, 0, x1, y1, r.high+6), mt.Cut(cx0, cy0, 3, cx1, cy1, r.high+3)}
	if r.x[0] && r.x[1] && r.y[0] && r.y[1] { // a way in
		m := (cx0 + cx1) / 2
		blocks = append(blocks, mt.Cut(m-8, 0, 3, m+8, t, 3+math.Min(16, r.high-3)))
	}
	return mt.Blocks(blocks...)
}

// Small limits keep the search short; all lengths scale.
var rectangles = []rectangle{
	{"lintel", 80, 3, 50, 35, [2]bool{}, [2]bool{}, true},
	{"roof on three sides, low", 60, 40, 12, 35, [2]bool{true, true}, [2]bool{true, false}, false},
	{"roof on two sides, low", 60, 40, 12, 35, [2]bool{true, true}, [2]bool{}, false},
	{"roof on two sides, high", 60, 40, 70, 35, [2]bool{true, true}, [2]bool{}, false},
	{"roof on three sides, high", 60, 40, 70, 35, [2]bool{true, true}, [2]bool{true, false}, false},
	{"roof free on a short side", 60, 40, 30, 35, [2]bool{true, false}, [2]bool{true, true}, false},
	{"roof on four sides, low", 60, 45, 16, 35, [2]bool{true, true}, [2]bool{true, true}, false},
	{"roof on four sides, high", 60, 45, 70, 35, [2]bool{true, true}, [2]bool{true, true}, false},
}

// The plan for a rectangle adds at most a tenth more than the best of all
// layouts of the same families: every one drawn and braced, and judged from the
// least material up. The lintel alone by default.
func TestLeastMaterialOnRectangles(t *testing.T) {
	for i, r := range rectangles {
		if i > 0 && !property.Long() {
			break
		}
		t.Run(r.name, func(t *testing.T) {
			sv := span.Defaults()
			sv.Limit = r.limit
			part := r.part()
			s, err := span.Run(context.Background(), part, sv, span.Options{})
			if err != nil {
				t.Fatal(err)
			}
			p, err := Make(context.Background(), part, s, DefaultSettings(sv))
			if err != nil {
				t.Fatal(err)
			}
			for i := range p.Ceilings {
				c := &p.Ceilings[i]
				if !s.Ceilings[i].NeedsRibs {
					continue
				}
				if !c.Ribbed() || len(c.Unsteady) > 0 {
					t.Fatalf("ceiling %d: %q, %d unsteady", c.ID, c.Left, len(c.Unsteady))
				}
				best, words, tried := cheapest(t, part, p, i)
				got := c.Volume
				for _, f := range c.Feet {
					got -= float64(f.Outline.Area() * (f.Z[1] - f.Z[0]))
				}
				t.Logf("planned %s with %.0f mm3; the best of %d: %s with %.0f mm3", c.Layout, got, tried, words, best)
				if got > 1.1*best {
					t.Errorf("%.0f mm3 (%s), more than a tenth above %.0f (%s)", got, c.Layout, best, words)
				}
			}
		})
	}
}

// cheapest is the least material of all layouts that carry a ceiling and stand
// steadily.
func cheapest(t *testing.T, part *mesh.Mesh, p *Plan, i int) (best float64, words string, tried int) {
	t.Helper()
	c := &p.Survey.Ceilings[i]
	m := &maker{ctx: context.Background(), part: part, plan: p, reading: &reading{cutter: section.NewCutter(part), probes: newProbes(part, 0.5), slices: newLayers(p.Survey)}}
	shaper := newShaper(newView(c, m.probes, p.Settings, p.Survey.Settings), m.cutter, p.Survey, nil)
	var all []*trial
	for _, l := range shaper.layouts() {
		tried++
		tr := &trial{layout: &l}
		if tr.draw(shaper) != "" {
			continue
		}
		if tr.brace(shaper, m.slices, fairly); len(tr.loose) == 0 {
			all = append(all, tr)
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].built() < all[j].built() })
	for _, tr := range all {
		v := m.carries(shaper, tr.contact)
		if v.err != nil {
			t.Fatal(v.err)
		}
		if v.ok {
			return tr.built(), fmt.Sprint(tr.layout.words, " ", tr.layout.lines[0].dir), tried
		}
	}
	t.Fatal("no layout carries it")
	return
}

// built is what a trial adds, the crossings of braces and webs counted once, as
// the plan counts it.
func (t *trial) built() float64 {
	sum := 0.0
	for _, w := range t.webs {
		if w != nil {
			sum += w.Volume
		}
	}
	for _, c := range t.chains {
		area := section.Polygons{c.plan}.Area()
		sum += math.Max(0, area-float64(len(c.ties))*c.depth*t.width) * (c.z[1] - c.z[0])
	}
	return sum
}
