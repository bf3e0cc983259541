package rib

import (
	"math"
	"path/filepath"
	"slices"
	"testing"

	"falsework/mesh/meshtest"
	"falsework/mesh/section"
	"falsework/mesh/stl"
	"falsework/rib/web"
	"falsework/span"
)

// benchRoof is the widest ceiling of the example, divided to a length.
func benchRoof(b *testing.B, length float64) (*view, *shaper) {
	b.Helper()
	f, err := stl.ReadFile(b.Context(), filepath.Join("..", "examples", "tide-housing.stl"))
	if err != nil {
		b.Fatal(err)
	}
	m := meshtest.SubdivideTo(f.Mesh, length)
	s, err := span.Run(b.Context(), m, span.Defaults(), span.Options{})
	if err != nil {
		b.Fatal(err)
	}
	widest := &s.Ceilings[0]
	for i := range s.Ceilings {
		if s.Ceilings[i].Area > widest.Area {
			widest = &s.Ceilings[i]
		}
	}
	v := newView(widest, newProbes(m, 0.6), DefaultSettings(s.Settings), s.Settings)
	return v, newShaper(v, section.NewCutter(m), s, nil)
}

// To sieve as many layouts under a roof as a search looks at, beside all.
func BenchmarkSift(b *testing.B) {
	v, _ := benchRoof(b, math.Inf(1))
	sieve, all := newSieve(v), v.layouts()
	for _, c := range []struct {
		name string
		n    int
	}{{"first", batch}, {"all", math.MaxInt}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				q := &queue{sieve: sieve, all: slices.Clone(all), tried: map[string]int{}}
				for i := 0; i < c.n && q.at(i, math.Inf(1)) != nil; i++ {
				}
			}
		})
	}
}

// To guess what a rib costs on a rough section and on an exact one, the example
// as it is and divided.
func BenchmarkGuess(b *testing.B) {
	for _, part := range []struct {
		name   string
		length float64
	}{{"2k", math.Inf(1)}, {"97k", 7}} {
		v, shaper := benchRoof(b, part.length)
		all := v.layouts()
		r := all[0].lines[0]
		guess := func(b *testing.B, cut func() section.Polygons, rough float64) {
			for b.Loop() {
				p := cut()
				if _, err := web.Estimate(*shaper.site(r, [3]section.Polygons{p, p, p}, rough)); err != nil {
					b.Fatal(err)
				}
			}
		}
		b.Run(part.name+"/rough", func(b *testing.B) {
			guess(b, func() section.Polygons { return v.at.rough(r) }, v.at.cell)
		})
		b.Run(part.name+"/exact", func(b *testing.B) {
			guess(b, func() section.Polygons { p, _ := shaper.cutter.At(r.line()); return p }, 0)
		})
	}
}
