package pose

import (
	"math"
	"sort"

	"falsework/mesh"
)

// A Place says how a part goes on a bed.
type Place struct {
	Given bool    // there was a bed
	Fits  bool    // at Turn
	Turn  float64 // degrees about z, from 0 up to 180
	// Over is by how much the part is too long for the bed along its axes at
	// the best turn, and too high; zero where it fits.
	Over [3]float64
}

// Fit tells whether a part fits a bed, and at which turn about z: as it
// stands, a quarter turn, or the turn that leaves most room. The turn is
// found among those at which a side of the part's outline lies along the bed,
// and between them by halves of a degree and a search around the best of
// those.
func Fit(m *mesh.Mesh, bed [3]float64) Place {
	p := Place{Given: bed != [3]float64{}}
	if !p.Given {
		return p
	}
	b := m.Bounds()
	p.Over[2] = max(0, b.Max[2]-b.Min[2]-bed[2])
	o := outline(m)
	turn := 0.0
	if o.over(0, bed) > 0 {
		turn = 90
		if o.over(90, bed) > 0 {
			turn = o.best(bed)
		}
	}
	p.Turn = turn
	w, d := o.size(turn)
	p.Over[0], p.Over[1] = max(0, w-bed[0]), max(0, d-bed[1])
	p.Fits = p.Over == [3]float64{}
	if !p.Fits && p.Over[0] == 0 && p.Over[1] == 0 {
		p.Turn = turn // too high only
	}
	return p
}

// A hull is the convex outline of a part in plan, counter-clockwise.
type hull [][2]float64

// outline is the convex hull of a part's points in plan, by the two chains of
// points sorted along x (A. M. Andrew, "Another efficient algorithm for convex
// hulls in two dimensions", Information Processing Letters 9, 1979).
func outline(m *mesh.Mesh) hull {
	pts := make([][2]float64, 0, len(m.Vertices))
	for _, v := range m.Vertices {
		pts = append(pts, [2]float64{float64(v[0]), float64(v[1])})
	}
	sort.Slice(pts, func(i, j int) bool {
		return pts[i][0] < pts[j][0] || pts[i][0] == pts[j][0] && pts[i][1] < pts[j][1]
	})
	chain := func(each func(yield func([2]float64))) hull {
		var h hull
		each(func(q [2]float64) {
			for len(h) >= 2 && turns(h[len(h)-2], h[len(h)-1], q) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, q)
		})
		return h
	}
	low := chain(func(yield func([2]float64)) {
		for _, q := range pts {
			yield(q)
		}
	})
	high := chain(func(yield func([2]float64)) {
		for i := len(pts) - 1; i >= 0; i-- {
			yield(pts[i])
		}
	})
	return append(low[:max(0, len(low)-1)], high[:max(0, len(high)-1)]...)
}

func turns(a, b, c [2]float64) float64 {
	return float64((b[0]-a[0])*(c[1]-a[1])) - float64((b[1]-a[1])*(c[0]-a[0]))
}

// size is the extent along x and y of the outline turned by so many degrees.
func (h hull) size(turn float64) (w, d float64) {
	s, c := math.Sincos(turn * math.Pi / 180)
	switch turn { // exact
	case 0:
		s, c = 0, 1
	case 90:
		s, c = 1, 0
	}
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, q := range h {
		r := [2]float64{float64(c*q[0]) - float64(s*q[1]), float64(s*q[0]) + float64(c*q[1])}
		for k := range r {
			lo[k], hi[k] = min(lo[k], r[k]), max(hi[k], r[k])
		}
	}
	return hi[0] - lo[0], hi[1] - lo[1]
}

// over is by how much the outline passes the bed at a turn, negative for the
// room it leaves.
func (h hull) over(turn float64, bed [3]float64) float64 {
	w, d := h.size(turn)
	return max(w-bed[0], d-bed[1])
}

// best is the turn at which the outline passes the bed least.
func (h hull) best(bed [3]float64) float64 {
	at, least := 0.0, math.Inf(1)
	try := func(turn float64) {
		if turn = math.Mod(turn+360, 180); h.over(turn, bed) < least-1e-9 {
			at, least = turn, h.over(turn, bed)
		}
	}
	for i := range 360 {
		try(float64(i) / 2)
	}
	if len(h) <= 2000 {
		for i, a := range h {
			b := h[(i+1)%len(h)]
			side := math.Atan2(b[1]-a[1], b[0]-a[0]) * 180 / math.Pi
			try(-side)
			try(90 - side)
		}
	}
	for step := 0.25; step > 1e-4; step /= 2 {
		for range 4 {
			from := at
			try(from - step)
			try(from + step)
			if at == from {
				break
			}
		}
	}
	return at
}
