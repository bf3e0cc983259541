package section

import (
	"context"
	"os"
	"sync"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/stl"
)

// housing returns the example part, divided to at least n triangles.
var housing = sync.OnceValue(func() *mesh.Mesh {
	const path = "../../examples/tide-housing.stl"
	if _, err := os.Stat(path); err != nil {
		return nil
	}
	f, err := stl.ReadFile(context.Background(), path)
	if err != nil {
		panic(err)
	}
	return f.Mesh
})

func divided(b *testing.B, n int) *mesh.Mesh {
	m := housing()
	if m == nil {
		b.Skip("the example part is not there")
	}
	for times := 0; ; times++ {
		if d := meshtest.Subdivide(m, times); len(d.Triangles) >= n {
			return d
		}
	}
}

var sizes = []struct {
	name string
	n    int
}{{"2k", 1}, {"150k", 100_000}, {"2M", 1_000_000}}

func BenchmarkNewSlicer(b *testing.B) {
	for _, c := range sizes {
		m := divided(b, c.n)
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				NewSlicer(m)
			}
		})
	}
}

// heights of cuts: through the doorway, the walls, the window, the roof.
var heights = []float64{0.1, 3.3, 20.1, 60.1, 97.3, 130.5, 180.1, 210.3, 240.1, 249.5}

func BenchmarkAt(b *testing.B) {
	for _, c := range sizes {
		s := NewSlicer(divided(b, c.n))
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			points, i := 0, 0
			for b.Loop() {
				p, err := s.At(heights[i%len(heights)])
				if err != nil {
					b.Fatal(err)
				}
				points += p.Points()
				i++
			}
			b.ReportMetric(float64(points)/float64(i), "points")
		})
	}
}

func BenchmarkVertical(b *testing.B) {
	m := divided(b, 1_000_000)
	c := NewCutter(m)
	l := Line{Point{1, 2}, Point{0.8, 0.6}}
	b.Run("cutter", func(b *testing.B) {
		for b.Loop() {
			if _, err := c.At(l); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("three side by side", func(b *testing.B) {
		for b.Loop() {
			s := c.Slab(l, 0.25)
			for _, off := range []float64{-0.25, 0, 0.25} {
				if _, err := s.At(Line{Point{1 - 0.6*off, 2 + 0.8*off}, l.Dir}); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
	b.Run("all", func(b *testing.B) {
		for b.Loop() {
			if _, err := Vertical(m, l); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkLayers(b *testing.B) {
	for _, c := range sizes {
		s := NewSlicer(divided(b, c.n))
		var lower, upper []Polygons
		for _, z := range heights {
			p, _ := s.At(z)
			q, _ := s.At(z + 0.2)
			lower, upper = append(lower, p), append(upper, q)
		}
		run := func(name string, f func(i int)) {
			b.Run(name+"/"+c.name, func(b *testing.B) {
				b.ReportAllocs()
				for i := 0; b.Loop(); i++ {
					f(i % len(heights))
				}
			})
		}
		run("subtract", func(i int) { Subtract(upper[i], lower[i]) })
		run("offset", func(i int) { Offset(lower[i], 0.2, Miter) })
		run("beyond", func(i int) { Beyond(upper[i], lower[i], 0.2) })
		run("open", func(i int) { OpenBy(lower[i], 0.4) })
		run("simplify", func(i int) { Simplify(lower[i], 0.001) })
		run("raster", func(i int) { b, _ := lower[i].Bounds(); Raster(lower[i], 0.2, b) })
	}
}
