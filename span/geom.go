package span

import (
	"math"

	"falsework/mesh/section"
)

// Point is a place in plan, millimetres.
type Point = section.Point

// A rim is a straight piece of the border of a footprint or of a rib under
// it.
type rim struct {
	a, b Point
	held bool
	z    float64 // height of the underside there
}

func (r *rim) length() float64 { return math.Hypot(r.b[0]-r.a[0], r.b[1]-r.a[1]) }

// nearest returns the point of r closest to p and its distance.
func (r *rim) nearest(p Point) (Point, float64) {
	dx, dy := r.b[0]-r.a[0], r.b[1]-r.a[1]
	l2 := float64(dx*dx) + float64(dy*dy)
	if l2 == 0 {
		return r.a, math.Hypot(p[0]-r.a[0], p[1]-r.a[1])
	}
	t := (float64((p[0]-r.a[0])*dx) + float64((p[1]-r.a[1])*dy)) / l2
	t = min(max(t, 0), 1)
	q := Point{r.a[0] + float64(t*dx), r.a[1] + float64(t*dy)}
	return q, distance(p, q)
}

func distance(p, q Point) float64 {
	dx, dy := p[0]-q[0], p[1]-q[1]
	return math.Sqrt(float64(dx*dx) + float64(dy*dy))
}

// bounds returns the smallest upright rectangle that holds p; an empty region
// gives an inverted one.
func bounds(p section.Polygons) (lo, hi Point) {
	lo = Point{math.Inf(1), math.Inf(1)}
	hi = Point{math.Inf(-1), math.Inf(-1)}
	for _, r := range p {
		for _, q := range r {
			lo[0], lo[1] = min(lo[0], q[0]), min(lo[1], q[1])
			hi[0], hi[1] = max(hi[0], q[0]), max(hi[1], q[1])
		}
	}
	return lo, hi
}

func perimeter(p section.Polygons) float64 {
	var l float64
	for _, r := range p {
		for i, q := range r {
			l += distance(q, r[(i+1)%len(r)])
		}
	}
	return l
}
