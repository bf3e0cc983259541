package web

import (
	"math"
	"slices"

	"falsework/mesh/section"
)

// A face is the wall at one end of a profile, read row by row, a layer a row,
// from the ceiling down. It follows a wall that leans away under the ceiling
// as long as it leans no more than the slope limit; where the wall is open (a
// window) the web stays inside the end by the setback.
type face struct {
	dir   float64 // -1: the wall lies to the left of the profile, +1: right
	end   float64 // run of the profile's end
	start float64 // height of the first row's top
	step  float64 // height of a row
	out   []float64
	wall  []bool  // material to spring from; out is then its distance outwards
	thick []bool  // the same, and deep enough to take the embed
	skew  float64 // how much further away the wall may be on one face of the web
}

// row returns the index of the row at height z, clamped.
func (f *face) row(z float64) int {
	return max(0, min(len(f.out)-1, int(math.Floor((f.start-z)/f.step))))
}

// at returns the distance of the wall beyond the end of the profile at height
// z, and whether there is a wall.
func (f *face) at(z float64) (float64, bool) {
	if len(f.out) == 0 {
		return 0, false
	}
	r := f.row(z)
	return f.out[r], f.wall[r]
}

// solid says whether there is a wall all the way from height hi down to lo.
func (f *face) solid(hi, lo float64) bool {
	if len(f.out) == 0 {
		return false
	}
	for r := f.row(hi); r <= f.row(lo); r++ {
		if !f.wall[r] {
			return false
		}
	}
	return true
}

// follow is how far beyond its end a profile is followed under a wall that
// leans away.
const follow = 80.0

// inside is how far in the material the caller is asked whether it is grounded.
const inside = 0.1

// readFace reads the wall at end 0 or 1 of the profile, from the ceiling down
// to the bed.
func readFace(site *Site, p *profile, end int) *face {
	s := &site.Settings
	f := &face{dir: -1, end: p.from(), step: s.Layer}
	top := p.slabs[0].top[0]
	if end == 1 {
		last := p.slabs[len(p.slabs)-1]
		f.dir, f.end, top = 1, p.to(), last.top[1]
	}
	f.start = top
	if !p.hold[end] {
		return f
	}
	n := int(math.Ceil((top - s.Bed) / f.step))
	rows := crossings(site.planes.any, top-f.step/2, f.step, n, f.end-follow-1, f.end+follow+1)
	core := rows
	if !site.planes.one {
		core = crossings(site.planes.all, top-f.step/2, f.step, n, f.end-follow-1, f.end+follow+1)
	}
	f.out, f.wall, f.thick = make([]float64, n), make([]bool, n), make([]bool, n)
	lean := math.Tan(s.Slope * math.Pi / 180)
	x := 0.0
	for i := range n {
		z := f.start - f.step*(float64(i)+0.5)
		d, _, ok := nearest(rows[i], f.end, f.dir)
		behind, depth, there := nearest(core[i], f.end, f.dir)
		ok = ok && there && behind-d <= oblique*s.Width
		may := x + float64(f.step*lean) + 0.05 + site.Rough
		if i == 0 {
			may += snapZ
		}
		// In the web's own plane the face is no further away than behind.
		ok = ok && d <= may && d < follow && site.grounded(f.end+f.dir*(behind+inside), z)
		if ok {
			x = d
			f.skew = max(f.skew, behind-d)
		}
		f.out[i], f.wall[i], f.thick[i] = x, ok, ok && depth >= 2*s.Width
	}
	return f
}

// nearest returns the distance from u in direction dir to the first material
// of a row (0 when u lies in it or at its border) and how deep that is.
func nearest(row []float64, u, dir float64) (dist, depth float64, ok bool) {
	best := math.Inf(1)
	for k := 0; k+1 < len(row); k += 2 {
		a, b := float64(dir*(row[k]-u)), float64(dir*(row[k+1]-u))
		if a > b {
			a, b = b, a
		}
		if b <= 1e-3 {
			continue
		}
		if a = max(a, 0); a < best {
			best, depth, ok = a, b-a, true
		}
	}
	return best, depth, ok
}

// crossings returns for n rows, downwards from z0, the runs at which the
// section's border is crossed, ascending: material lies between even and odd
// ones.
func crossings(p section.Polygons, z0, step float64, n int, from, to float64) [][]float64 {
	z := func(k int) float64 { return z0 - float64(step*float64(k)) }
	// All lie in one array: rows are counted first, then filled.
	count := make([]int, n+1)
	each := func(visit func(lo, hi section.Point, first, end int)) {
		for _, ring := range p {
			a := ring[len(ring)-1]
			for _, b := range ring {
				lo, hi := a, b
				if lo[1] > hi[1] {
					lo, hi = hi, lo
				}
				a = b
				// Rows with lo.z <= z < hi.z.
				first := max(0, int(math.Floor((z0-hi[1])/step)))
				for first < n && z(first) >= hi[1] {
					first++
				}
				end := max(first, min(n, int(math.Floor((z0-lo[1])/step))))
				for end > first && z(end-1) < lo[1] {
					end--
				}
				for end < n && z(end) >= lo[1] {
					end++
				}
				if first < end {
					visit(lo, hi, first, end)
				}
			}
		}
	}
	each(func(_, _ section.Point, first, end int) {
		count[first]++
		count[end]--
	})
	total, open := 0, 0
	for k := range count {
		open += count[k]
		count[k] = total
		total += open
	}
	all, rows := make([]float64, total), make([][]float64, n)
	for k := range rows {
		rows[k] = all[count[k]:count[k]:count[k+1]]
	}
	each(func(lo, hi section.Point, first, end int) {
		for k := first; k < end; k++ {
			t := (z(k) - lo[1]) / (hi[1] - lo[1])
			rows[k] = append(rows[k], lo[0]+float64(t*(hi[0]-lo[0])))
		}
	})
	for _, r := range rows {
		slices.Sort(r)
		for i := range r {
			r[i] = max(from, min(to, r[i]))
		}
	}
	return rows
}

// grounded asks the caller.
func (s *Site) grounded(u, z float64) bool { return s.Grounded == nil || s.Grounded(u, z) }

// forbidden says whether a range of run and height meets a box that legs and
// corbels keep out of.
func (s *Site) forbidden(u0, u1, zlo, zhi float64) bool {
	for _, b := range s.Forbidden {
		if u1 > b.U[0] && u0 < b.U[1] && zhi > b.Z[0] && zlo < b.Z[1] {
			return true
		}
	}
	return false
}
