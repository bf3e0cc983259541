package rib

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"
	"sync"

	"falsework/mesh/section"
	"falsework/rib/web"
	"falsework/span"
)

// embed is how deep a rib enters the part where it holds, in millimetres:
// enough to be one with it, too little to be felt after the cut.
const embed = 0.1

// easyReach is how deep inside an opening a blade still works comfortably on a
// full contact; beyond it the crest is notched and snaps off.
const easyReach = 20.0

// A shaper makes webs for the ribs of one ceiling.
type shaper struct {
	*view
	cutter *section.Cutter
	survey *span.Survey
	others []obstacle // openings and webs of other ceilings
	// What is planned already, for braces to keep clear of, and what is asked of
	// it.
	planned []CeilingPlan
	asked   *asked
	// Neighbours in a family often stand in the same site, and a web is never
	// changed once made.
	known   store[[sha256.Size]byte, *web.Web]
	guessed store[[sha256.Size]byte, float64]
	// The cut in the middle of a rib is asked for twice: to estimate its web and
	// to draw it.
	cuts store[section.Line, section.Polygons]
	// What braces keep out of, by ceiling and strip.
	round store[[2]int, zone]
}

// An obstacle is a region of plan and heights that legs keep out of.
type obstacle struct {
	foot section.Polygons
	z    [2]float64
	half float64 // of the thickness of a web that may pass it lengthwise; 0 where foot has it
}

func newShaper(v *view, cutter *section.Cutter, survey *span.Survey, others []obstacle) *shaper {
	return &shaper{view: v, cutter: cutter, survey: survey, others: others, asked: &asked{}}
}

// estimate foretells the cost of the web of one rib, from a rough section in
// its middle or, where no web can stand on that or the rib is a short one, from
// an exact section.
func (b *shaper) estimate(l *layout, i int) (float64, error) {
	r := l.lines[i]
	if r.under.length() > shortest {
		if cost, err := b.guess(r, b.site(r, [3]section.Polygons{1: b.at.rough(r)}, b.at.cell)); err == nil {
			return cost, nil
		}
	}
	p, err := b.cut(r.axis)
	if err != nil {
		return 0, err
	}
	return b.guess(r, b.site(r, [3]section.Polygons{p, p, p}, 0))
}

// shortest is the length up to which a rib is estimated on an exact section: on
// a rough one its ends would be too far off.
const shortest = 20.0

func (b *shaper) guess(r ribLine, site *web.Site) (float64, error) {
	cost, err := b.guessed.get(b.key(r, site), func() (float64, error) { return web.Estimate(*site) })
	b.asked.add(answered{r: r, site: site, cost: cost, err: err})
	return cost, err
}

// shape draws the web of one rib, with legs at some runs at least.
func (b *shaper) shape(l *layout, i int, legs ...float64) (*web.Web, error) {
	r := l.lines[i]
	var cuts [3]section.Polygons
	slab := b.cutter.Slab(r.line(), b.s.Width/2)
	for k, side := range [3]float64{-0.5, 0, 0.5} {
		l := r.shift(side * b.s.Width).line()
		p, err := b.cuts.get(l, func() (section.Polygons, error) { return asSurveyed(slab.At(l)) })
		if err != nil {
			return nil, err
		}
		cuts[k] = p
	}
	site := b.site(r, cuts, 0)
	site.Legs = legs
	if site.Column {
		if jamb, ok := b.jamb(l, i); ok {
			p, err := b.cut(jamb)
			if err != nil {
				return nil, err
			}
			site.Jamb = p
		}
	}
	w, err := b.known.get(b.key(r, site), func() (*web.Web, error) { return web.Shape(*site) })
	b.asked.add(answered{r: r, site: site, draw: true, web: w, err: err})
	return w, err
}

// site is the place of one rib with the sections there.
func (b *shaper) site(r ribLine, cuts [3]section.Polygons, rough float64) *web.Site {
	site := &web.Site{Sections: cuts, Rough: rough, Settings: b.settings(r), Column: b.column(r)}
	site.Under = []web.Interval{{From: r.under.from, To: r.under.to, Z: b.heights(r), Hold: r.hold}}
	// What is material is read off the section: the survey would have to cut
	// every layer of the part to say so.
	own := sync.OnceValue(func() *section.Locator { return section.NewLocator(cuts[1]) })
	site.Grounded = func(u, z float64) bool {
		p := r.at(u)
		return own().Contains(section.Point{u, z}) && !b.survey.Floats([3]float64{p[0], p[1], z})
	}
	for i := range b.others {
		site.Forbidden = append(site.Forbidden, b.others[i].on(r)...)
	}
	return site
}

// cut is the section of the part along an axis.
func (b *shaper) cut(a axis) (section.Polygons, error) {
	return b.cuts.get(a.line(), func() (section.Polygons, error) { return asSurveyed(b.cutter.At(a.line())) })
}

// key tells sites apart: by every bit of all that is asked, lest it matter which
// of two was asked first, and by what is grounded along the floor.
func (b *shaper) key(r ribLine, site *web.Site) [sha256.Size]byte {
	h := sha256.New()
	put := func(x float64) {
		var buf [8]byte
		binary.LittleEndian.PutUint64(buf[:], math.Float64bits(x))
		h.Write(buf[:])
	}
	for _, p := range append(site.Sections[:], site.Jamb) {
		put(float64(len(p)))
		for _, ring := range p {
			put(float64(len(ring)))
			for _, q := range ring {
				put(q[0])
				put(q[1])
			}
		}
	}
	fmt.Fprint(h, site.Under, site.Forbidden, site.Column, site.Legs, site.Settings)
	for i := 0; i <= 16; i++ {
		u := r.under.from + float64(float64(i)/16*r.under.length())
		f := b.at.floor(r.at(u), b.c.Z[0]-1)
		fmt.Fprint(h, site.Grounded(u, f-0.1))
	}
	return [sha256.Size]byte(h.Sum(nil))
}

// column tells whether a rib stands in the opening of a thin wall. A short web
// elsewhere, as under a narrow ledge, has no jambs to hold it and obeys the
// rule for every web.
func (v *view) column(r ribLine) bool {
	return v.thin > 0 && v.c.Kind == span.Bridge && r.under.length() <= thinWall && !r.hold[0] && !r.hold[1]
}

func (b *shaper) settings(r ribLine) web.Settings {
	return web.Settings{Width: b.s.Width, Slope: b.sv.Slope, Slenderness: b.s.Slenderness, Setback: b.s.Setback,
		Embed: embed, Spacing: b.s.Spacing, BracePitch: b.s.BracePitch, BraceLayers: b.s.BraceLayers,
		Bed: b.survey.Bounds.Min[2], First: b.sv.FirstLayer, Layer: b.sv.Layer, Notched: b.crest(r) == CrestNotched}
}

// crest decides how a rib meets its ceiling.
func (b *shaper) crest(r ribLine) Crest {
	if b.s.Crest != CrestAuto {
		return b.s.Crest
	}
	n := max(2, int(r.under.length()/5))
	for i := 0; i <= n; i++ {
		if b.reach(r.at(r.under.from+float64(float64(i)/float64(n)*r.under.length()))) >= easyReach {
			return CrestNotched
		}
	}
	return CrestSolid
}

// heights is the range of undersides that a rib may find along its stretch:
// those of the strips it crosses, a layer more to each side.
func (b *shaper) heights(r ribLine) [2]float64 {
	z := [2]float64{math.Inf(1), math.Inf(-1)}
	for _, s := range b.c.Strips {
		for _, x := range clip(s.Footprint, r.axis) {
			if x.to > r.under.from && x.from < r.under.to {
				z[0], z[1] = min(z[0], s.Z), max(z[1], s.Z)
			}
		}
	}
	if z[0] > z[1] {
		z = b.c.Z
	}
	step := max(b.sv.Layer, b.sv.FirstLayer)
	return [2]float64{max(z[0]-step, b.c.Z[0]-0.05), min(z[1]+step, b.c.Z[1]+0.05)}
}

// reach is how deep inside the opening a point of plan lies: its distance to
// the nearest free border, infinite where there is none.
func (b *shaper) reach(q section.Point) float64 {
	return b.free.nearest(q)
}

// jamb returns a plane through the wall beside the opening, parallel to a rib
// and with the same run across the wall: columns follow what it shows.
func (b *shaper) jamb(l *layout, i int) (axis, bool) {
	r := l.lines[i]
	end, side := l.lines[0], -1.0
	if 2*i >= len(l.lines) {
		end = l.lines[len(l.lines)-1]
		side = 1
	}
	if n := len(l.lines); n > 1 {
		// Outward is away from the other ribs.
		other := l.lines[n-1]
		if side > 0 {
			other = l.lines[0]
		}
		if end.left(other.at(other.hint)) > 0 {
			side = -1
		} else {
			side = 1
		}
	}
	mid := end.at(end.hint)
	cross := axis{mid, section.Point{float64(-side * end.dir[1]), float64(side * end.dir[0])}}
	for _, s := range clip(b.foot, cross) {
		if s.from > 0 || s.to <= 0 {
			continue
		}
		p := cross.at(s.to + 2)
		z := (b.c.Z[0] + b.bed()) / 2
		if !b.at.material(p, z) && !b.at.material(p, b.c.Z[0]-1) {
			return axis{}, false
		}
		// The same run across the wall: measured from the middle of the wall.
		return axis{section.Point{p[0] - float64(r.hint*end.dir[0]), p[1] - float64(r.hint*end.dir[1])}, end.dir}, true
	}
	return axis{}, false
}

func (b *shaper) bed() float64 { return b.survey.Bounds.Min[2] }
