package span

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/section"
)

// grown reads a part up to the slabs: what carries itself looked for where it may
// rest on what hangs, or in every layer within the window (everywhere).
func grown(tb testing.TB, m *mesh.Mesh, everywhere bool) *joiner {
	tb.Helper()
	set := Defaults()
	st := newStack(m.Bounds(), set)
	act, err := findActivity(tb.Context(), m, m.Bounds(), st, set.Slope)
	if err != nil {
		tb.Fatal(err)
	}
	c := newCuts(section.NewSlicer(m), st)
	slabs := make([]slab, st.n)
	for k := 1; k < st.n; k++ {
		if act.hang[k] {
			slabs[k], _ = hangAt(c, k, set.Slope)
		}
	}
	const window = 10
	want := nearHang(slabs, act.lean, window)
	if everywhere {
		for k, near := range want {
			if near {
				_ = growAt(c, k, &slabs[k])
			}
		}
	} else {
		under, err := findUndersides(tb.Context(), m, st, act.down, want)
		if err != nil {
			tb.Fatal(err)
		}
		if err := growNear(tb.Context(), c, slabs, act.lean, window, under, m.Bounds()); err != nil {
			tb.Fatal(err)
		}
	}
	g, err := findGround(tb.Context(), c, act.birth, slabs, nil, set.Slope, window)
	if err != nil {
		tb.Fatal(err)
	}
	b := m.Bounds()
	return &joiner{c: c, g: g, slabs: slabs, slope: set.Slope, window: window, cell: joinCell(st, set),
		origin: Point{b.Min[0], b.Min[1]}, near: map[[2]int][]Point{}, touch: map[[2]int]bool{}}
}

// joined joins the units of a part and tells what each ceiling is made of.
func joined(tb testing.TB, m *mesh.Mesh, everywhere bool) []string {
	tb.Helper()
	j := grown(tb, m, everywhere)
	if err := j.addUnits(tb.Context()); err != nil {
		tb.Fatal(err)
	}
	j.findTouching()
	if err := j.joinSteps(); err != nil {
		tb.Fatal(err)
	}
	j.joinSelf()
	var out []string
	for _, g := range j.charts(j.groups()) {
		var s string
		for _, i := range j.extend(g) {
			s += fmt.Sprintf("%d:%.4f ", j.units[i].k, j.units[i].area(j.cell))
		}
		out = append(out, s)
	}
	return out
}

// spire is a ladder of slots, 10 deep, and far behind its front a flare that leans
// to it in every layer.
func spire(far float64) *mesh.Mesh {
	flare := meshtest.PrismIn(meshtest.Upright(0, 0, 90), 0, 12, [][2]float64{{far, 0}, {far + 10, 0}, {far + 10, 100}, {far - 3, 100}})
	return meshtest.Join(ladder(10, 30, 50), flare)
}

// What is not looked at would not have joined: every ceiling is made of the same
// pieces as when all layers are.
func TestNearMissesNothing(t *testing.T) {
	var cases []part
	for i, p := range parts {
		if i%5 == 0 || property.Long() {
			cases = append(cases, p)
		}
	}
	cases = append(cases,
		part{name: "a flare far off", m: func() *mesh.Mesh { return spire(200) }},
		part{name: "a flare beside", m: func() *mesh.Mesh { return spire(12) }},
		part{name: "a scanned roof", m: func() *mesh.Mesh {
			return scanned(meshtest.SubdivideTo(meshtest.Blocks(add(0, 0, 0, 40, 30, 20), cut(3, 3, 0, 37, 27, 15)), 3), 0.1)
		}},
	)
	for _, p := range cases {
		m := p.m()
		near, all := joined(t, m, false), joined(t, m, true)
		if !slices.Equal(near, all) {
			t.Errorf("%s:\n%q\nwith all layers\n%q", p.name, near, all)
		}
	}
}

// Layers in which something leans only far from what hangs are not cut.
func TestNearLeavesOutWhatIsFar(t *testing.T) {
	count := func(m *mesh.Mesh) (n int) {
		for _, s := range grown(t, m, false).slabs {
			if s.spread != nil && s.foot == nil {
				n++
			}
		}
		return n
	}
	if n := count(spire(200)); n != 0 {
		t.Errorf("%d layers looked at beside a flare far off", n)
	}
	if n := count(spire(12)); n != 30 {
		t.Errorf("%d layers looked at beside a flare, want the 10 above each of 3 ceilings", n)
	}
}

func TestSlabPlan(t *testing.T) {
	p := [3][3]float64{{0, 0, 0}, {4, 0, 0}, {0, 4, 4}}
	for _, c := range []struct{ z0, z1, y0, y1, area float64 }{
		{-1, 5, 0, 4, 8}, // all of it
		{1, 2, 1, 2, 2.5},
		{3, 9, 3, 4, 0.5},
		{0, 0, 0, 0, 0},
	} {
		lo, hi, area := slabPlan(p, c.z0, c.z1)
		if lo[0] != 0 || lo[1] != c.y0 || hi[1] != c.y1 || math.Abs(hi[0]-(4-c.y0)) > 1e-12 || math.Abs(area-c.area) > 1e-12 {
			t.Errorf("between %g and %g: %v to %v, area %g", c.z0, c.z1, lo, hi, area)
		}
	}
	if lo, hi, area := slabPlan(p, 5, 6); lo[0] <= hi[0] || area != 0 {
		t.Errorf("above it: %v to %v, area %g", lo, hi, area)
	}
}

// BenchmarkNear looks for what carries itself near what hangs, and in every layer.
func BenchmarkNear(b *testing.B) {
	m := spire(200)
	for _, everywhere := range []bool{false, true} {
		b.Run(fmt.Sprintf("everywhere=%v", everywhere), func(b *testing.B) {
			for b.Loop() {
				grown(b, m, everywhere)
			}
		})
	}
}
