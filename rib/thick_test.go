package rib_test

import (
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/section"
	"falsework/rib"
)

// onlyThin holds what was added to the promise of thickness, layer by layer:
// no disc wider than a rib and 0.02 mm fits into it, but where ribs cross and
// in the layers of braces and feet. Every layer with FALSEWORK_LONG set, every
// seventh without.
func onlyThin(t testing.TB, p *rib.Plan, part, ribbed *mesh.Mesh) {
	t.Helper()
	before, after := section.NewSlicer(part), section.NewSlicer(ribbed)
	s := p.Survey.Settings
	bed := p.Survey.Bounds.Min[2]
	step := 7
	if property.Long() {
		step = 1
	}
	bottom, top := math.Inf(1), math.Inf(-1)
	for _, c := range p.Ceilings {
		for _, r := range c.Ribs {
			bottom, top = math.Min(bottom, r.Bottom), math.Max(top, r.Top)
		}
	}
	crossings := crossed(p)
	looked, bad := 0, 0
	for k := 2; ; k += step {
		z := bed + s.FirstLayer + (float64(k)-0.5)*s.Layer
		if z > top {
			break
		}
		if z < bottom || tied(p, z) {
			continue
		}
		a, err := before.At(z)
		if err != nil {
			t.Fatal(err)
		}
		b, err := after.At(z)
		if err != nil {
			t.Fatal(err)
		}
		looked++
		added := section.Subtract(b, section.Union(a, crossings))
		thick := section.Offset(added, -(p.Settings.Width+0.02)/2, section.Round)
		if area := thick.Area(); area > 1e-4 && bad < 5 {
			bad++
			q := thick[0][0]
			t.Errorf("at height %.2f more than %.2f mm is added round (%.2f, %.2f)", z, p.Settings.Width+0.02, q[0], q[1])
		}
	}
	if looked == 0 && p.Ribbed() > 0 && top-bottom > 10 {
		t.Error("no layer was looked at")
	}
}

// tied reports whether a brace or foot lies at a height.
func tied(p *rib.Plan, z float64) bool {
	for _, c := range p.Ceilings {
		for _, b := range c.Braces {
			if z > b.Z[0]-0.05 && z < b.Z[1]+0.05 {
				return true
			}
		}
		for _, f := range c.Feet {
			if z < f.Z[1]+0.05 {
				return true
			}
		}
	}
	return false
}

// crossed are the places where two ribs meet in plan, a little larger.
func crossed(p *rib.Plan) section.Polygons {
	var all []rib.Rib
	for _, c := range p.Ceilings {
		all = append(all, c.Ribs...)
	}
	var out section.Polygons
	for i, r := range all {
		for _, o := range all[:i] {
			both := section.Intersect(strip(r, p.Settings.Width), strip(o, p.Settings.Width))
			out = section.Union(out, section.Offset(both, 0.1, section.Miter))
		}
	}
	return out
}

// strip is a rib in plan.
func strip(r rib.Rib, width float64) section.Polygons {
	dx, dy := r.To[0]-r.From[0], r.To[1]-r.From[1]
	l := math.Hypot(dx, dy)
	dx, dy = dx/l, dy/l
	h := width / 2
	a := section.Point{r.From[0] - 0.3*dx, r.From[1] - 0.3*dy}
	b := section.Point{r.To[0] + 0.3*dx, r.To[1] + 0.3*dy}
	return section.Polygons{{{a[0] + h*dy, a[1] - h*dx}, {b[0] + h*dy, b[1] - h*dx}, {b[0] - h*dy, b[1] + h*dx}, {a[0] - h*dy, a[1] + h*dx}}}
}

// Something thicker than a rib is seen.
func TestThickIsSeen(t *testing.T) {
	part := meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 4, 40), meshtest.Cut(10, 0, 4, 90, 4, 36))
	p, r := ribbed(t, part, nil)
	onlyThin(t, p, part, r.Mesh)
	for _, w := range []float64{0.5, 0.6} {
		fat := meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 4, 40), meshtest.Cut(10, 0, 4, 90, 4, 36), meshtest.Add(50, 1, 4, 50+w, 3, 36))
		seen := &recorder{TB: t}
		onlyThin(seen, p, part, fat)
		if (seen.errors > 0) != (w > 0.52) {
			t.Errorf("a column %g thick: %d complaints", w, seen.errors)
		}
	}
}

// A recorder counts what a check would have reported.
type recorder struct {
	testing.TB
	errors int
}

func (r *recorder) Helper()               {}
func (r *recorder) Errorf(string, ...any) { r.errors++ }
func (r *recorder) Error(...any)          { r.errors++ }
func (r *recorder) Logf(string, ...any)   {}
