package web

import (
	"fmt"
	"math"

	"falsework/mesh/section"
)

// judge looks at a web as a printer would, layer by layer, knowing nothing of
// how it was found, and returns what is wrong with it.
func judge(site Site, w *Web) []string {
	var bad []string
	say := func(format string, args ...any) {
		if len(bad) < 8 {
			bad = append(bad, fmt.Sprintf(format, args...))
		}
	}
	s := site.Settings
	lo, hi := bounds(w.Outline)
	n := int(math.Ceil((hi[1]-s.Bed)/s.Layer)) + 1
	// Outlines lie on microns, the part between them: half a micron more, and no
	// plane falls between the two.
	z := func(k int) float64 { return s.Bed + s.Layer*(float64(k)+0.5) + 6e-7 }
	web := crossings(w.Outline, z(n-1), s.Layer, n, lo[0]-1, hi[0]+1)
	part := crossings(site.Sections[1], z(n-1), s.Layer, n, -1e9, 1e9)
	reach := s.Layer * math.Tan((s.Slope+0.5)*math.Pi/180)
	for k := range n {
		row, mat := web[n-1-k], part[n-1-k]
		if k == 0 {
			continue
		}
		under := bridged(append(append([]float64(nil), web[n-k]...), part[n-k]...), s.Width)
		for i := 0; i+1 < len(row); i += 2 {
			for _, g := range gapsIn(row[i], row[i+1], under, reach+2e-3) {
				if !covered(g, mat) {
					say("layer at %.2f hangs over nothing from %.3f to %.3f", z(k), g[0], g[1])
				}
			}
			if wide := row[i+1] - row[i]; wide < s.Width-2e-3 && !overlaps(mat, row[i]-1e-3, row[i+1]+1e-3) &&
				!overlaps(part[n-k], row[i]-s.Layer, row[i+1]+s.Layer) {
				say("only %.3f wide at %.3f, height %.2f", wide, row[i], z(k))
			}
		}
	}
	deep := section.Intersect(w.Outline, section.Offset(site.Sections[1], -s.Embed-0.02, section.Miter))
	if a := deep.Area(); a > 1e-3 {
		l, _ := bounds(deep)
		say("%.4f mm2 deeper than the embed in the part, at %.2f %.2f", a, l[0], l[1])
	}
	if lo[1] < s.Bed {
		say("below the bed")
	}
	for _, r := range w.Outline {
		for _, q := range r {
			for _, x := range q {
				if math.Abs(x*1000-math.Round(x*1000)) > 1e-6 {
					say("not on the micron: %v", q)
				}
			}
		}
	}
	return bad
}

// bridged adds to what lies below the gaps no wider than a bead that have
// something on both sides: a strand as wide as the gap lies on both. The webs
// treat such a slot as closed.
func bridged(under []float64, bead float64) []float64 {
	out := under
	for i := 0; i+1 < len(under); i += 2 {
		for k := 0; k+1 < len(under); k += 2 {
			if gap := under[k] - under[i+1]; gap > 0 && gap <= bead+1e-3 {
				out = append(out, under[i+1], under[k])
			}
		}
	}
	return out
}

// gapsIn returns what of [a, b] no interval grown by d covers.
func gapsIn(a, b float64, under []float64, d float64) [][2]float64 {
	gaps := [][2]float64{{a, b}}
	for k := 0; k+1 < len(under); k += 2 {
		lo, hi := under[k]-d, under[k+1]+d
		var next [][2]float64
		for _, g := range gaps {
			if lo > g[0] {
				next = append(next, [2]float64{g[0], math.Min(g[1], lo)})
			}
			if hi < g[1] {
				next = append(next, [2]float64{math.Max(g[0], hi), g[1]})
			}
		}
		gaps = next[:0]
		for _, g := range next {
			if g[1]-g[0] > 1e-6 {
				gaps = append(gaps, g)
			}
		}
	}
	return gaps
}

// covered says whether a row of material covers an interval.
func covered(g [2]float64, mat []float64) bool {
	return len(gapsIn(g[0], g[1], mat, 1e-3)) == 0
}
