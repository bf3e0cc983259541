package rib

import (
	"fmt"
	"math"
	"sort"

	"falsework/mesh/section"
)

// besideHoles returns parallel layouts with a rib along either side of every
// hole with a free rim, where a lip hangs that equal bays meet by luck only. The
// bays between are equal in each part of the footprint, those across a hole equal
// or graded, from the least number of ribs to three more.
func (v *view) besideHoles(d section.Point) []layout {
	a := axis{dir: d}
	w := v.s.Width
	var out []layout
	for k, inset := range v.insets() {
		fixed := v.tangents(a, inset)
		if len(fixed) == 0 {
			return nil
		}
		lo, hi := extent(v.foot, a)
		for edge := 0; edge < 4; edge++ {
			if edge == 0 && k > 0 {
				continue
			}
			marks := append([]mark(nil), fixed...)
			first, last := lo-w/2, hi+w/2 // as if there were a rib beyond a wall
			if edge&1 != 0 {
				first = lo + inset
			}
			if edge&2 != 0 {
				last = hi - inset
			}
			marks = append([]mark{{at: first}}, append(marks, mark{at: last, ends: true})...)
			for more := 0; more <= 3; more++ {
				for _, graded := range []bool{false, true} {
					pos, bay, ok := v.between(marks, more, inset, graded)
					if !ok {
						continue
					}
					if edge&1 == 0 {
						pos = pos[1:]
					}
					if edge&2 == 0 {
						pos = pos[:len(pos)-1]
					}
					l := v.parallel(a, pos, bay)
					l.kind, l.words = fmt.Sprint("holes ", edge, k, more, graded), l.upTo()
					out = append(out, l)
				}
			}
		}
	}
	return out
}

// insets are how far a rib along a free edge stands back from it.
func (v *view) insets() []float64 {
	out := []float64{v.s.Setback + v.s.Width/2}
	if v.sv.Ledge > out[0]+0.5 {
		out = append(out, v.sv.Ledge)
	}
	return out
}

// A mark is where a rib must stand, by its distance from an axis.
type mark struct {
	at   float64
	hole bool // from here on there is a hole
	ends bool // the last one
}

// tangents are the marks beside holes with a free rim, in order. Where a rib of
// one hole would stand nearer to another than a blade gets between, or within
// it, there is none.
func (v *view) tangents(a axis, inset float64) []mark {
	var at []stretch
	for _, ring := range v.foot {
		if ring.Area() < 0 && v.loose(ring) > 0.5 {
			lo, hi := extent(section.Polygons{ring}, a)
			at = append(at, stretch{lo - inset, hi + inset})
		}
	}
	sort.Slice(at, func(i, j int) bool { return at[i].from < at[j].from })
	var out []mark
	for _, h := range merge(at, 4*v.s.Width) {
		out = append(out, mark{at: h.from, hole: true}, mark{at: h.to})
	}
	return out
}

// loose is how much of a ring is free, from 0 to 1.
func (v *view) loose(ring section.Path) float64 {
	var free, all float64
	for i, q := range ring {
		d, l := unit(q, ring[(i+1)%len(ring)])
		all += l
		if !v.wall(axis{q, d}.at(l / 2)) {
			free += l
		}
	}
	if all == 0 {
		return 0
	}
	return free / all
}

// between fills the parts between marks with equal bays, and returns where ribs
// stand, the marks included, and the widest bay. Across holes there are more
// ribs than need be. Graded they cut a round hole into equal arcs: at its flanks the
// rim runs nearly along the ribs, and hangs where they stand a whole bay apart.
// False means that nothing is graded.
func (v *view) between(marks []mark, more int, inset float64, graded bool) (pos []float64, bay float64, ok bool) {
	w := v.s.Width
	ok = !graded
	for i, m := range marks {
		pos = append(pos, m.at)
		if m.ends {
			break
		}
		long := marks[i+1].at - m.at
		if r := long/2 - inset; graded && m.hole && v.arcs(r) > 0 {
			ok = true
			n := v.arcs(r) + more
			for j := 1; j < n; j++ {
				pos = append(pos, m.at+inset+v.arc(r, j, n))
				bay = max(bay, v.arc(r, j, n)-v.arc(r, j-1, n)-w)
			}
			continue
		}
		n := max(0, int(math.Ceil((long-w-v.s.Spacing)/(v.s.Spacing+w)-1e-9)))
		if m.hole {
			n += more
		}
		step := long / float64(n+1)
		bay = max(bay, step-w)
		for j := 1; j <= n; j++ {
			pos = append(pos, m.at+float64(float64(j)*step))
		}
	}
	return pos, bay, ok
}
