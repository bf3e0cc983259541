package mend_test

import (
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"falsework/mesh/mend"
	"falsework/mesh/meshtest"
)

// hostile are surfaces of about n triangles that invite a step of reading,
// auditing or mending to look at every pair.
var hostile = []struct {
	name string
	make func(n int) soup
}{
	{"fan on one edge", func(n int) (s soup) {
		for i := range n {
			a := 2 * math.Pi * float64(i) / float64(n)
			s = append(s, [3][3]float32{{0, 0, 0}, {0, 0, 10}, {float32(9 * math.Cos(a)), float32(9 * math.Sin(a)), 5}})
		}
		return s
	}},
	{"one triangle again and again", func(n int) (s soup) {
		for range n {
			s = append(s, [3][3]float32{{0, 0, 0}, {9, 0, 0}, {0, 9, 0}})
		}
		return s
	}},
	{"one triangle to and fro", func(n int) (s soup) {
		for range n / 2 {
			t := [3][3]float32{{0, 0, 0}, {9, 0, 0}, {0, 9, 0}}
			s = append(s, t, reverse(t))
		}
		return s
	}},
	{"one cube again and again", func(n int) (s soup) {
		c := soupOf(meshtest.Blocks(meshtest.Add(0, 0, 0, 9, 9, 9)))
		for range n / len(c) {
			s = append(s, c...)
		}
		return s
	}},
	{"strewn triangles", func(n int) (s soup) {
		for i := range n {
			x, y := float32(i%100), float32(i/100)
			s = append(s, [3][3]float32{{x, y, 0}, {x + 0.4, y, 0}, {x, y + 0.4, 0.3}})
		}
		return s
	}},
	{"all corners within the tolerance", func(n int) (s soup) {
		s = soup{{{0, 0, 0}, {100, 0, 0}, {0, 100, 100}}}
		for i := range n {
			d := float32(i) * 0.005 / float32(n)
			s = append(s, [3][3]float32{{d, 0, 0}, {0.003 + d, 0, 0}, {d, 0.004 - d/2, 0}})
		}
		return s
	}},
	{"open tube", func(n int) (s soup) {
		p := func(i int, z float32) [3]float32 {
			a := 4 * math.Pi * float64(i%(n/2)) / float64(n)
			return [3]float32{float32(50 * math.Cos(a)), float32(50 * math.Sin(a)), z}
		}
		for i := range n / 2 {
			s = append(s, [3][3]float32{p(i, 0), p(i+1, 0), p(i, 90)}, [3][3]float32{p(i, 90), p(i+1, 0), p(i+1, 90)})
		}
		return s
	}},
	{"cone", func(n int) (s soup) {
		p := func(i int) [3]float32 {
			a := 4 * math.Pi * float64(i%(n/2)) / float64(n)
			return [3]float32{float32(50 * math.Cos(a)), float32(50 * math.Sin(a)), 0}
		}
		for i := range n / 2 {
			s = append(s, [3][3]float32{p(i), p(i + 1), {0, 0, 30}}, [3][3]float32{p(i + 1), p(i), {0, 0, 0}})
		}
		return s
	}},
	{"sieve", func(n int) (s soup) { // every eighth triangle is missing
		k := int(math.Sqrt(float64(n) / 2))
		for i := range k {
			for j := range k {
				x, y := float32(i), float32(j)
				s = append(s, [3][3]float32{{x, y, 0}, {x + 1, y, 0}, {x, y + 1, 0}})
				if (i+j)%4 != 0 {
					s = append(s, [3][3]float32{{x + 1, y, 0}, {x + 1, y + 1, 0}, {x, y + 1, 0}})
				}
			}
		}
		return s
	}},
	{"long edge with many corners on it", func(n int) (s soup) {
		s = soup{{{0, 0, 0}, {100, 0, 0}, {50, -50, 0}}}
		for i := range n {
			x0, x1 := 100*float32(i)/float32(n), 100*float32(i+1)/float32(n)
			s = append(s, [3][3]float32{{x1, 0, 0}, {x0, 0, 0}, {50, 50, 1}})
		}
		return s
	}},
	{"many long edges with many corners on them", func(n int) (s soup) {
		for i := range n / 2 {
			x0, x1 := 100*float32(i)/float32(n/2), 100*float32(i+1)/float32(n/2)
			s = append(s, [3][3]float32{{x1, 0, 0}, {x0, 0, 0}, {50, 50, float32(i) / 100}},
				[3][3]float32{{0, 0, 0}, {100, 0, 0}, {50, -50, float32(i) / 100}})
		}
		return s
	}},
	{"many shells at one point", func(n int) (s soup) {
		for i := range n / 4 {
			a, b := 8*math.Pi*float64(i)/float64(n), 8*math.Pi*(float64(i)+0.5)/float64(n)
			p := [3]float32{float32(9 * math.Cos(a)), float32(9 * math.Sin(a)), 0}
			q := [3]float32{float32(9 * math.Cos(b)), float32(9 * math.Sin(b)), 0}
			o, h := [3]float32{}, [3]float32{p[0], p[1], 1}
			s = append(s, [3][3]float32{o, q, p}, [3][3]float32{o, p, h}, [3][3]float32{p, q, h}, [3][3]float32{q, o, h})
		}
		return s
	}},
	{"many shells on one edge", func(n int) (s soup) {
		for i := range n / 4 {
			a, b := 8*math.Pi*float64(i)/float64(n), 8*math.Pi*(float64(i)+0.5)/float64(n)
			p := [3]float32{float32(9 * math.Cos(a)), float32(9 * math.Sin(a)), 0}
			q := [3]float32{float32(9 * math.Cos(b)), float32(9 * math.Sin(b)), 0}
			o, h := [3]float32{}, [3]float32{0, 0, 5}
			s = append(s, [3][3]float32{o, q, p}, [3][3]float32{o, p, h}, [3][3]float32{p, q, h}, [3][3]float32{q, o, h})
		}
		return s
	}},
	{"needles across each other", func(n int) (s soup) {
		for i := range n {
			a := math.Pi * float64(i) / float64(n)
			x, y := float32(50*math.Cos(a)), float32(50*math.Sin(a))
			s = append(s, [3][3]float32{{x, y, 0}, {-x, -y, 0}, {x, y, 0.1}})
		}
		return s
	}},
	{"turned triangles in a sheet", func(n int) (s soup) {
		k := int(math.Sqrt(float64(n) / 2))
		for i := range k {
			for j := range k {
				x, y := float32(i), float32(j)
				a := [3][3]float32{{x, y, 0}, {x + 1, y, 0}, {x, y + 1, 0}}
				if (i+j)%2 == 0 {
					a = reverse(a)
				}
				s = append(s, a, [3][3]float32{{x + 1, y, 0}, {x + 1, y + 1, 0}, {x, y + 1, 0}})
			}
		}
		return s
	}},
}

// Whatever is hostile ends as any other surface, mended or refused.
func TestHostileSurfaces(t *testing.T) {
	for _, h := range hostile {
		began := time.Now()
		r, err := mend.Surface(bg, h.make(2000).weld())
		var u *mend.Unmendable
		if err != nil && !errors.As(err, &u) || r == nil {
			t.Errorf("%s: %v", h.name, err)
		}
		t.Logf("%-45s %8.3f s  %v", h.name, time.Since(began).Seconds(), err)
	}
}

// The time must grow about as the number of triangles does.
func BenchmarkHostile(b *testing.B) {
	for _, h := range hostile {
		for _, n := range []int{2000, 8000, 32000} {
			m := h.make(n).weld()
			b.Run(fmt.Sprintf("%s/%d", h.name, n), func(b *testing.B) {
				for b.Loop() {
					_, _ = mend.Surface(bg, m)
				}
			})
		}
	}
}
