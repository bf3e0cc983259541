package span

import (
	"fmt"
	"testing"

	"falsework/mesh/meshtest"
	"falsework/mesh/section"
)

// bars are n ribs across a roof 234 x 147, in equal bays along x.
func bars(n int) section.Polygons {
	var out section.Polygons
	for i := 1; i <= n; i++ {
		x := 3 + 234*float64(i)/float64(n+1)
		out = append(out, section.Path{{x - 0.25, 0}, {x + 0.25, 0}, {x + 0.25, 147}, {x - 0.25, 147}})
	}
	return out
}

// BenchmarkJudge is one trial of the planner under a wide roof.
func BenchmarkJudge(b *testing.B) {
	s := survey(b, meshtest.Blocks(add(0, 0, 0, 240, 150, 33), cut(3, 0, 0, 237, 147, 30)), Defaults())
	for _, n := range []int{1, 5} {
		b.Run(fmt.Sprintf("ribs=%d", n), func(b *testing.B) {
			for range b.N {
				if _, err := s.Judge(1, bars(n), 40); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkMeasure is the whole verdict on one sheet, in memory of its own and in
// what another left.
func BenchmarkMeasure(b *testing.B) {
	for _, c := range flatShapes {
		s := c.p.sheet()
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				s.measure(limits{most: 70}, 2, 45)
			}
		})
		b.Run(c.name+"/again", func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				m := takeMemory()
				s.measured(m).measure(limits{most: 70}, 2, 45)
				m.done()
			}
		})
	}
}
