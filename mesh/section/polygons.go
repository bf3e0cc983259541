package section

import "math"

// A Point lies in a plane; millimetres. For horizontal cuts it is x and y, for
// vertical ones the run along the cutting line and z.
type Point = [2]float64

// A Path is a closed ring: the last point joins the first, and no two
// consecutive points are equal.
type Path []Point

// Polygons is a region of the plane: outer rings counter-clockwise, holes
// clockwise, no ring crossing another. The empty value is the empty region.
type Polygons []Path

// Area returns the signed area of the ring, positive when counter-clockwise;
// square millimetres.
func (p Path) Area() float64 {
	if len(p) == 0 {
		return 0
	}
	// Relative to the first point, so that a small ring far from the origin
	// keeps its digits.
	var a float64
	o := p[0]
	for i := 1; i+1 < len(p); i++ {
		ux, uy := p[i][0]-o[0], p[i][1]-o[1]
		vx, vy := p[i+1][0]-o[0], p[i+1][1]-o[1]
		a += float64(ux*vy) - float64(uy*vx)
	}
	return a / 2
}

// Perimeter returns the length of the ring; millimetres.
func (p Path) Perimeter() float64 {
	var l float64
	for i, q := range p {
		r := p[next(i, len(p))]
		l += math.Hypot(r[0]-q[0], r[1]-q[1])
	}
	return l
}

// next returns the index after i in a ring of n points.
func next(i, n int) int {
	if i+1 == n {
		return 0
	}
	return i + 1
}

// Area returns the area of the region, holes taken off; square millimetres.
func (p Polygons) Area() float64 {
	var a float64
	for _, r := range p {
		a += r.Area()
	}
	return a
}

// Perimeter returns the length of the whole border, holes included;
// millimetres.
func (p Polygons) Perimeter() float64 {
	var l float64
	for _, r := range p {
		l += r.Perimeter()
	}
	return l
}

// Points returns the number of points of all rings.
func (p Polygons) Points() int {
	n := 0
	for _, r := range p {
		n += len(r)
	}
	return n
}

// A Rect is an axis-aligned box in the plane; millimetres. The zero Rect is a
// point at the origin; [Polygons.Bounds] says which regions have none.
type Rect struct{ Min, Max Point }

// Overlaps reports whether r and s have a point in common when r is grown by
// pad on every side.
func (r Rect) Overlaps(s Rect, pad float64) bool {
	return r.Min[0]-pad <= s.Max[0] && s.Min[0] <= r.Max[0]+pad &&
		r.Min[1]-pad <= s.Max[1] && s.Min[1] <= r.Max[1]+pad
}

// Holds reports whether q lies in r or on its border.
func (r Rect) Holds(q Point) bool {
	return r.Min[0] <= q[0] && q[0] <= r.Max[0] && r.Min[1] <= q[1] && q[1] <= r.Max[1]
}

// Ring returns the border of r, counter-clockwise.
func (r Rect) Ring() Path {
	return Path{r.Min, {r.Max[0], r.Min[1]}, r.Max, {r.Min[0], r.Max[1]}}
}

// Bounds returns the smallest box around the ring; ok is false for a ring
// without points.
func (p Path) Bounds() (r Rect, ok bool) {
	for i, q := range p {
		if i == 0 {
			r = Rect{q, q}
			continue
		}
		for c := range q {
			r.Min[c] = math.Min(r.Min[c], q[c])
			r.Max[c] = math.Max(r.Max[c], q[c])
		}
	}
	return r, len(p) > 0
}

// Bounds returns the smallest box around the region; ok is false for the empty
// region.
func (p Polygons) Bounds() (r Rect, ok bool) {
	for _, ring := range p {
		s, has := ring.Bounds()
		switch {
		case !has:
		case !ok:
			r, ok = s, true
		default:
			for c := range s.Min {
				r.Min[c] = math.Min(r.Min[c], s.Min[c])
				r.Max[c] = math.Max(r.Max[c], s.Max[c])
			}
		}
	}
	return r, ok
}

// Move returns the region moved by d.
func (p Polygons) Move(d Point) Polygons {
	out := make(Polygons, len(p))
	for i, r := range p {
		out[i] = make(Path, len(r))
		for j, q := range r {
			out[i][j] = Point{q[0] + d[0], q[1] + d[1]}
		}
	}
	return out
}
