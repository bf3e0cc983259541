package web

import (
	"math"

	"falsework/mesh/section"
)

// A foot is where a leg lands: the stretch of its depth that stands on the
// floor. Beyond it the leg is cut back upwards like a corbel, so that a leg
// over the edge of a shelf, or over a post thinner than itself, hangs nothing
// over the drop.
type foot struct {
	u     [2]float64
	z     [2]float64 // floor at its two ends
	steep bool       // a springing on a face too steep to stand on
	area  float64    // of the leg up to the crest
	top   float64    // highest floor
}

// A run of floor that a foot may stand on.
type floorRun struct {
	u, z  [2]float64
	steep int // 0: gentle; the sign of the slope where it is steep
	top   float64
}

// footSplit is how much of a steep face a foot springs from, counted from the
// uphill side of the leg.
const footSplit = 0.6

// foot finds where a leg with the given sides lands. It is not ok when there
// is nothing to stand on, or the leg cannot come down.
func (d *drawer) foot(u [2]float64) (foot, bool) {
	runs := d.floors(u)
	best, width := -1, 0.0
	for i, r := range runs {
		w := r.u[1] - r.u[0]
		if r.steep != 0 {
			w /= 4 // gentle ground first
		}
		if w > width+1e-9 {
			best, width = i, w
		}
	}
	s := &d.site.Settings
	least := math.Min(u[1]-u[0], math.Max(2*s.Width, (u[1]-u[0])/3))
	if best < 0 || runs[best].u[1]-runs[best].u[0] < least-1e-6 {
		return foot{}, false
	}
	r := runs[best]
	f := foot{u: r.u, z: r.z, top: r.top}
	if r.steep != 0 {
		cut := footSplit * (r.u[1] - r.u[0])
		k, x := 1, r.u[0]+cut // downhill to the right
		if r.steep > 0 {
			k, x = 0, r.u[1]-cut
		}
		if cut < s.Width {
			return foot{}, false
		}
		f.steep = true
		f.u[k], f.z[k] = x, d.p.floor(x)
	}
	var ok bool
	f.area, ok = d.clearLeg(u, &f)
	return f, ok
}

// floors divides the floor under a leg into runs without steps, on material
// that may be stood on.
func (d *drawer) floors(u [2]float64) []floorRun {
	limit := 1 / math.Tan(d.site.Settings.Slope*math.Pi/180)
	var runs []floorRun
	open := false
	d.stretch(u[0], u[1], func(s *slab, x [2]float64) {
		a, b := s.lerp(s.floor, x[0]), s.lerp(s.floor, x[1])
		mid := (x[0] + x[1]) / 2
		if !s.bed && !d.site.stands(mid, (a+b)/2) {
			open = false
			return
		}
		steep := 0
		if slope := (b - a) / (x[1] - x[0]); math.Abs(slope) > limit*(1+1e-6) {
			steep = int(math.Copysign(1, slope))
		}
		n := len(runs) - 1
		if open && runs[n].steep == steep && math.Abs(runs[n].z[1]-a) < 0.05 {
			runs[n].u[1], runs[n].z[1] = x[1], b
			runs[n].top = math.Max(runs[n].top, math.Max(a, b))
			return
		}
		runs = append(runs, floorRun{u: x, z: [2]float64{a, b}, steep: steep, top: math.Max(a, b)})
		open = true
	})
	return runs
}

// clearLeg returns the area of a leg on its foot and whether nothing is in its
// way.
func (d *drawer) clearLeg(u [2]float64, f *foot) (area float64, ok bool) {
	ok = true
	d.stretch(u[0], u[1], func(s *slab, x [2]float64) {
		mid := (x[0] + x[1]) / 2
		floor := s.lerp(s.floor, mid)
		lo := math.Max(floor, d.footLine(f, mid))
		if (mid < f.u[0] || mid > f.u[1]) && !s.bed && !d.site.stands(mid, floor) {
			for _, v := range x { // it may not touch what hangs
				ok = ok && d.beside(f, v) > s.lerp(s.floor, v)
			}
		}
		for _, v := range x { // nor take the crest away
			if l := d.footLine(f, v); l > s.lerp(d.under(s), v)+1e-6 && l > s.lerp(s.floor, v) {
				ok = false
			}
		}
		under := s.lerp(d.under(s), mid)
		if d.site.forbidden(x[0], x[1], lo, under) {
			ok = false
		}
		area += math.Max(0, under-lo) * (x[1] - x[0])
	})
	return area, ok
}

// footLine is the underside of the leg beside its foot, and minus infinity over
// it.
func (d *drawer) footLine(f *foot, u float64) float64 {
	switch {
	case u < f.u[0]:
		return f.z[0] + float64(d.rise*(f.u[0]-u))
	case u > f.u[1]:
		return f.z[1] + float64(d.rise*(u-f.u[1]))
	}
	return math.Inf(-1)
}

// drawFoot draws the underside of a leg from left to right: over below the
// floor on its foot, cut back upwards beside it.
func (d *drawer) drawFoot(u [2]float64, f *foot) []section.Point {
	var out []section.Point
	beside := func(a, b float64) {
		d.stretch(a, b, func(s *slab, x [2]float64) {
			g := line{x, [2]float64{s.lerp(s.floor, x[0]) - over, s.lerp(s.floor, x[1]) - over}}
			out = upper(out, line{x, [2]float64{d.beside(f, x[0]), d.beside(f, x[1])}}, g)
		})
	}
	beside(u[0], f.u[0])
	d.stretch(f.u[0], f.u[1], func(s *slab, x [2]float64) {
		for _, v := range x {
			out = append(out, section.Point{v, s.lerp(s.floor, v) - over})
		}
	})
	beside(f.u[1], u[1])
	return out
}

// beside is footLine with the foot's own ends belonging to the lines.
func (d *drawer) beside(f *foot, u float64) float64 {
	if u <= f.u[0] {
		return f.z[0] + float64(d.rise*(f.u[0]-u))
	}
	return f.z[1] + float64(d.rise*(u-f.u[1]))
}
