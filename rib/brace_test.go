package rib_test

import (
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/section"
	"falsework/rib"
)

// bracesRest holds every brace to what a strip laid in the air needs: both of
// its tips rest on the part or on a web in the layer below, no stretch between
// is longer than a bay allows, and it keeps off every ceiling of the part.
func bracesRest(t testing.TB, p *rib.Plan, part *mesh.Mesh) {
	t.Helper()
	s, bed := p.Survey.Settings, p.Survey.Bounds.Min[2]
	cut := section.NewSlicer(part)
	for _, c := range p.Ceilings {
		for _, b := range c.Braces {
			k := math.Round((b.Z[0] - bed - s.FirstLayer) / s.Layer) // the brace begins layer k+1
			if d := b.Z[0] - (bed + s.FirstLayer + k*s.Layer); math.Abs(d) > 2e-3 {
				t.Errorf("ceiling %d: a brace at %.3f is off the layers by %.4f", c.ID, b.Z[0], d)
			}
			below := bed + s.FirstLayer + (k-0.5)*s.Layer
			holds, err := cut.At(below)
			if err != nil {
				t.Fatal(err)
			}
			for _, o := range p.Ceilings {
				for _, r := range o.Ribs {
					holds = section.Union(holds, at(r, below, p.Settings.Width))
				}
			}
			for _, tip := range []section.Point{b.From, b.To} {
				if near := section.Offset(holds, 0.05, section.Miter); !near.Contains(tip) {
					t.Errorf("ceiling %d: the brace at height %.2f ends in the air at (%.2f, %.2f)", c.ID, b.Z[0], tip[0], tip[1])
				}
			}
			// Beside a flank a hair of the strip passes the web's edge below.
			for _, gap := range section.Offset(section.Subtract(b.Outline, holds), -0.3, section.Miter) {
				long := 0.0
				for _, q := range gap {
					for _, r := range gap {
						long = math.Max(long, math.Hypot(q[0]-r[0], q[1]-r[1]))
					}
				}
				if long > p.Settings.Spacing+2*p.Settings.Width+b.Depth {
					t.Errorf("ceiling %d: the brace at height %.2f is a bridge of %.1f mm itself", c.ID, b.Z[0], long)
				}
			}
			for j, o := range p.Survey.Ceilings {
				if o.Z[1]-o.Z[0] > s.Layer || b.Z[0] > o.Z[1]+5 || b.Z[1] < o.Z[0]-5+1e-3 {
					continue
				}
				if a := section.Intersect(b.Outline, o.Footprint).Area(); a > 1e-3 {
					t.Errorf("ceiling %d: the brace at height %.2f lies %.1f mm2 under or over ceiling %d at %.2f", c.ID, b.Z[0], a, j+1, o.Z[0])
				}
			}
		}
	}
}

// at is the cut of a rib at a height.
func at(r rib.Rib, z, width float64) section.Polygons {
	dx, dy := r.To[0]-r.From[0], r.To[1]-r.From[1]
	l := math.Hypot(dx, dy)
	dx, dy = dx/l, dy/l
	var out section.Polygons
	line := section.Polygons{{{-1e3, z - 1e-3}, {1e3, z - 1e-3}, {1e3, z + 1e-3}, {-1e3, z + 1e-3}}}
	for _, ring := range section.Intersect(r.Outline, line) {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, q := range ring {
			lo, hi = math.Min(lo, q[0]), math.Max(hi, q[0])
		}
		h := width / 2
		a := section.Point{r.From[0] + lo*dx, r.From[1] + lo*dy}
		b := section.Point{r.From[0] + hi*dx, r.From[1] + hi*dy}
		out = append(out, section.Path{{a[0] + h*dy, a[1] - h*dx}, {b[0] + h*dy, b[1] - h*dx}, {b[0] - h*dy, b[1] + h*dx}, {a[0] - h*dy, a[1] + h*dx}})
	}
	return out
}

// Side walls with openings at many heights, another lintel in front at the
// height of the legs: no brace ends in an opening, lies level with that lintel
// or close under a crest.
func TestBracesAmongOpenings(t *testing.T) {
	part := meshtest.Blocks(meshtest.Add(0, 0, 0, 110, 60, 93), meshtest.Cut(3, 3, 3, 107, 60, 90),
		meshtest.Cut(0, 20, 20, 3, 50, 34), meshtest.Cut(107, 10, 30, 110, 55, 52),
		meshtest.Cut(0, 8, 50, 3, 40, 66), meshtest.Cut(12, 0, 8, 98, 3, 44))
	p, _ := ribbed(t, part, nil)
	n := 0
	for _, c := range p.Ceilings {
		n += len(c.Braces)
	}
	if p.Ribbed() != 2 || n == 0 {
		t.Errorf("%d ceilings ribbed with %d braces", p.Ribbed(), n)
	}
	// The check sees a brace that is moved: into the opening, and under the roof.
	for _, x := range []struct {
		name string
		z    float64
		gone bool
	}{{"as planned", 0, false}, {"up to the roof", 88.4, true}} {
		seen := &recorder{TB: t}
		q := *p
		q.Ceilings = append([]rib.CeilingPlan(nil), p.Ceilings...)
		last := &q.Ceilings[len(q.Ceilings)-1]
		last.Braces = append([]rib.Brace(nil), last.Braces...)
		if x.z > 0 {
			last.Braces[0].Z = [2]float64{x.z, x.z + 0.4}
		}
		bracesRest(seen, &q, part)
		if (seen.errors > 0) != x.gone {
			t.Errorf("%s: %d complaints", x.name, seen.errors)
		}
	}
}
