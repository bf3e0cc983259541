package web

import (
	"math"

	"falsework/mesh/section"
)

// prints looks at an outline layer by layer, as it will be printed, and says
// what is wrong with it: a layer that hangs over nothing, or one that is
// narrower than a bead with nothing of the part beside it or just below, so
// that the slicing program would drop it. Pointed springings are narrow only
// where they enter the part.
func (site *Site) prints(outline section.Polygons) error {
	s := &site.Settings
	lo, hi := bounds(outline)
	n := int(math.Ceil((hi[1]-s.Bed-s.First)/s.Layer)) + 1
	if n < 1 {
		return nil
	}
	// Row n-1 is the second layer: the first, which lies on the bed, is of a height
	// of its own.
	top := s.Bed + s.First + float64(s.Layer*(float64(n)-0.5))
	rows := func(p section.Polygons) [][]float64 {
		return append(crossings(p, top, s.Layer, n, lo[0]-1, hi[0]+1), crossings(p, s.Bed+s.First/2, s.Layer, 1, lo[0]-1, hi[0]+1)...)
	}
	web, part := rows(outline), rows(site.Sections[1])
	for k, row := range web[:n] {
		step := s.Layer // from mid-plane to mid-plane
		if k == n-1 {
			step = (s.First + s.Layer) / 2
		}
		reach := float64(step*math.Tan(s.Slope*math.Pi/180)) + 2*micron
		for i := 0; i+1 < len(row); i += 2 {
			a, b := row[i], row[i+1]
			z := top - float64(s.Layer*float64(k))
			if b-a < s.Width-2*micron && !overlaps(part[k], a-micron, b+micron) && !overlaps(part[k+1], a-s.Layer, b+s.Layer) {
				return at(ErrThin, a, z)
			}
			if u, ok := s.hangs(a, b, reach, part[k], web[k+1], part[k+1]); ok {
				return at(ErrStand, u, z)
			}
		}
	}
	return nil
}

// micron is the grid on which outlines lie.
const micron = 1e-3

// hangs returns a run of the stretch [a, b] of a layer that is neither in the
// part itself nor within reach of what lies in the layer below. A gap no wider
// than a bead between two things below is none, as in [closed].
func (s *Settings) hangs(a, b, reach float64, here []float64, below ...[]float64) (u float64, ok bool) {
	for u = a; u < b-micron; {
		next := u // how far what begins before u reaches
		for i := 0; i+1 < len(here); i += 2 {
			if here[i]-micron <= u {
				next = math.Max(next, here[i+1]+micron)
			}
		}
		left, right := math.Inf(-1), math.Inf(1) // below, to both sides of u
		for _, row := range below {
			for i := 0; i+1 < len(row); i += 2 {
				if row[i]-reach <= u {
					next = math.Max(next, row[i+1]+reach)
					left = math.Max(left, row[i+1])
				} else {
					right = math.Min(right, row[i])
				}
			}
		}
		if next <= u {
			if right-left > s.Width+micron {
				return u, true
			}
			next = right
		}
		u = next
	}
	return 0, false
}
