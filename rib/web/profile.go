package web

import (
	"math"
	"sort"

	"falsework/mesh/section"
)

// A slab is a stretch of run over which no corner of the section lies, so that
// ceiling and floor are straight there. Index 0 is the left end, 1 the right.
type slab struct {
	u     [2]float64
	top   [2]float64 // underside of the ceiling
	floor [2]float64 // first material below it, or the bed
	bed   bool       // the floor is the bed
	roof  float64    // least thickness of the material above the underside
	ok    bool       // there is a ceiling here
	solid bool       // no ceiling, because the part is solid here
}

func (s *slab) width() float64 { return s.u[1] - s.u[0] }

// lerp returns the value at run u of a line through the slab's ends.
func (s *slab) lerp(v [2]float64, u float64) float64 {
	t := (u - s.u[0]) / (s.u[1] - s.u[0])
	return v[0] + float64(t*(v[1]-v[0]))
}

// An edge of the section, its smaller run first.
type edge struct{ a, b section.Point }

func (e *edge) z(u float64) float64 {
	t := (u - e.a[0]) / (e.b[0] - e.a[0])
	return e.a[1] + float64(t*(e.b[1]-e.a[1]))
}

// edges returns the section's edges by ascending start; vertical ones are left
// out.
func edges(p section.Polygons) []edge {
	var out []edge
	for _, ring := range p {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			switch {
			case a[0] < b[0]:
				out = append(out, edge{a, b})
			case b[0] < a[0]:
				out = append(out, edge{b, a})
			}
		}
	}
	sort.Slice(out, func(i, j int) bool { return lessEdge(&out[i], &out[j]) })
	return out
}

func lessEdge(a, b *edge) bool {
	for k := range 2 {
		if a.a[k] != b.a[k] {
			return a.a[k] < b.a[k]
		}
	}
	for k := range 2 {
		if a.b[k] != b.b[k] {
			return a.b[k] < b.b[k]
		}
	}
	return false
}

// breaks returns from, to and the runs of all corners between them, ascending
// and at least a micron apart.
func breaks(p section.Polygons, from, to float64) []float64 {
	us := []float64{from, to}
	for _, ring := range p {
		for _, q := range ring {
			if q[0] > from && q[0] < to {
				us = append(us, q[0])
			}
		}
	}
	sort.Float64s(us)
	out := us[:1]
	for _, u := range us[1:] {
		if u-out[len(out)-1] >= 1e-3 {
			out = append(out, u)
		}
	}
	if last := len(out) - 1; last > 0 {
		out[last] = to
	}
	return out
}

// slabs reads ceiling and floor off the section between from and to. The
// ceiling is the lowest underside with a height in zs; where there is none the
// slab is not ok.
func slabs(p section.Polygons, from, to float64, zs [2]float64, bed float64) []slab {
	us := breaks(p, from, to)
	all := edges(p)
	out := make([]slab, 0, len(us))
	var active []edge
	next := 0
	for i := 0; i+1 < len(us); i++ {
		a, b := us[i], us[i+1]
		mid := (a + b) / 2
		for next < len(all) && all[next].a[0] < mid {
			active = append(active, all[next])
			next++
		}
		live := active[:0]
		for _, e := range active {
			if e.b[0] > mid {
				live = append(live, e)
			}
		}
		active = live
		out = append(out, readSlab(active, a, b, zs, bed))
	}
	return out
}

// readSlab sorts the edges over one slab by height and finds the ceiling's.
func readSlab(active []edge, a, b float64, zs [2]float64, bed float64) slab {
	mid := (a + b) / 2
	s := slab{u: [2]float64{a, b}}
	es := append([]edge(nil), active...)
	sort.SliceStable(es, func(i, j int) bool { return es[i].z(mid) < es[j].z(mid) })
	for k := 0; k+1 < len(es); k += 2 {
		lo, hi := es[k].z(mid), es[k+1].z(mid)
		if lo < zs[0] {
			if hi > zs[1] {
				s.solid = true
			}
			continue
		}
		if lo > zs[1] {
			break
		}
		s.ok, s.solid = true, false
		s.top = [2]float64{es[k].z(a), es[k].z(b)}
		s.roof = math.Min(es[k+1].z(a)-s.top[0], es[k+1].z(b)-s.top[1])
		s.bed = k == 0
		s.floor = [2]float64{bed, bed}
		if k > 0 {
			s.floor = [2]float64{es[k-1].z(a), es[k-1].z(b)}
		}
		break
	}
	return s
}

// A profile is the run of slabs under one stretch of ceiling.
type profile struct {
	slabs []slab
	hold  [2]bool
	// set is the setback kept at each end that does not hold.
	set [2]float64
}

func (p *profile) from() float64 { return p.slabs[0].u[0] }
func (p *profile) to() float64   { return p.slabs[len(p.slabs)-1].u[1] }

// slab returns the slab over run u.
func (p *profile) slab(u float64) *slab {
	i := sort.Search(len(p.slabs), func(i int) bool { return p.slabs[i].u[1] > u })
	return &p.slabs[min(i, len(p.slabs)-1)]
}

// top and floor at run u.
func (p *profile) top(u float64) float64   { s := p.slab(u); return s.lerp(s.top, u) }
func (p *profile) floor(u float64) float64 { s := p.slab(u); return s.lerp(s.floor, u) }

// snap is how far the ends of an interval may be from where the section has
// them, and slack how far the heights.
const (
	snapU = 1.0
	snapZ = 0.6
)

// profiles reads the ceiling over one interval. Posts and holes in the ceiling
// divide it; ends at a wall move to the wall's face.
func profiles(site *Site, iv Interval) ([]profile, error) {
	sec := site.planes.any
	zs := [2]float64{iv.Z[0] - snapZ, iv.Z[1] + snapZ}
	all := slabs(sec, iv.From-snapU, iv.To+snapU, zs, site.Settings.Bed)
	var out []profile
	for i := 0; i < len(all); {
		if !all[i].ok {
			i++
			continue
		}
		j := i
		for j < len(all) && all[j].ok {
			j++
		}
		p := profile{slabs: append([]slab(nil), all[i:j]...)}
		p.hold = [2]bool{i > 0 && all[i-1].solid, j < len(all) && all[j].solid}
		i = j
		if p = p.trim(iv); len(p.slabs) > 0 {
			out = append(out, p)
		}
	}
	if len(out) == 0 {
		return nil, at(ErrCeiling, (iv.From+iv.To)/2, iv.Z[0])
	}
	return out, nil
}

// trim cuts a profile to the interval: an end that was not stopped by the part
// itself stops where the interval does. An end of the interval that may not
// hold never holds.
func (p profile) trim(iv Interval) profile {
	near := func(a, b float64) bool { return math.Abs(a-b) <= snapU }
	if near(p.from(), iv.From) || p.from() < iv.From {
		wall := p.hold[0] && near(p.from(), iv.From)
		p.hold[0] = iv.Hold[0]
		if !wall && p.from() < iv.From {
			p.slabs = cutLeft(p.slabs, iv.From)
		}
	}
	if len(p.slabs) == 0 {
		return p
	}
	if near(p.to(), iv.To) || p.to() > iv.To {
		wall := p.hold[1] && near(p.to(), iv.To)
		p.hold[1] = iv.Hold[1]
		if !wall && p.to() > iv.To {
			p.slabs = cutRight(p.slabs, iv.To)
		}
	}
	return p
}

func cutLeft(s []slab, u float64) []slab {
	for len(s) > 0 && s[0].u[1] <= u {
		s = s[1:]
	}
	if len(s) > 0 && s[0].u[0] < u {
		s[0].top[0], s[0].floor[0] = s[0].lerp(s[0].top, u), s[0].lerp(s[0].floor, u)
		s[0].u[0] = u
	}
	return s
}

func cutRight(s []slab, u float64) []slab {
	for len(s) > 0 && s[len(s)-1].u[0] >= u {
		s = s[:len(s)-1]
	}
	if n := len(s) - 1; n >= 0 && s[n].u[1] > u {
		s[n].top[1], s[n].floor[1] = s[n].lerp(s[n].top, u), s[n].lerp(s[n].floor, u)
		s[n].u[1] = u
	}
	return s
}
