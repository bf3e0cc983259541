package section

import (
	"fmt"
	"math"
	"testing"
)

// BenchmarkSubtract takes one layer from the next of a part with many columns,
// most of which do not change.
func BenchmarkSubtract(b *testing.B) {
	columns := func(n int, grow float64) Polygons {
		var out Polygons
		for i := range n {
			var p Path
			r := 2.0
			if i%16 == 0 {
				r += grow
			}
			for k := range 24 {
				a := 2 * math.Pi * float64(k) / 24
				p = append(p, Point{float64(i%32)*6 + r*math.Cos(a), float64(i/32)*6 + r*math.Sin(a)})
			}
			out = append(out, p)
		}
		return Nonzero(out)
	}
	for _, n := range []int{8, 64, 512} {
		now, below := columns(n, 0.3), columns(n, 0)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Subtract(now, below)
			}
		})
		b.Run(fmt.Sprint(n, "/growth"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Growth(now, below)
			}
		})
	}
}
