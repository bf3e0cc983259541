package span

import (
	"math"
	"slices"
	"testing"

	"falsework/mesh/section"
)

// A rib along the lower border of an underside that rises with it carries, of
// what lies a width away, what the rise does not: from the best place on the rib,
// at tan(a) = gradient, the way is a/cos less a·gradient·tan, which is a·cos of the
// angle of whose sine the gradient is.
func TestHangBesideARisingRib(t *testing.T) {
	const long, wide, gradient, rib = 30.0, 6.0, 0.5, 0.5
	foot := section.Polygons{{{0, 0}, {long, 0}, {long, wide}, {0, wide}}}
	rise := func(p Point) float64 { return gradient * p[0] }
	rims := []rim{
		{a: Point{0, 0}, b: Point{long, 0}}, {a: Point{long, 0}, b: Point{long, wide}, z: gradient * long},
		{a: Point{long, wide}, b: Point{0, wide}}, {a: Point{0, wide}, b: Point{0, 0}, held: true},
	}
	s := newSheet(foot, rims, cellFor(foot), 2.5, rise)
	bar := section.Path{{0.5, 0}, {long - 0.5, 0}, {long - 0.5, rib}, {0.5, rib}}
	back := slices.Clone(bar)
	slices.Reverse(back)
	want := (wide - rib) * math.Sqrt(1-gradient*gradient)
	for _, r := range []section.Path{bar, back} {
		if j := s.try(section.Polygons{r}, 1, 2, 45); math.Abs(j.Hang-want) > 2*s.cell {
			t.Errorf("hangs %.2f mm at %v, want %.2f", j.Hang, j.At, want)
		}
	}
}
