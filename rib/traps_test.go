package rib_test

import (
	"math"
	"testing"

	"falsework/mesh"
	mt "falsework/mesh/meshtest"
	"falsework/mesh/section"
	"falsework/rib"
)

// apart holds webs of two ceilings to a clear gap from each other, and braces
// to their own ceiling's webs: what is one piece by accident is cut by nobody.
func apart(t testing.TB, p *rib.Plan, gap float64) {
	t.Helper()
	w := p.Settings.Width
	for i := range p.Ceilings {
		for j := range p.Ceilings {
			if i == j {
				continue
			}
			for _, r := range p.Ceilings[i].Ribs {
				near := section.Offset(strip(r, w), gap/2, section.Miter)
				for _, o := range p.Ceilings[j].Ribs {
					if j > i || len(section.Intersect(near, section.Offset(strip(o, w), gap/2, section.Miter))) == 0 {
						continue
					}
					for z := math.Max(r.Bottom, o.Bottom) + 0.3; z < math.Min(r.Top, o.Top); z += 0.77 {
						a, b := section.Offset(at(r, z, w), gap/2, section.Miter), section.Offset(at(o, z, w), gap/2, section.Miter)
						if len(section.Intersect(a, b)) > 0 {
							t.Errorf("webs of ceilings %d and %d come within %.2f mm at height %.2f", i+1, j+1, gap, z)
							break
						}
					}
				}
				for _, b := range p.Ceilings[j].Braces {
					if a := section.Intersect(b.Outline, at(r, (b.Z[0]+b.Z[1])/2, w)).Area(); a > 1e-3 {
						t.Errorf("a brace of ceiling %d at height %.2f passes through a web of ceiling %d", j+1, b.Z[0], i+1)
					}
				}
			}
		}
	}
}

// Two low ceilings with a step between them, webs end to end below the step:
//
//	##################
//	#########|  |  | :
//	 |  |  |#|__|__|_:
//	##################   bed
func TestWebsOfTwoCeilings(t *testing.T) {
	part := mt.Blocks(mt.Add(0, 0, 0, 106, 23, 13), mt.Add(0, 20, 0, 106, 43, 17),
		mt.Cut(3, 0, 3, 103, 23, 9), mt.Cut(3, 23, 3, 103, 43, 14))
	p, _ := ribbed(t, part, nil)
	if p.Ribbed() != 2 {
		t.Fatalf("%d ceilings ribbed, want 2", p.Ribbed())
	}
	apart(t, p, 2*p.Settings.Width-0.02)
}

// A window that itself needs no rib below a roof that does, and one that does
// in the wall opposite: no web of the roof stands in either, nor nearer to the
// faces of their wall than the setback.
func TestNoLegInAWindow(t *testing.T) {
	windows := []mt.Block{mt.Cut(15, 0, 72, 75, 3, 80), mt.Cut(6, 97, 20, 114, 100, 84)}
	part := mt.Blocks(append([]mt.Block{mt.Add(0, 0, 0, 120, 100, 93), mt.Cut(3, 3, 3, 117, 97, 90), mt.Cut(0, 40, 3, 3, 60, 30)}, windows...)...)
	p, r := ribbed(t, part, nil)
	roof := &p.Ceilings[len(p.Ceilings)-1]
	if p.Ribbed() != 2 || len(roof.Ribs) == 0 {
		t.Fatalf("%d ceilings ribbed", p.Ribbed())
	}
	own := section.Polygons{} // of the wide window, in plan
	for _, x := range p.Ceilings[len(p.Ceilings)-2].Ribs {
		own = section.Union(own, strip(x, p.Settings.Width+0.1))
	}
	before, after := section.NewSlicer(part), section.NewSlicer(r.Mesh)
	set := p.Settings.Setback
	looked := 0
	for z := 20.3; z < 84; z += 1.4 {
		if tied(p, z) {
			continue
		}
		looked++
		for k, wall := range []section.Polygons{{box2(15, 0, 75, 3+set-0.03)}, {box2(6, 97-set+0.03, 114, 100)}} {
			if k == 0 && (z < 72.1 || z > 79.9) {
				continue
			}
			in := section.Subtract(section.Intersect(section.Subtract(mustAt(t, after, z), mustAt(t, before, z)), wall), own)
			if a := in.Area(); a > 1e-3 {
				t.Errorf("window %d at height %.1f: %.3f mm2 of a web of the roof", k, z, a)
			}
		}
	}
	if looked < 20 {
		t.Errorf("%d heights looked at", looked)
	}
	// The roof's webs do pass the windows: what springs from a wall above or
	// stands before it would be seen.
	low := math.Inf(1)
	for _, x := range roof.Ribs {
		low = math.Min(low, x.Bottom)
	}
	if low > 60 {
		t.Errorf("no web of the roof reaches below %.1f: nothing is tested", low)
	}
}

func box2(x0, y0, x1, y1 float64) section.Path {
	return section.Path{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

func mustAt(t testing.TB, s *section.Slicer, z float64) section.Polygons {
	t.Helper()
	p, err := s.At(z)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A web that lands on the bed does so from the first layer on, on a pad of two
// layers that keeps its gap to the part; in the third the web is alone. Read off
// the ribbed mesh, with a wall beside the foot and a plinth in the first layers.
func TestFeetStandAndKeepTheirGap(t *testing.T) {
	for name, part := range map[string]*mesh.Mesh{
		"doorway": mt.Blocks(mt.Add(0, 0, 0, 130, 3, 60), mt.Cut(15, 0, 0, 115, 3, 50)),
		"plinth":  mt.Blocks(mt.Add(0, 0, 0, 130, 3, 60), mt.Cut(15, 0, 0, 115, 3, 50), mt.Add(0, -6, 0, 130, -1.5, 0.2), mt.Add(0, -6, 0, 6, 0, 0.2)),
		"shelf":   mt.Blocks(mt.Add(0, 0, 0, 110, 6, 34), mt.Add(0, 6, 30, 110, 40, 34), mt.Add(0, 42, 0, 110, 44, 0.4), mt.Add(0, 41.85, 0.2, 110, 44, 0.4)),
	} {
		p, r := ribbed(t, part, nil)
		s, bed := p.Survey.Settings, p.Survey.Bounds.Min[2]
		before, after := section.NewSlicer(part), section.NewSlicer(r.Mesh)
		gap := math.Max(2*p.Settings.Setback, 0.5)
		mids := []float64{bed + s.FirstLayer/2, bed + s.FirstLayer + s.Layer/2, bed + s.FirstLayer + 1.5*s.Layer}
		feet := 0
		for _, c := range p.Ceilings {
			feet += len(c.Feet)
			for _, x := range c.Ribs {
				if x.Bottom > bed+1 {
					continue
				}
				for k, z := range mids {
					was := mustAt(t, before, z)
					added := section.Subtract(mustAt(t, after, z), was)
					web := at(x, mids[2], p.Settings.Width)
					mine := section.Intersect(added, section.Offset(web, p.Settings.Foot+1, section.Miter))
					grow := mine.Area() / web.Area()
					switch {
					case len(section.Subtract(section.Offset(web, -0.06, section.Miter), added)) > 0:
						t.Errorf("%s: the web at %v hovers: nothing of it in layer %d", name, x.From, k+1)
					case k < 2 && grow < 3:
						t.Errorf("%s: no pad under the web at %v in layer %d", name, x.From, k+1)
					case k == 2 && grow > 1.1:
						t.Errorf("%s: the pad of the web at %v is in layer 3 still", name, x.From)
					}
					pad := section.Subtract(mine, section.Offset(web, 0.15, section.Miter))
					if a := section.Intersect(pad, section.Offset(was, gap-0.03, section.Miter)).Area(); a > 1e-3 {
						t.Errorf("%s: %.3f mm2 of the pad at %v in layer %d nearer than %.2f mm to the part", name, a, x.From, k+1, gap)
					}
				}
			}
		}
		if feet == 0 {
			t.Errorf("%s: no feet", name)
		}
	}
}

// The gaps of a notched crest are there in the layers as printed, wherever the
// ceiling lies between two of them: one layer open between nibs, none less and
// none more. Read off the ribbed mesh.
func TestCrestGapsArePrinted(t *testing.T) {
	for _, z := range []float64{30, 30.06, 30.1, 30.14} {
		part := mt.Blocks(mt.Add(0, 0, 0, 100, 4, 40), mt.Add(0, 4, 0, 100, 40, 3), mt.Add(0, 4, z, 100, 30, 34))
		p, r := ribbed(t, part, func(s *rib.Settings) { s.Crest = rib.CrestNotched })
		s, bed := p.Survey.Settings, p.Survey.Bounds.Min[2]
		mid := func(k int) float64 { return bed + s.FirstLayer + (float64(k)-0.5)*s.Layer }
		first := 0 // printed layer of the ceiling
		for mid(first) < z-1e-9 {
			first++
		}
		cut := section.NewSlicer(r.Mesh)
		for _, x := range p.Ceilings[0].Ribs {
			l := math.Hypot(x.To[0]-x.From[0], x.To[1]-x.From[1])
			in := strip(x, p.Settings.Width-0.1)
			share := func(k int) float64 {
				return section.Intersect(mustAt(t, cut, mid(k)), in).Area() / (l * (p.Settings.Width - 0.1))
			}
			under, below := share(first-1), share(first-2)
			if under > 0.45 || under < 0.15 {
				t.Errorf("ceiling at %.2f: %.0f %% of the layer under it is crest", z, 100*under)
			}
			if below < 0.95 {
				t.Errorf("ceiling at %.2f: only %.0f %% of the layer below the gaps is crest", z, 100*below)
			}
		}
	}
}
