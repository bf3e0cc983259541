package rib

import (
	"slices"

	"falsework/mesh/section"
)

// A failure is where a layout failed, with how far from there its points are that a
// strand may pass.
type failure struct {
	lookout
	about []lookout
}

// failure looks about from where a layout failed.
func (s *sieve) failure(q section.Point) failure {
	out := failure{lookout: s.look(q, fine)}
	for _, part := range [...]float64{0.33, 0.66, 0.95} {
		out.about = append(out.about, s.round(q, part*s.sv.Ledge, fine)...)
	}
	return out
}

// bears tells whether a layout, seen along the fine rays, looks as if it carried
// the place where another did not. It looks closer than the sieve, and misses only
// strands that bend.
func (s *sieve) bears(o *failure, lines []seen) bool {
	const slack = 0.1
	near := gapTo(&o.lookout, lines)
	if near > s.s.Spacing/2+slack {
		return false
	}
	at := func(x *lookout) bool {
		return gapTo(x, lines)+dist(x.at, o.at) <= sure*s.sv.Ledge+slack || strand(x, lines, s.s.Spacing+slack, hardlyBent)
	}
	return s.thin > 0 || at(&o.lookout) || slices.ContainsFunc(o.about, func(x lookout) bool { return at(&x) })
}
