package section

import "math"

// A Join is how an offset turns a corner.
type Join int

// The joins.
const (
	Miter Join = iota // sides prolonged until they meet, see MiterLimit
	Round             // arcs, inscribed, see ArcTolerance
)

// MiterLimit bounds a mitred corner: where it would stand out further than
// MiterLimit times the offset (corners sharper than about 23 degrees), it is
// cut off square at the distance of the offset.
const MiterLimit = 5

// ArcTolerance is the greatest distance of a rounded corner from its true arc,
// up to a radius of a metre (a millionth of the radius beyond); millimetres. Arcs are inscribed: a rounded offset never reaches beyond the
// true one.
const ArcTolerance = 0.001

// Offset grows (d > 0) or shrinks (d < 0) a region by d millimetres.
func Offset(p Polygons, d float64, j Join) Polygons {
	if d == 0 || d-d != 0 {
		return Nonzero(p)
	}
	p = regular(p)
	g := GridFor(reach(p) + MiterLimit*math.Abs(d) + 1)
	o := takeOverlay()
	if d > 0 {
		return g.region(o, g.swell(o.es[:0], p, d, j, 0, false), rulePositive)
	}
	// Shrinking is growing what is outside: the rings turned round, and the
	// inside is where they still wind backwards.
	return g.region(o, g.swell(o.es[:0], p, -d, j, 0, true), ruleNegative)
}

// Beyond returns the points of a further than d from b, with mitred corners:
// Subtract(a, Offset(b, d, Miter)) in one pass. d is not negative; b is a region
// as sections and the functions here return them, of oriented simple rings: to
// make sure of it again took a quarter of the time.
func Beyond(a, b Polygons, d float64) Polygons {
	if !(d > 0) || d-d != 0 {
		return Subtract(a, b)
	}
	g := GridFor(max(reach(a), reach(b)+MiterLimit*d+1))
	o := takeOverlay()
	es := g.edges(o.es[:0], a, 0)
	return g.region(o, g.swell(es, b, d, Miter, 1, false), ruleBeyond)
}

// OpenBy returns the part of the region that a disc of diameter d inside the
// region can reach (morphological opening): necks and slivers narrower than d
// go, corners are rounded.
func OpenBy(p Polygons, d float64) Polygons {
	if !(d > 0) {
		return Nonzero(p)
	}
	core := Offset(p, -d/2, Round)
	if len(core) == 0 {
		return nil
	}
	return Intersect(Offset(core, d/2, Round), p)
}

// regular returns p as a region with oriented simple rings, p itself where it
// is known to be one.
func regular(p Polygons) Polygons { return Nonzero(p) }

// swell appends the raw curves of the rings of p grown by d > 0 as edges of
// operand op; back takes every ring in the other direction. The region grown is
// where the curves wind a positive number of times.
func (g Grid) swell(es []edge, p Polygons, d float64, j Join, op int, back bool) []edge {
	scale := 1 / g.Step()
	var raw []Point
	for _, r := range p {
		if len(r) < 3 || !finite(r) {
			continue
		}
		raw = swellRing(raw[:0], r, d, j, back)
		if len(raw) == 0 {
			continue
		}
		last := g.snap(raw[len(raw)-1], scale)
		for _, q := range raw {
			k := g.snap(q, scale)
			es = addEdge(es, last, k, op)
			last = k
		}
	}
	return es
}

// swellRing appends the raw curve of one ring grown by d to its right: each
// side moved outwards, outer corners joined, inner corners led through the
// corner itself.
func swellRing(out []Point, r Path, d float64, j Join, back bool) []Point {
	n := len(r)
	at := func(i int) Point {
		if back {
			return r[n-1-i]
		}
		return r[i]
	}
	before, ok := normal(at(n-1), at(0))
	for i := n - 1; !ok && i > 0; i-- {
		before, ok = normal(at(i-1), at(i))
	}
	if !ok {
		return out
	}
	for i := 0; i < n; i++ {
		v := at(i)
		after, ok := normal(v, at(next(i, n)))
		if !ok {
			continue // doubled point
		}
		out = corner(out, v, before, after, d, j)
		before = after
	}
	return out
}

// normal returns the unit normal to the right of the way from p to q.
func normal(p, q Point) (Point, bool) {
	dx, dy := q[0]-p[0], q[1]-p[1]
	l := math.Sqrt(float64(dx*dx) + float64(dy*dy))
	if l == 0 {
		return Point{}, false
	}
	return Point{dy / l, -dx / l}, true
}

func along(v, n Point, d float64) Point {
	return Point{v[0] + float64(n[0]*d), v[1] + float64(n[1]*d)}
}

// corner appends the curve round vertex v between sides with right normals m
// and n.
func corner(out []Point, v, m, n Point, d float64, j Join) []Point {
	sin := float64(m[0]*n[1]) - float64(m[1]*n[0])
	cos := float64(m[0]*n[0]) + float64(m[1]*n[1])
	const straight = 1e-9 // radians; the sides then part by less than a grid step in a metre
	switch {
	case sin < straight && sin > -straight && cos > 0:
		return append(out, along(v, n, d))
	case sin < 0 && cos > -1:
		// Inner corner: through the corner itself, so that the surplus winds
		// the other way round.
		return append(out, along(v, m, d), v, along(v, n, d))
	case j == Round:
		return arc(out, v, m, sin, cos, n, d)
	}
	return miter(out, v, m, n, sin, cos, d)
}

// miter appends the corner where both moved sides meet, cut square beyond
// MiterLimit. With a the turning angle, it stands out by d/cos(a/2).
func miter(out []Point, v, m, n Point, sin, cos, d float64) []Point {
	const sharpest = 2.0 / (MiterLimit * MiterLimit) // 1 + cos a = 2 cos^2(a/2)
	if 1+cos >= sharpest {
		q := d / (1 + cos)
		return append(out, Point{v[0] + float64((m[0]+n[0])*q), v[1] + float64((m[1]+n[1])*q)})
	}
	t := math.Tan(math.Atan2(sin, cos)/4) * d
	if t < 0 {
		t = -t // a turn by exactly 180 degrees may come out as minus 180
	}
	// Prolong each side by t: the cut between them then touches the circle.
	return append(out,
		Point{v[0] + float64(m[0]*d) - float64(m[1]*t), v[1] + float64(m[1]*d) + float64(m[0]*t)},
		Point{v[0] + float64(n[0]*d) + float64(n[1]*t), v[1] + float64(n[1]*d) - float64(n[0]*t)})
}

// arc appends the arc of radius d from normal m to normal n, as chords of equal
// angle within ArcTolerance.
func arc(out []Point, v, m Point, sin, cos float64, n Point, d float64) []Point {
	turn := math.Atan2(sin, cos)
	if turn < 0 {
		turn += 2 * math.Pi
	}
	out = append(out, along(v, m, d))
	// sagitta of a chord: d (1 - cos(step/2)) <= tolerance
	step := math.Pi / 4
	if tol := math.Max(ArcTolerance, d*1e-6); tol < d {
		step = math.Min(step, 2*math.Acos(1-tol/d))
	}
	k := int(math.Ceil(turn / step))
	for i := 1; i < k; i++ {
		s, c := math.Sincos(turn * float64(i) / float64(k))
		u := Point{float64(m[0]*c) - float64(m[1]*s), float64(m[0]*s) + float64(m[1]*c)}
		out = append(out, along(v, u, d))
	}
	return append(out, along(v, n, d))
}
