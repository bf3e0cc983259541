package web

import (
	"math"

	"falsework/mesh/section"
)

// A support is what carries one part of the crest: a leg, or the wall at an
// end.
type support struct {
	wall int        // -1: the wall at the left end, +1: at the right, 0: a leg
	u    [2]float64 // the sides of a leg; for a wall, twice the profile's end
}

// A scheme is the supports of one profile from left to right, and the apexes
// of the arches between them. An apex lies between every two neighbours. An
// end without a wall support has no apex: the crest there begins where the
// profile does, set back.
type scheme struct {
	sup  []support
	apex []float64
	cost float64
}

// over is how far the drawing runs into the part before it is cut off at the
// embed, and pieces beyond the part dropped.
const over = 1.0

// crestHeight is the height of the band under the whole ceiling line.
const crestHeight = 2.0

// A drawer draws the outline of one profile.
type drawer struct {
	site  *Site
	p     *profile
	faces [2]*face
	ends  [2]float64 // where the web begins and ends, setback taken off
	rise  float64    // of a flank: height over run
	crest float64    // crest height, in whole layers
}

func newDrawer(site *Site, p *profile) (*drawer, error) {
	s := &site.Settings
	d := &drawer{site: site, p: p}
	d.rise = 1 / math.Tan((s.Slope-1)*math.Pi/180)
	d.crest = s.Layer * math.Ceil(crestHeight/s.Layer-1e-6)
	if err := p.setBack(s); err != nil {
		return nil, err
	}
	d.ends = [2]float64{p.from() + p.set[0], p.to() - p.set[1]}
	for k := range 2 {
		d.faces[k] = readFace(site, p, k)
	}
	return d, nil
}

// setBack chooses the setback of both ends, so that two beads of depth remain
// where there is room for them.
func (p *profile) setBack(s *Settings) error {
	n, room := 0.0, p.to()-p.from()
	for k := range 2 {
		if !p.hold[k] {
			n++
		}
	}
	if room < s.Width {
		return at(ErrThin, p.from(), p.slabs[0].top[0])
	}
	set := s.Setback
	if left := room - float64(n*set); n > 0 && left < 2*s.Width {
		set = math.Max(0.02, (room-2*s.Width)/n)
		if room-float64(n*set) < s.Width {
			return at(ErrThin, p.from(), p.slabs[0].top[0])
		}
	}
	for k := range 2 {
		if !p.hold[k] {
			p.set[k] = set
		}
	}
	return nil
}

// under returns the underside of the crest at the ends of a slab. Under a flat
// ceiling it lies on a layer boundary.
func (d *drawer) under(s *slab) [2]float64 {
	g := [2]float64{s.top[0] - d.crest, s.top[1] - d.crest}
	if math.Abs(s.top[0]-s.top[1]) < 1e-6 {
		z := d.site.Settings.layerBottom(s.top[0]) - d.crest
		g = [2]float64{z, z}
	}
	return g
}

// layerBottom returns the lower boundary of the first layer printed of a
// ceiling whose underside is at z: the first layer whose mid-plane is not
// below z.
func (s *Settings) layerBottom(z float64) float64 {
	if z <= s.Bed+s.First/2 {
		return s.Bed
	}
	k := math.Max(0, math.Ceil((z-1e-4-s.Bed-s.First)/s.Layer-0.5))
	return s.Bed + s.First + float64(k*s.Layer)
}

// A line is a height over run between two runs, in the order walked.
type line struct{ u, z [2]float64 }

func (l line) at(u float64) float64 {
	if l.u[0] == l.u[1] {
		return l.z[0]
	}
	t := (u - l.u[0]) / (l.u[1] - l.u[0])
	return l.z[0] + float64(t*(l.z[1]-l.z[0]))
}

// upper appends the greater of two lines over the same stretch.
func upper(out []section.Point, a, b line) []section.Point {
	d0, d1 := a.z[0]-b.z[0], a.z[1]-b.z[1]
	out = append(out, section.Point{a.u[0], math.Max(a.z[0], b.z[0])})
	if (d0 > 0 && d1 < 0) || (d0 < 0 && d1 > 0) {
		u := a.u[0] + float64(d0/(d0-d1)*(a.u[1]-a.u[0]))
		out = append(out, section.Point{u, a.at(u)})
	}
	return append(out, section.Point{a.u[1], math.Max(a.z[1], b.z[1])})
}

// stretch calls visit for the parts of slabs between two runs, in the order
// from a to b.
func (d *drawer) stretch(a, b float64, visit func(s *slab, u [2]float64)) {
	n := len(d.p.slabs)
	for i := range n {
		s := &d.p.slabs[i]
		if b < a {
			s = &d.p.slabs[n-1-i]
		}
		lo, hi := math.Max(s.u[0], math.Min(a, b)), math.Min(s.u[1], math.Max(a, b))
		if hi-lo < 1e-6 {
			continue
		}
		if b < a {
			lo, hi = hi, lo
		}
		visit(s, [2]float64{lo, hi})
	}
}

// flank draws the underside from an apex towards a support: down from the
// crest at the flank's rise, never above the crest's underside, never further
// below the floor than over.
func (d *drawer) flank(apex, to float64) []section.Point {
	var out []section.Point
	f := math.Inf(1)
	d.stretch(apex, to, func(s *slab, u [2]float64) {
		under := d.under(s)
		c := line{u, [2]float64{s.lerp(under, u[0]), s.lerp(under, u[1])}}
		g := line{u, [2]float64{s.lerp(s.floor, u[0]) - over, s.lerp(s.floor, u[1]) - over}}
		f = math.Min(f, c.z[0])
		run := math.Abs(u[1] - u[0])
		end := f - float64(d.rise*run)
		if end <= c.z[1] {
			out = upper(out, line{u, [2]float64{f, end}}, g)
			f = end
			return
		}
		// The crest falls faster than the flank: follow it from where they meet.
		fall := (c.z[0] - c.z[1]) / run
		x := u[0]
		if f < c.z[0] {
			x += float64((c.z[0] - f) / (fall - d.rise) * math.Copysign(1, to-apex))
			z := c.at(x)
			out = upper(out, line{[2]float64{u[0], x}, [2]float64{f, z}}, line{[2]float64{u[0], x}, [2]float64{g.z[0], g.at(x)}})
		}
		out = upper(out, line{[2]float64{x, u[1]}, [2]float64{c.at(x), c.z[1]}}, line{[2]float64{x, u[1]}, [2]float64{g.at(x), g.z[1]}})
		f = c.z[1]
	})
	return out
}

// low draws the underside of a scheme from left to right; it runs over into the
// part wherever it holds. It is nil when a leg finds nothing to stand on.
func (d *drawer) low(sc *scheme) []section.Point {
	var low []section.Point
	apex := sc.apex
	start := d.ends[0]
	for _, s := range sc.sup {
		if s.wall < 0 {
			low = append(low, d.side(0, d.flank(apex[0], d.p.from()))...)
			start, apex = apex[0], apex[1:]
			continue
		}
		if s.wall > 0 {
			low = append(low, reversed(d.side(1, d.flank(start, d.p.to())))...)
			continue
		}
		low = append(low, d.flank(start, s.u[0])...)
		f, ok := d.foot(s.u)
		if !ok {
			return nil
		}
		low = append(low, d.drawFoot(s.u, &f)...)
		start = d.ends[1]
		if len(apex) > 0 {
			start, apex = apex[0], apex[1:]
		}
		low = append(low, reversed(d.flank(start, s.u[1]))...)
	}
	return low
}

// ring closes an underside over the top, over into the ceiling.
func (d *drawer) ring(low []section.Point) section.Path {
	ring := append(section.Path(nil), low...)
	d.stretch(low[len(low)-1][0], low[0][0], func(s *slab, u [2]float64) {
		for _, x := range u {
			ring = append(ring, section.Point{x, s.lerp(s.top, x) + over})
		}
	})
	return tidy(ring)
}

// tip returns where the flank of a corbel ends in its wall: the distance of the
// wall's face beyond the end of the profile, and the height of the flank there.
func (d *drawer) tip(end int, flank []section.Point) [2]float64 {
	f := d.faces[end]
	z := flank[len(flank)-1][1]
	reach := func(x float64) float64 { return z - float64(d.rise*x) }
	x, _ := f.at(z)
	for r := f.row(z); r < len(f.out) && f.wall[r]; r++ {
		if f.out[r] < x-1 {
			break // a floor
		}
		x = f.out[r]
		if f.start-f.step*float64(r+1) <= reach(x) {
			break
		}
	}
	return [2]float64{x, reach(x)}
}

// side prolongs the flank of a corbel into its wall and closes it along the
// wall's face up to the ceiling; the result begins at the top of the wall.
// Where the wall is open the corbel stays inside by the setback.
func (d *drawer) side(end int, flank []section.Point) []section.Point {
	f := d.faces[end]
	tip := d.tip(end, flank)
	foot := tip[1] - float64(d.rise*over)
	// The profile of the wall from the foot up, as steps of whole rows.
	steps := []section.Point{{f.end + f.dir*(tip[0]+over), foot}}
	back := 0.0                                            // how far the web stays back; above a window it returns at the flank's lean
	for r := min(f.row(foot), len(f.out)-1); r >= 0; r-- { // none where the ceiling begins at the bed
		lo, hi := f.start-f.step*float64(r+1), f.start-f.step*float64(r)
		was := back
		back = math.Max(0, back-f.step/d.rise)
		if !f.wall[r] {
			was, back = d.site.Settings.Setback, d.site.Settings.Setback
		}
		a, b := f.end-f.dir*was, f.end-f.dir*back
		if was == 0 {
			a = f.end + f.dir*(f.out[r]+over)
			b = a
		}
		steps = append(steps, section.Point{a, math.Max(lo, foot)}, section.Point{b, hi})
	}
	steps = append(steps, section.Point{f.end + f.dir*over, f.start + over})
	return append(reversed(steps), reversed(flank)...)
}

func reversed(p []section.Point) []section.Point {
	out := make([]section.Point, len(p))
	for i, q := range p {
		out[len(p)-1-i] = q
	}
	return out
}

// tidy snaps a ring to the micron and drops points that repeat or lie on a
// straight line between their neighbours.
func tidy(ring section.Path) section.Path {
	var out section.Path
	for _, q := range ring {
		q = section.Point{snap(q[0]), snap(q[1])}
		if len(out) > 0 && out[len(out)-1] == q {
			continue
		}
		for len(out) >= 2 && straight(out[len(out)-2], out[len(out)-1], q) {
			out = out[:len(out)-1]
		}
		out = append(out, q)
	}
	for len(out) > 1 && out[0] == out[len(out)-1] {
		out = out[:len(out)-1]
	}
	return out
}

func snap(x float64) float64 { return math.Round(x*1000) / 1000 }

func straight(a, b, c section.Point) bool {
	cross := float64((b[0]-a[0])*(c[1]-a[1])) - float64((b[1]-a[1])*(c[0]-a[0]))
	dot := float64((b[0]-a[0])*(c[0]-b[0])) + float64((b[1]-a[1])*(c[1]-b[1]))
	return cross == 0 && dot > 0
}
