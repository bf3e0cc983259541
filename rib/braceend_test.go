package rib

import (
	"math"
	"slices"
	"testing"

	"falsework/mesh/meshtest"
	"falsework/mesh/section"
	"falsework/span"
)

// Where a brace ends, every strand of it ends in the part, not only those at its
// two sides: before the corner of a room, and before a slot between the two
// sides, the ends of the others would hang.
//
//	  ###########      a strip askew into the corner: the strands
//	  #       / /      between its sides end before the corner, so it
//	  #      / /       goes deeper in or elsewhere
//	--#-----/-/----
func TestEveryStrandOfABraceEnds(t *testing.T) {
	part := meshtest.Blocks(meshtest.Add(0, 0, 0, 60, 60, 40), meshtest.Cut(3, 3, 3, 57, 57, 37),
		meshtest.Cut(57, 20, 5, 60, 22, 30), meshtest.Cut(57, 40, 5, 59, 41, 30))
	s := surveyOf(t, part)
	set := DefaultSettings(s.Settings)
	m := &maker{ctx: t.Context(), part: part, plan: &Plan{Settings: set, Survey: s}}
	m.reading = read(part, m.plan.Survey)
	cut := section.NewSlicer(part)
	const layer = 100
	var holding []section.Polygons // the layers that the end is held by
	for k := layer - 1; k < layer+set.BraceLayers; k++ {
		p, err := cut.At(m.slices.mid(k))
		if err != nil {
			t.Fatal(err)
		}
		holding = append(holding, p)
	}
	in := func(q section.Point) bool {
		return !slices.ContainsFunc(holding, func(p section.Polygons) bool { return !p.Contains(q) })
	}
	ends, corners, deeper := 0, 0, 0
	for y := 4.0; y < 56; y += 1.7 {
		b := &bracer{shaper: &shaper{view: &view{s: set, sv: s.Settings}}, slices: m.slices,
			lines: []ribLine{{axis: axis{section.Point{30, y}, section.Point{0, 1}}}}}
		use := tie{0, 0, stretch{-braceDepth / 2, braceDepth / 2}}
		for deg := -80.0; deg <= 80; deg += 4 {
			way := heading(deg * math.Pi / 180)
			tip, ok := b.reachWall(use, way, layer, 60)
			if !ok {
				continue
			}
			ends++
			var at [2]float64
			for k, u := range [2]float64{use.use.from, use.use.to} {
				at[k], _ = b.toWall(axis{b.lines[0].at(u), way}, layer, 60, braceEnd)
			}
			first, second := b.lines[0].at(use.use.from), b.lines[0].at(use.use.to)
			hit := [2]section.Point{axis{first, way}.at(at[0]), axis{second, way}.at(at[1])}
			if math.Abs(hit[0][0]-hit[1][0]) > 1e-6 && math.Abs(hit[0][1]-hit[1][1]) > 1e-6 {
				corners++
			}
			if dist(tip[0], hit[0]) > 2*braceEnd {
				deeper++
			}
			for i := 0; i <= 32; i++ {
				f := float64(i) / 32
				q := section.Point{tip[0][0] + float64(f*(tip[1][0]-tip[0][0])), tip[0][1] + float64(f*(tip[1][1]-tip[0][1]))}
				if !in(q) {
					t.Errorf("from y %.1f at %g degrees: a strand ends in the air at (%.2f, %.2f), between (%.2f, %.2f) and (%.2f, %.2f)",
						y, deg, q[0], q[1], tip[0][0], tip[0][1], tip[1][0], tip[1][1])
					break
				}
			}
		}
	}
	if t.Logf("%d ends, %d of them in a corner, %d deeper than others", ends, corners, deeper); ends < 500 || corners == 0 || deeper == 0 {
		t.Error("too few to prove anything")
	}
}

// A brace over the lintel of a slot, which prints unaided, is taken for a strip of its
// own, not for more of that ceiling: else it would be judged with it, as a lip
// that hangs. So where no other place is left a brace still keeps the rise off
// by which the survey joins, whatever ledge and slope.
func TestBraceOverALintelIsNotJoinedToIt(t *testing.T) {
	for _, x := range []struct{ ledge, slope, layer float64 }{{2, 45, 0.2}, {2, 30, 0.2}, {0.5, 45, 0.1}, {5, 45, 0.3}} {
		sv := span.Defaults()
		sv.Ledge, sv.Slope, sv.Layer, sv.FirstLayer = x.ledge, x.slope, x.layer, x.layer
		for off := 0.0; off < 1; off += 0.125 { // where the lintel lies between two layers
			top := 20 + off*x.layer
			b := &bracer{shaper: &shaper{view: &view{sv: sv}}, closer: true}
			z := math.Ceil((top+b.above(&span.Ceiling{}))/x.layer-1e-9) * x.layer
			// A slot through the left wall, and a strip from above it to a post.
			part := meshtest.Blocks(meshtest.Add(0, 0, 0, 44, 60, 3), meshtest.Add(0, 0, 0, 3, 60, z+20), meshtest.Cut(0, 20, 5, 3, 40, top),
				meshtest.Add(40, 20, 3, 44, 40, z+20), meshtest.Add(2.8, 28, z, 40.2, 31.5, z+2*x.layer))
			s, err := span.Run(t.Context(), part, sv, span.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if len(s.Ceilings) != 2 {
				t.Errorf("%+v, lintel at %g, brace at %g: %d ceilings", x, top, z, len(s.Ceilings))
			}
			for _, c := range s.Ceilings {
				if c.NeedsRibs {
					t.Errorf("%+v, lintel at %g, brace at %g: %s", x, top, z, c.Why)
				}
			}
		}
	}
}
