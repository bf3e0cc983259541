package web

import (
	"math"

	"falsework/mesh/section"
)

// measure lists the legs, landings, springings and cuts of a scheme as drawn.
func (d *drawer) measure(w *Web, sc *scheme, low []section.Point) {
	start, apex := d.ends[0], sc.apex
	for _, s := range sc.sup {
		if s.wall < 0 {
			start, apex = apex[0], apex[1:]
			d.spring(w, 0, d.flank(start, d.p.from()))
			continue
		}
		if s.wall > 0 {
			d.spring(w, 1, d.flank(start, d.p.to()))
			continue
		}
		left := d.flank(start, s.u[0])
		start = d.ends[1]
		if len(apex) > 0 {
			start, apex = apex[0], apex[1:]
		}
		d.stand(w, s.u, left, d.flank(start, s.u[1]))
	}
	for i := range d.p.slabs {
		s := &d.p.slabs[i]
		w.Sheet += s.width() * (s.top[0] + s.top[1] - s.floor[0] - s.floor[1]) / 2
	}
	d.land(w, low)
	a := section.Point{d.ends[0], d.p.top(d.ends[0])}
	b := section.Point{d.ends[1], d.p.top(d.ends[1])}
	w.Crest = d.ends[1] - d.ends[0]
	w.Cuts = append(w.Cuts, Cut{What: "crest", From: a, To: b, Length: w.Crest})
	stood := 0.0
	for _, l := range w.Landings {
		stood += l.U[1] - l.U[0]
	}
	w.Scheme = sc.words()
	if stood > 0.9*w.Crest {
		w.Scheme = "full sheet"
	}
	if w.column {
		w.Scheme = "column"
	}
}

// spring adds the springing of a corbel.
func (d *drawer) spring(w *Web, end int, flank []section.Point) {
	tip := d.tip(end, flank)
	f := d.faces[end]
	top := flank[0][1] + d.crest
	w.Springings = append(w.Springings, Springing{U: f.end + f.dir*tip[0], Z: [2]float64{tip[1], top}, Left: end == 0})
	w.Cuts = append(w.Cuts, Cut{What: "springing", From: section.Point{f.end + f.dir*tip[0], tip[1]},
		To: section.Point{f.end, top}, Length: top - tip[1]})
}

// stand adds a leg and its landing.
func (d *drawer) stand(w *Web, u [2]float64, left, right []section.Point) {
	wide := math.Inf(1)
	for _, fl := range [][]section.Point{left, right} {
		if n := len(fl); n > 0 {
			wide = math.Min(wide, fl[n-1][1])
		}
	}
	low := math.Inf(1)
	d.stretch(u[0], u[1], func(s *slab, x [2]float64) {
		top := math.Min(s.lerp(s.top, x[0]), s.lerp(s.top, x[1]))
		if !d.site.Column {
			top -= d.crest
		}
		wide = math.Min(wide, top)
	})
	if f, ok := d.foot(u); ok {
		d.stretch(f.u[0], f.u[1], func(s *slab, x [2]float64) {
			low = math.Min(low, math.Min(s.lerp(s.floor, x[0]), s.lerp(s.floor, x[1])))
		})
	}
	w.Legs = append(w.Legs, Leg{U: u, Z: [2]float64{low, math.Max(low, wide)}})
}

// land lists where the underside lies on the floor, and the cuts there.
func (d *drawer) land(w *Web, low []section.Point) {
	limit := 1 / math.Tan(d.site.Settings.Slope*math.Pi/180) * (1 + 1e-6)
	var end section.Point
	for i := 0; i+1 < len(low); i++ {
		a, b := low[i], low[i+1]
		if b[0]-a[0] < 1e-6 || a[0] < d.p.from()-1e-6 || b[0] > d.p.to()+1e-6 {
			continue
		}
		s := d.p.slab((a[0] + b[0]) / 2)
		za, zb := s.lerp(s.floor, a[0]), s.lerp(s.floor, b[0])
		if a[1] > za || b[1] > zb {
			continue
		}
		steep := !s.bed && math.Abs(zb-za) > limit*(b[0]-a[0])
		z, length := math.Max(za, zb), math.Hypot(b[0]-a[0], zb-za)
		n := len(w.Landings) - 1
		if n >= 0 && w.Landings[n].Bed == s.bed && math.Abs(end[0]-a[0]) < 1e-3 && math.Abs(end[1]-za) < 0.05 {
			l, c := &w.Landings[n], &w.Cuts[len(w.Cuts)-1]
			l.U[1], l.Z, l.Steep = b[0], math.Max(l.Z, z), l.Steep || steep
			c.To, c.Length = section.Point{b[0], zb}, c.Length+length
		} else {
			w.Landings = append(w.Landings, Landing{U: [2]float64{a[0], b[0]}, Z: z, Bed: s.bed, Steep: steep})
			w.Cuts = append(w.Cuts, Cut{What: "landing", From: section.Point{a[0], za}, To: section.Point{b[0], zb}, Length: length})
		}
		end = section.Point{b[0], zb}
	}
}

// The nibs of a notched crest, which are no shorter than the web is thick, and
// the gaps between them.
const (
	leastNib = 1.0
	gap      = 3.0
)

// gaps returns what is cut out of a notched crest: from one whole layer under
// the lower boundary of the ceiling's first printed layer up into the part. It
// corrects the contact of the crest. Each stretch of ceiling without a step
// begins and ends with a nib.
func (d *drawer) gaps(w *Web) section.Polygons {
	s := &d.site.Settings
	nib := math.Max(leastNib, s.Width) // the slicing program would drop a shorter one
	var out section.Polygons
	for _, x := range d.even() {
		run := x[1] - x[0]
		n := int(math.Ceil((run-nib)/(nib+gap) - 1e-9))
		if n < 1 {
			continue
		}
		pitch := (run - nib) / float64(n)
		for i := range n {
			a := x[0] + float64(pitch*float64(i)) + nib
			b := x[0] + float64(pitch*float64(i+1))
			if b-a < s.Width {
				continue
			}
			d.stretch(a, b, func(sl *slab, u [2]float64) {
				for _, st := range s.stairs(line{u, [2]float64{sl.lerp(sl.top, u[0]), sl.lerp(sl.top, u[1])}}) {
					lo, hi := st.z-s.Layer, math.Max(sl.lerp(sl.top, st.u[0]), sl.lerp(sl.top, st.u[1]))+2*over
					out = append(out, tidy(section.Path{{st.u[0], lo}, {st.u[1], lo}, {st.u[1], hi}, {st.u[0], hi}}))
				}
			})
			w.Crest -= b - a
		}
	}
	for i := range w.Cuts {
		if w.Cuts[i].What == "crest" {
			w.Cuts[i].Length = w.Crest
		}
	}
	return section.Union(out, nil)
}

// even divides the crest where the ceiling steps by more than a layer.
func (d *drawer) even() [][2]float64 {
	var out [][2]float64
	last := math.Inf(1)
	d.stretch(d.ends[0], d.ends[1], func(s *slab, u [2]float64) {
		if math.Abs(s.lerp(s.top, u[0])-last) > d.site.Settings.Layer {
			out = append(out, u)
		}
		out[len(out)-1][1] = u[1]
		last = s.lerp(s.top, u[1])
	})
	return out
}

// A stair is the lower boundary of the first printed layer over a stretch.
type stair struct {
	u [2]float64
	z float64
}

// stairs returns the lower boundaries of the first layers printed of a sloping
// ceiling, from left to right.
func (s *Settings) stairs(l line) []stair {
	lo := s.layerBottom(math.Min(l.z[0], l.z[1]))
	hi := s.layerBottom(math.Max(l.z[0], l.z[1]))
	if hi-lo < s.Layer/2 {
		return []stair{{l.u, lo}}
	}
	var out []stair
	n := int(math.Round((hi - lo) / s.Layer))
	u := func(z float64) float64 { // where the ceiling passes z
		t := (z - l.z[0]) / (l.z[1] - l.z[0])
		return l.u[0] + float64(math.Max(0, math.Min(1, t))*(l.u[1]-l.u[0]))
	}
	for i := 0; i <= n; i++ {
		z := lo + float64(float64(i)*s.Layer)
		a, b := u(z-s.Layer/2), u(z+s.Layer/2)
		if i == 0 {
			a = u(math.Inf(-1))
		}
		if i == n {
			b = u(math.Inf(1))
		}
		if a > b {
			a, b = b, a
		}
		if b-a > 1e-3 {
			out = append(out, stair{[2]float64{a, b}, z})
		}
	}
	return out
}
