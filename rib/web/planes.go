package web

import (
	"math"

	"falsework/mesh/section"
)

// Planes are the three sections of a site as one: any is where there is
// material in at least one of them, all where there is in every one. A web
// stays clear of any and holds only where it reaches all.
type planes struct {
	any, all section.Polygons
	one      bool             // any and all are the same
	deep     section.Polygons // what is deeper in the part than a web goes
	filed    *section.Locator // of all, once asked for
}

// held says whether a point lies in the part on all faces of the web: legs ask for
// thousands, on a section that may have as many corners.
func (p *planes) held(q section.Point) bool {
	if p.filed == nil {
		p.filed = section.NewLocator(p.all)
	}
	return p.filed.Contains(q)
}

func newPlanes(s [3]section.Polygons, width float64) planes {
	if same(s[0], s[1]) && same(s[1], s[2]) {
		p := closed(s[1], width)
		return planes{any: p, all: p, one: true}
	}
	return planes{
		any: closed(section.Union(section.Union(s[0], s[1]), s[2]), width),
		all: closed(section.Intersect(section.Intersect(s[0], s[1]), s[2]), width),
	}
}

// closed fills what is narrower than a bead: no web goes into such a slot.
func closed(p section.Polygons, width float64) section.Polygons {
	grown := section.Offset(p, width/2, section.Miter)
	return section.Union(p, section.Offset(grown, -width/2, section.Miter))
}

func same(a, b section.Polygons) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if len(a[i]) != len(b[i]) {
			return false
		}
		for j := range a[i] {
			if a[i][j] != b[i][j] {
				return false
			}
		}
	}
	return true
}

// stands says whether a web may stand on the floor at a point: the caller calls
// it grounded, and the floor is there over the web's whole thickness, if
// perhaps a little lower on one side.
func (s *Site) stands(u, floor float64) bool {
	for _, d := range [...]float64{inside, s.Settings.Width / 2, s.Settings.Width, 2 * s.Settings.Width} {
		if s.planes.held(section.Point{u, floor - d}) {
			return s.grounded(u, floor-d) // above that it may be air in the web's own plane
		}
	}
	return false
}

// Oblique is how much further away a wall may be on one face of the web than on
// the other, in widths: that of a wall 70 degrees from square to the web.
const oblique = 2.75

// spill is how much deeper than the embed a corner may go: less than a contact
// that is drawn as it should be would be cut by rounding.
const spill = 0.005

// deeper says whether a corner of an outline lies deeper in the part than e. The
// tip of a springing where wall and floor meet does: it is prolonged along the
// wall into the floor.
func (p *planes) deeper(outline section.Polygons, e float64) bool {
	for _, r := range outline {
		for _, q := range r {
			if p.any.Contains(q) && !borderNear(p.any, q, e) {
				return true
			}
		}
	}
	return false
}

// borderNear says whether the border of a region passes within e of a point.
func borderNear(p section.Polygons, q section.Point, e float64) bool {
	for _, r := range p {
		a := r[len(r)-1]
		for _, b := range r {
			dx, dy, x, y := b[0]-a[0], b[1]-a[1], q[0]-a[0], q[1]-a[1]
			if l := float64(dx*dx) + float64(dy*dy); l > 0 {
				t := math.Max(0, math.Min(1, (float64(x*dx)+float64(y*dy))/l))
				x, y = x-float64(t*dx), y-float64(t*dy)
			}
			if float64(x*x)+float64(y*y) <= float64(e*e) {
				return true
			}
			a = b
		}
	}
	return false
}

// core is the part without its outermost layer as deep as the embed and the
// spill.
func (s *Site) core() section.Polygons {
	if s.planes.deep == nil {
		s.planes.deep = section.Offset(s.planes.any, -s.Settings.Embed-spill, section.Miter)
	}
	return s.planes.deep
}

// stray returns a point where a web enters the part on one of its faces and
// hangs out of it on another, as at the end of a wall that it grazes.
func (s *Site) stray(outline section.Polygons) *PlaceError {
	if s.planes.one {
		return nil
	}
	in := section.Intersect(outline, s.planes.any)
	for k := range s.Sections {
		reach := section.Offset(s.Sections[k], oblique*s.Settings.Width, section.Miter)
		out := section.Subtract(in, reach)
		if out.Area() > s.Settings.Width*s.Settings.Embed {
			lo, hi := bounds(out)
			return &PlaceError{U: (lo[0] + hi[0]) / 2, Z: (lo[1] + hi[1]) / 2, Side: k - 1, Err: ErrGraze}
		}
	}
	return nil
}

// within cuts polygons to a range of run, to keep what follows quick.
func within(p section.Polygons, from, to float64) section.Polygons {
	lo, hi := bounds(p)
	if len(p) == 0 || (lo[0] >= from && hi[0] <= to) {
		return p
	}
	return section.Intersect(p, section.Polygons{{{from, lo[1] - 1}, {to, lo[1] - 1}, {to, hi[1] + 1}, {from, hi[1] + 1}}})
}

// narrow cuts the sections to the neighbourhood of the ceiling.
func (s *Site) narrow() {
	if s.Rough > 0 {
		s.planes = planes{any: s.Sections[1], all: s.Sections[1], one: true}
		return
	}
	from, to := math.Inf(1), math.Inf(-1)
	for _, iv := range s.Under {
		from, to = math.Min(from, iv.From), math.Max(to, iv.To)
	}
	m := follow + 10
	for k := range s.Sections {
		s.Sections[k] = within(s.Sections[k], from-m, to+m)
	}
	s.planes = newPlanes(s.Sections, s.Settings.Width)
}
