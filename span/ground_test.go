package span

import (
	"fmt"
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/section"
)

// shells are n thin walls one in another, 3 mm high.
func shells(n int) *mesh.Mesh {
	var all []*mesh.Mesh
	for i := range n {
		r := 5 + 0.3*float64(i)
		all = append(all, meshtest.Prism(0, 3, meshtest.Circle(0, 0, r+0.1, 32), meshtest.Circle(0, 0, r, 32)))
	}
	return meshtest.Join(all...)
}

// Each hole goes to the wall it is the hole of, in whatever order rings come.
func TestComponentsOfShells(t *testing.T) {
	s, err := section.NewSlicer(shells(40)).At(1)
	if err != nil {
		t.Fatal(err)
	}
	for i := range s {
		if i%3 == 1 { // not in the order of their places
			s[i], s[len(s)-1-i] = s[len(s)-1-i], s[i]
		}
	}
	parts := components(s)
	if len(parts) != 40 {
		t.Fatalf("%d parts of 40 walls", len(parts))
	}
	for _, p := range parts {
		wide, _ := p.Bounds()
		out, in := wide.Max[0], wide.Max[0]-0.1
		want := 16 * math.Sin(math.Pi/16) * (out*out - in*in) // of a ring of 32 sides
		if len(p) != 2 || p.Area() < 0.99*want || p.Area() > 1.01*want {
			t.Fatalf("a wall of radius %.2f has %d rings and %.3f mm2, want %.3f", out, len(p), p.Area(), want)
		}
	}
}

// Walls thinner than the samples still stand on themselves, and a block that
// begins among them does not.
func TestGroundOfThinWalls(t *testing.T) {
	m := meshtest.Join(shells(12), meshtest.Prism(1.5, 3, meshtest.Rectangle(-2, -2, 2, 2)))
	s := survey(t, m, Defaults())
	if !s.Grounded([3]float64{5.05, 0, 2.5}) || !s.Grounded([3]float64{0, 8.35, 2.5}) {
		t.Error("a wall that stands on the bed does not")
	}
	if s.Grounded([3]float64{0, 0, 2.5}) || !s.Floats([3]float64{0, 0, 2.5}) {
		t.Error("a block in mid-air stands on the bed")
	}
	if len(s.Ceilings) != 1 || s.Ceilings[0].Kind != Island {
		t.Errorf("want one island:%s", list(s))
	}
}

// BenchmarkShells shows that twice the walls take about twice the time.
func BenchmarkShells(b *testing.B) {
	for _, n := range []int{50, 100, 200} {
		m := meshtest.Join(shells(n), meshtest.Prism(1.5, 3, meshtest.Rectangle(-2, -2, 2, 2)))
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				survey(b, m, Defaults())
			}
		})
	}
}
