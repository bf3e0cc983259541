package rib

import (
	"math"
	"testing"

	"falsework/mesh/section"
)

// rounded is a rectangle about the origin, its corners rounded, counter-clockwise.
func rounded(w, h, r float64) section.Path {
	var out section.Path
	for k, c := range []section.Point{{w/2 - r, h/2 - r}, {r - w/2, h/2 - r}, {r - w/2, r - h/2}, {w/2 - r, r - h/2}} {
		if r == 0 {
			out = append(out, c)
			continue
		}
		for i := range 17 {
			out = append(out, axis{c, heading(math.Pi / 2 * (float64(k) + float64(i)/16))}.at(r))
		}
	}
	return out
}

// flangeView is a view of a region that one of its two rings holds.
func flangeView(outer, inner section.Path, heldInside bool) *view {
	ring := func(p section.Path) []section.Point { return append([]section.Point(p), p[0]) }
	s := Settings{Spacing: 40, Width: 0.5, Setback: 0.4}
	v := &view{s: s, foot: section.Polygons{outer, reversed(inner)}, least: s.Width}
	v.sv.Ledge = 2
	in, out := newBorder([][]section.Point{ring(inner)}), newBorder([][]section.Point{ring(outer)})
	if v.held, v.free = out, in; heldInside {
		v.held, v.free = in, out
	}
	return v
}

// Sharp corners are found, and what kind they are; round ones are none. Between
// ribs, and from a rib to the wall behind an inner corner, lies no more than a bay,
// and beyond the chord from one to the next no more than the slack.
func TestStationsOfFlanges(t *testing.T) {
	const slack = 1.0
	for _, c := range []struct {
		name          string
		w, h, r, deep float64
		heldInside    bool
		bends, ribs   int
		outer         bool
	}{
		{name: "frame", w: 114, h: 84, deep: 8, bends: 4, ribs: 8},
		{name: "small frame", w: 40, h: 40, deep: 8, bends: 4, ribs: 0},
		{name: "collar", w: 130, h: 110, deep: 15, heldInside: true, bends: 4, ribs: 4 + 2*3 + 2*2, outer: true},
		// A quarter of a circle of 21.35 takes chords of 2 sqrt(2 r - 1) at most: three.
		{name: "rounded collar", w: 124, h: 104, r: 22, deep: 12, heldInside: true, ribs: -1},
		{name: "rounded frame", w: 114, h: 84, r: 12, deep: 3, ribs: -1},
	} {
		t.Run(c.name, func(t *testing.T) {
			outer, inner := rounded(c.w, c.h, c.r), rounded(c.w-2*c.deep, c.h-2*c.deep, max(0, c.r-c.deep))
			v := flangeView(outer, inner, c.heldInside)
			inset := v.s.Setback + v.s.Width/2
			var runs []*rimRun
			for _, ring := range section.Offset(v.foot, -inset, section.Round) {
				for _, run := range v.freeRuns(ring, inset) {
					runs = append(runs, v.rimRun(run))
				}
			}
			if len(runs) != 1 || !runs[0].closed {
				t.Fatalf("%d free rims", len(runs))
			}
			r := runs[0]
			if len(r.bends) != c.bends {
				t.Fatalf("%d bends, want %d", len(r.bends), c.bends)
			}
			for _, b := range r.bends {
				if b.outer != c.outer {
					t.Errorf("the bend at %v is an outer one: %t", r.at[b.i], b.outer)
				}
			}
			pos, bay := r.stations(v.s, 0, slack)
			if c.ribs >= 0 && len(pos) != c.ribs {
				t.Errorf("%d ribs, want %d", len(pos), c.ribs)
			}
			if bay > v.s.Spacing+1e-6 {
				t.Errorf("a bay of %g", bay)
			}
			if c.ribs >= 0 {
				return
			}
			for k, from := range pos {
				to := pos[(k+1)%len(pos)]
				if to <= from {
					to += r.arc[r.once]
				}
				if to-from > v.s.Spacing+v.s.Width+1e-6 {
					t.Errorf("a bay from %g to %g", from, to)
				}
				a, b := along(r.at, r.arc, from), along(r.at, r.arc, to)
				d, _ := unit(a, b)
				for i, u := range r.arc {
					if x := -(axis{a, d}).left(r.at[i]); u > from && u < to && x > slack+1e-6 {
						t.Fatalf("%v lies %g beyond the chord from %v to %v", r.at[i], x, a, b)
					}
				}
			}
			if more, _ := r.stations(v.s, 3, slack); len(more) < len(pos) {
				t.Errorf("%d ribs with three more, %d without", len(more), len(pos))
			}
		})
	}
}

// A rim that ends in walls has its ends for bends.
func TestOpenFlange(t *testing.T) {
	v := &view{s: Settings{Spacing: 40, Width: 0.5, Setback: 0.4}}
	v.sv.Ledge = 2
	v.held = newBorder([][]section.Point{{{0, 0}, {100, 0}}})
	var run []section.Point
	for i := range 97 {
		run = append(run, section.Point{98 - float64(i), 10})
	}
	r := v.rimRun(run)
	if r.closed || len(r.bends) != 2 || r.bends[1].i != 96 || r.deep < 10 {
		t.Fatalf("closed %t, bends %v, %g deep", r.closed, r.bends, r.deep)
	}
	// 96 and the ledge at both ends: two ribs, a third of 100 apart.
	if pos, bay := r.stations(v.s, 0, 1); len(pos) != 2 || math.Abs(pos[0]-(100.0/3-2)) > 1e-9 || math.Abs(bay-(100.0/3-0.5)) > 1e-9 {
		t.Errorf("ribs at %v, bays of %g", pos, bay)
	}
}
