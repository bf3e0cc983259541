package rib_test

import (
	"math"
	"path/filepath"
	"sync"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/stl"
	"falsework/mesh/union"
	"falsework/rib"
)

// The example's whole job, judged on the file that is written: read back by
// the reader, cut by scan lines and asked by rays, without sections, survey
// or union.

// An example is the job done once for all tests.
type example struct {
	part, ribbed *mesh.Mesh // both as read from files
	plan         *rib.Plan
	union        *union.Result
}

var doneExample struct {
	sync.Mutex
	*example
}

func tideHousing(t *testing.T) *example {
	t.Helper()
	doneExample.Lock()
	defer doneExample.Unlock()
	if doneExample.example != nil {
		return doneExample.example
	}
	in, err := stl.ReadFile(t.Context(), filepath.Join("..", "examples", "tide-housing.stl"))
	if err != nil {
		t.Fatal(err)
	}
	plan, r := ribbed(t, in.Mesh, nil)
	file := filepath.Join(t.TempDir(), "ribbed.stl")
	if err := stl.WriteFile(t.Context(), file, r.Mesh, stl.Source{}); err != nil {
		t.Fatal(err)
	}
	out, err := stl.ReadFile(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	doneExample.example = &example{in.Mesh, out.Mesh, plan, r}
	return doneExample.example
}

// The two lintels and the two roofs get ribs; cable glands, vent slots and
// drip edges get none.
func TestExampleCeilings(t *testing.T) {
	e := tideHousing(t)
	for i, c := range e.plan.Ceilings {
		s := e.plan.Survey.Ceilings[i]
		wide := s.Z[0] == 48 || s.Z[0] == 190 || s.Z[0] == 217 || s.Z[0] == 247
		if wide != c.Ribbed() || wide != s.NeedsRibs {
			t.Errorf("ceiling %d at height %v, span %.1f: needs ribs %v, ribbed %v, want %v (%s)", c.ID, s.Z, s.Span, s.NeedsRibs, c.Ribbed(), wide, c.Left)
		}
	}
	for _, c := range e.plan.Ceilings {
		if len(c.Unsteady) > 0 {
			t.Errorf("ceiling %d: %d of %d ribs are not braced as the stability rule asks", c.ID, len(c.Unsteady), len(c.Ribs))
		}
	}
	if n := len(e.plan.Ceilings); n != 14 { // four, two glands, eight slots
		t.Errorf("%d ceilings, want 14", n)
	}
}

// Under every ribbed ceiling no point is further than half the spacing (and
// 0.3 mm) from material in the layer below.
func TestExampleIsCarried(t *testing.T) {
	e := tideHousing(t)
	const cell = 0.1
	for i, c := range e.plan.Ceilings {
		if !c.Ribbed() {
			continue
		}
		s := e.plan.Survey.Ceilings[i]
		// The material that may carry lies within the spacing of the ceiling.
		box := mesh.Box{Min: [3]float64{s.Min[0] - 5, s.Min[1] - 5}, Max: [3]float64{s.Max[0] + 5, s.Max[1] + 5}}
		half := e.plan.Settings.Spacing / 2
		layer := e.plan.Survey.Settings.Layer
		above := meshtest.Scan(e.part, s.Z[0]+layer/2, box, cell)
		below := meshtest.Scan(e.part, s.Z[0]-layer/2, box, cell)
		carry := meshtest.Scan(e.ribbed, s.Z[0]-layer/2, box, cell).Distance()
		worst, at, hanging := 0.0, [2]float64{}, 0
		for y := range above.H {
			for x := range above.W {
				k := y*above.W + x
				if !above.Solid[k] || below.Solid[k] {
					continue
				}
				hanging++
				if carry[k] > worst {
					worst = carry[k]
					at[0], at[1] = above.Centre(x, y)
				}
			}
		}
		t.Logf("ceiling %d: %.0f mm2 hang, the furthest %.2f mm from material below", c.ID, float64(hanging)*cell*cell, worst)
		if math.Abs(float64(hanging)*cell*cell-s.Area) > 0.01*s.Area {
			t.Errorf("ceiling %d: %.0f mm2 hang in the scan, the survey says %.0f", c.ID, float64(hanging)*cell*cell, s.Area)
		}
		if worst > half+0.3 {
			t.Errorf("ceiling %d: the point (%.1f, %.1f) is %.2f mm from material below, more than %.2f", c.ID, at[0], at[1], worst, half+0.3)
		}
	}
}

// No cell of the part is lost, layer by layer, and whatever is added lies
// inside the bounds of the part above the feet.
func TestExampleLosesNothing(t *testing.T) {
	e := tideHousing(t)
	box := e.part.Bounds()
	outer := box
	for k := range 2 {
		outer.Min[k], outer.Max[k] = box.Min[k]-6.03, box.Max[k]+6.03
	}
	s := e.plan.Survey.Settings
	feet := 0.0
	for _, c := range e.plan.Ceilings {
		for _, f := range c.Feet {
			feet = math.Max(feet, f.Z[1])
		}
	}
	added := 0
	for layer := 0; ; layer += 7 { // every seventh layer; 7 shares no factor with the courses
		z := box.Min[2] + (float64(layer)+0.5)*s.Layer
		if z > box.Max[2] {
			break
		}
		before, after := meshtest.Scan(e.part, z, outer, 0.37), meshtest.Scan(e.ribbed, z, outer, 0.37)
		for i, solid := range before.Solid {
			x, y := before.Centre(i%before.W, i/before.W)
			switch {
			case solid && !after.Solid[i]:
				t.Fatalf("the part is lost at (%.2f, %.2f, %.2f)", x, y, z)
			case !solid && after.Solid[i]:
				added++
				if z > feet && (x < box.Min[0] || x > box.Max[0] || y < box.Min[1] || y > box.Max[1]) {
					t.Fatalf("something is added outside the part at (%.2f, %.2f, %.2f)", x, y, z)
				}
			}
		}
	}
	if added == 0 {
		t.Error("nothing is added anywhere")
	}
	// To the micron, above the layers of the feet.
	var after mesh.Box
	first := true
	for _, p := range e.ribbed.Vertices {
		if float64(p[2]) <= feet+1e-3 && feet > 0 {
			continue
		}
		for k, x := range p {
			x := float64(x)
			if first || x < after.Min[k] {
				after.Min[k] = x
			}
			if first || x > after.Max[k] {
				after.Max[k] = x
			}
		}
		first = false
	}
	for k := range 3 {
		if k < 2 && after.Min[k] < box.Min[k] || after.Max[k] > box.Max[k] {
			t.Errorf("bounds above the feet are %v, of the part %v", after, box)
		}
	}
}

// Ribs are as thick as planned, to a hundredth: chords through the file,
// square to the web, where it stands free.
func TestExampleRibThickness(t *testing.T) {
	e := tideHousing(t)
	width := e.plan.Settings.Width
	for _, c := range e.plan.Ceilings {
		for n, r := range c.Ribs {
			dx, dy := r.To[0]-r.From[0], r.To[1]-r.From[1]
			l := math.Hypot(dx, dy)
			across := [3]float64{-dy / l, dx / l, 0}
			hits := 0
			for _, z := range []float64{r.Top - 1.13, (r.Top + r.Bottom) / 2, r.Top - 7.3, r.Bottom + 3.1, r.Bottom + 11.3} {
				if e.braced(z) {
					continue // chords there may run along a brace
				}
				for k := range 9 {
					f := (float64(k) + 0.5) / 9
					p := [3]float64{r.From[0] + f*dx, r.From[1] + f*dy, z}
					for i := range p {
						p[i] -= 5 * across[i]
					}
					for _, ch := range meshtest.Chords(e.ribbed, p, across) {
						if ch[0] > 5 || ch[1] < 5 || ch[1]-ch[0] > 2 { // another, or along a brace or wall
							continue
						}
						hits++
						if d := ch[1] - ch[0]; math.Abs(d-width) > 0.01 {
							t.Errorf("ceiling %d, rib %d: %.4f mm thick at height %.2f, want %.2f", c.ID, n+1, d, z, width)
						}
					}
				}
			}
			if hits < 3 {
				t.Errorf("ceiling %d, rib %d from %v to %v: only %d chords found it", c.ID, n+1, r.From, r.To, hits)
			}
		}
	}
}

// braced reports whether a brace lies at a height.
func (e *example) braced(z float64) bool {
	for _, c := range e.plan.Ceilings {
		for _, b := range c.Braces {
			if z > b.Z[0]-0.05 && z < b.Z[1]+0.05 {
				return true
			}
		}
	}
	return false
}
