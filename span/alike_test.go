package span

import (
	"fmt"
	"reflect"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/section"
)

// ladder is a wall with slots 20 wide one over another at the given heights, the
// roof of each notched so that it is not convex.
func ladder(at ...float64) *mesh.Mesh {
	ops := []meshtest.Block{add(0, 0, 0, 30, 10, 100)}
	for _, z := range at {
		ops = append(ops, cut(5, 0, z, 25, 10, z+4), add(5, 3, z, 8, 7, z+4))
	}
	return meshtest.Blocks(ops...)
}

// Equal ceilings are measured once: each must come out as it does alone, with
// heights, verdict and trials of its own.
func TestAlikeAsAlone(t *testing.T) {
	heights := []float64{10, 20.1, 47.3, 80}
	for _, limit := range []float64{70, 12} {
		set := Defaults()
		set.Limit = limit
		s := survey(t, ladder(heights...), set)
		if len(s.Ceilings) != len(heights) {
			t.Fatal(list(s))
		}
		for i, z := range heights {
			one := survey(t, ladder(z), set)
			got, want := s.Ceilings[i], one.Ceilings[0]
			got.ID = want.ID
			if !reflect.DeepEqual(got, want) {
				t.Errorf("limit %g, height %g: %+v, alone %+v", limit, z, got, want)
			}
			if got.Z[0] != float64(float32(z+4)) {
				t.Errorf("height %g, want %g", got.Z[0], z+4)
			}
			ribs := section.Polygons{{{15, 0}, {15.5, 0}, {15.5, 10}, {15, 10}}}
			a, err := s.Judge(i+1, ribs, limit)
			if err != nil {
				t.Fatal(err)
			}
			if b, _ := one.Judge(1, ribs, limit); a != b {
				t.Errorf("limit %g, height %g: judged %+v, alone %+v", limit, z, a, b)
			}
		}
	}
}

// A zone of its own makes another verdict of an equal ceiling.
func TestAlikeInZones(t *testing.T) {
	zone := Zone{Footprint: section.Polygons{{{0, 0}, {30, 0}, {30, 10}, {0, 10}}}, Z: [2]float64{50, 60}, Limit: 12}
	s, err := Run(t.Context(), ladder(10, 50, 80), Defaults(), Options{Zones: []Zone{zone}})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Ceilings) != 3 {
		t.Fatal(list(s))
	}
	for i, c := range s.Ceilings {
		if want := i == 1; c.NeedsRibs != want || (c.Limit == 12) != want {
			t.Errorf("ceiling at %g: limit %g, needs ribs %v", c.Z[0], c.Limit, c.NeedsRibs)
		}
	}
}

// What a measurement depends on makes another likeness, height alone does not.
func TestLikeness(t *testing.T) {
	square := func() *piece {
		foot := section.Polygons{{{0, 0}, {9, 0}, {9, 4}, {0, 4}}}
		p := &piece{foot: foot, layers: [2]int{7, 7}}
		for i, a := range foot[0] {
			p.rims = append(p.rims, rim{a, foot[0][(i+1)%4], i%2 == 0, 1.4})
		}
		return p
	}
	want := square().likeness()
	for _, c := range []struct {
		name   string
		change func(p *piece)
		like   bool
	}{
		{"itself", func(*piece) {}, true},
		{"another height", func(p *piece) { p.layers = [2]int{9, 9}; p.rims[0].z = 1.8 }, true},
		{"another corner", func(p *piece) { p.foot[0][1][0] = 9.001 }, false},
		{"another border", func(p *piece) { p.rims[0].held = false }, false},
		{"a border cut elsewhere", func(p *piece) { p.rims[0].b[0] = 8 }, false},
		{"two rings", func(p *piece) { p.foot = section.Polygons{p.foot[0][:2], p.foot[0][2:]} }, false},
	} {
		p := square()
		c.change(p)
		if got := p.likeness() == want; got != c.like {
			t.Errorf("%s: alike is %v", c.name, got)
		}
	}
	p := square()
	if p.layers[1] = 8; p.likeness() != "" {
		t.Error("a piece with heights has a likeness")
	}
}

// BenchmarkAlike is the survey of a wall with slots: the first of each outline
// is measured, so that many cost little more than one beside their sections.
func BenchmarkAlike(b *testing.B) {
	for _, n := range []int{1, 16} {
		var at []float64
		for i := range n {
			at = append(at, 6*float64(i)+2)
		}
		m := ladder(at...)
		b.Run(fmt.Sprintf("slots=%d", n), func(b *testing.B) {
			for b.Loop() {
				survey(b, m, Defaults())
			}
		})
	}
}
