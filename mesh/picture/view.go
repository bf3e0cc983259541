package picture

import (
	"math"
	"sync/atomic"

	"falsework/mesh"
	"falsework/mesh/par"
)

type vec = [3]float64

func dot(a, b vec) float64          { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func sub(a, b vec) vec              { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func along(a, d vec, t float64) vec { return vec{a[0] + d[0]*t, a[1] + d[1]*t, a[2] + d[2]*t} }
func cross(a, b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
func unit(a vec) vec {
	l := math.Sqrt(dot(a, a))
	if l == 0 {
		return vec{}
	}
	return vec{a[0] / l, a[1] / l, a[2] / l}
}

// A plane keeps the points with dot(p, n) >= at.
type plane struct {
	n  vec
	at float64
}

// A view is a place to look from, and where the scene is cut open for it.
type view struct {
	name            string
	eye             vec
	right, up, back vec // axes of the camera; it looks along -back
	tanX, tanY      float64
	near, far       float64
	cut             *plane
}

const (
	fieldOfView = 24.0 // degrees, of the shorter side: little distortion
	margin      = 1.04 // air round the part
)

// look aims a view at a box from an azimuth (0 is from -y, the front;
// counter-clockwise from above) and an elevation (negative is from below),
// as near as the box allows in a picture of the given size.
func look(b mesh.Box, azimuth, elevation float64, w, h int) view {
	a, e := azimuth*math.Pi/180, elevation*math.Pi/180
	v := view{back: vec{math.Sin(a) * math.Cos(e), -math.Cos(a) * math.Cos(e), math.Sin(e)}}
	v.right = unit(cross(vec{0, 0, 1}, v.back))
	v.up = cross(v.back, v.right)
	t := math.Tan(fieldOfView / 2 * math.Pi / 180)
	v.tanX, v.tanY = t, t
	if w > h {
		v.tanX *= float64(w) / float64(h)
	} else {
		v.tanY *= float64(h) / float64(w)
	}
	var centre vec
	for i := range centre {
		centre[i] = (b.Min[i] + b.Max[i]) / 2
	}
	distance, deepest := 0.0, 0.0
	for i := range 8 {
		var c vec
		for k := range c {
			c[k] = b.Min[k] - centre[k]
			if i>>k&1 == 1 {
				c[k] = b.Max[k] - centre[k]
			}
		}
		z := dot(c, v.back)
		need := margin * math.Max(math.Abs(dot(c, v.right))/v.tanX, math.Abs(dot(c, v.up))/v.tanY)
		distance = math.Max(distance, z+need)
		deepest = math.Max(deepest, -z)
	}
	size := math.Max(deepest, 1e-6)
	v.eye = along(centre, v.back, distance)
	v.far = distance + size*1.5
	v.near = math.Max(v.far/1000, (distance-size*1.5)/2)
	return v
}

// open cuts the scene by an upright plane facing the viewer, so that the
// given part of the box's depth falls away.
func (v view) open(b mesh.Box, part float64) view {
	n := unit(vec{-v.back[0], -v.back[1], 0})
	low, high := math.Inf(1), math.Inf(-1)
	for i := range 4 {
		c := vec{b.Min[0], b.Min[1], 0}
		for k := range 2 {
			if i>>k&1 == 1 {
				c[k] = b.Max[k]
			}
		}
		d := dot(c, n)
		low, high = math.Min(low, d), math.Max(high, d)
	}
	v.cut = &plane{n, low + part*(high-low)}
	return v
}

// ray returns the direction through the centre of a pixel, scaled so that
// its depth is one.
func (v *view) ray(x, y, w, h int) vec {
	fx := (2*(float64(x)+0.5)/float64(w) - 1) * v.tanX
	fy := (1 - 2*(float64(y)+0.5)/float64(h)) * v.tanY
	d := vec{-v.back[0], -v.back[1], -v.back[2]}
	return along(along(d, v.right, fx), v.up, fy)
}

// Candidates for the two views. Azimuths avoid looking straight at a wall.
var (
	azimuths   = []float64{-30, 30, -55, 55, 150, 210, 125, 235}
	elevations = []float64{-18, -30, 14}
	cuts       = []float64{0.5, 0.3}
)

const scoutSide = 160 // side in pixels of the trial pictures

// choose returns the two views that together show most (see seen): the
// first from outside, the second cut open or from another side.
func choose(s *Scene, b mesh.Box, w, h int) [2]view {
	small, widen := s.coarse(b)
	var outside, open []view
	for _, e := range elevations {
		for _, a := range azimuths {
			v := look(b, a, e, w, h)
			v.name = "From outside"
			outside = append(outside, v)
			for _, c := range cuts {
				o := v.open(b, c)
				o.name = "Cut open"
				open = append(open, o)
			}
		}
	}
	seen := small.scout(append(outside, open...), widen, scoutSide, max(scoutSide*h/max(w, 1), 1))
	first := best(seen[:len(outside)], nil)
	second := best(seen[len(outside):], seen[first])
	return [2]view{outside[first].centred(small.Bodies), open[second].centred(small.Bodies)}
}

// scout counts what is seen in trial pictures of all the views.
func (s *Scene) scout(views []view, widen float64, w, h int) [][]float64 {
	g := s.stage(widen)
	seen := make([][]float64, len(views))
	var next atomic.Int64
	par.Each(par.Workers(len(views), 1), func(int) {
		for i := next.Add(1) - 1; int(i) < len(views); i = next.Add(1) - 1 {
			seen[i] = g.seen(views[i], w, h)
		}
	})
	return seen
}

// best returns the view worth most, the first of equals.
func best(seen [][]float64, before []float64) int {
	at, top := 0, math.Inf(-1)
	for i, n := range seen {
		if v := worth(n, before); v > top+1e-9 {
			at, top = i, v
		}
	}
	return at
}

// worth rates what a view shows: every region counts, the first pixels of it
// most; those another view showed count less.
func worth(pixels, before []float64) float64 {
	var sum float64
	for i, n := range pixels {
		b := 0.0
		if before != nil {
			b = before[i]
		}
		sum += math.Log1p(n+b) - math.Log1p(b)
		sum += 0.2 * math.Log1p(n)
	}
	return sum
}

// centred moves a view sideways and in depth so that what it shows fills the
// picture, and keeps its direction.
func (v view) centred(bodies []Body) view {
	for range 4 { // each round brings the middle nearer; perspective is mild
		low, high := vec{math.Inf(1), math.Inf(1), math.Inf(1)}, vec{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
		v.each(bodies, func(p vec) {
			d := sub(p, v.eye)
			depth := -dot(d, v.back)
			for i, x := range [3]float64{dot(d, v.right) / (depth * v.tanX), dot(d, v.up) / (depth * v.tanY), depth} {
				low[i], high[i] = math.Min(low[i], x), math.Max(high[i], x)
			}
		})
		if low[0] > high[0] {
			return v // nothing to see
		}
		depth := (low[2] + high[2]) / 2
		v.eye = along(v.eye, v.right, (low[0]+high[0])/2*v.tanX*depth)
		v.eye = along(v.eye, v.up, (low[1]+high[1])/2*v.tanY*depth)
		fill := math.Max(high[0]-low[0], high[1]-low[1]) / 2 * margin
		step := math.Min(depth*(1-fill), low[2]*0.9)
		v.eye = along(v.eye, v.back, -step)
		v.far = math.Max(high[2]-step, 1e-6) * 1.1
		v.near = math.Max((low[2]-step)*0.8, v.far/1000)
	}
	return v
}

// each calls f with every point that bounds what the view shows: vertices
// that are not cut away, and points where edges meet the cut.
func (v *view) each(bodies []Body, f func(vec)) {
	for _, b := range bodies {
		at := func(i int32) vec {
			p := b.Mesh.Vertices[i]
			return vec{float64(p[0]), float64(p[1]), float64(p[2])}
		}
		for _, t := range b.Mesh.Triangles {
			for c := range 3 {
				p := at(t[c])
				if v.cut == nil || b.Whole {
					f(p)
					continue
				}
				q := at(t[(c+1)%3])
				dp, dq := dot(p, v.cut.n)-v.cut.at, dot(q, v.cut.n)-v.cut.at
				if dp >= 0 {
					f(p)
				}
				if (dp < 0) != (dq < 0) {
					f(along(p, sub(q, p), dp/(dp-dq)))
				}
			}
		}
	}
}
