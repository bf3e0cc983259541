package main

import (
	"math"

	"falsework/mesh"
)

// The housing, in millimetres, standing as it is printed: x to the right, y
// away from the reader, z up. Every height is a whole number of 0.2 layers.
const (
	width     = 220.0 // outside, left to right
	depth     = 140.0 // foremost drip edge to the open back
	thick     = 3.0   // of all walls, floor and roofs
	drip      = 6.0   // how far the drip edges stand out, and rise at 45 degrees
	bow       = 18.0  // rise of the front over its chord
	stepFrom  = 62.0  // y of the step in the roof, front
	stepTo    = 65.0  // and back
	mastX     = 110.0 // centre of the mast hole
	mastY     = 102.5
	mastR     = 20.0
	glandZ    = 26.0 // cable glands in the right wall
	glandR    = 8.0
	glandY1   = 43.0
	glandY2   = 84.0
	slotFrom  = 70.0 // vent slots in the left wall
	slotWidth = 4.0
	slotPitch = 8.0
	slotLow   = 150.0
	slotHigh  = 180.0
	slots     = 8
	around    = 32 // corners of a round hole
)

// Heights at which bricks end. The names are those of the course that begins
// there.
var courses = []float64{
	0,   // floor, and the doorway of the battery drawer
	3,   // doorway
	48,  // lintel of the doorway
	52,  // lower drip edge, rising
	58,  // lower drip edge, its rim
	60,  // wall
	85,  // reading window
	190, // lintel of the window
	194, // upper drip edge, rising
	200, // upper drip edge, its rim
	202, // wall
	217, // lower roof
	220, // step
	247, // upper roof
	250, // top
}

const (
	floor       = 0
	doorTop     = 2
	lowerDrip   = 3
	window      = 6
	windowTop   = 7
	upperDrip   = 8
	lowerRoof   = 11
	step        = 12
	upperRoof   = 13
	lowerDripTo = 5
	upperDripTo = 10
)

// joints are the corners of the bowed front, as distances along its outer
// face from the middle: 60 is a jamb of the doorway, 75 one of the window.
var joints = []float64{
	-98, -90, -82.5, -75, -67.5, -60, -51, -42.5, -34, -25.5, -17, -8.5,
	0, 8.5, 17, 25.5, 34, 42.5, 51, 60, 67.5, 75, 82.5, 90, 98,
}

// The front is a slice of a ring; its outer face passes through both front
// corners and, in the middle, lies drip behind the foremost edge.
var radius = (width*width/4 + bow*bow) / (2 * bow)

// ring returns the point of the front at an angle from the middle, out
// millimetres outside the outer face (inside when negative), at height z.
func ring(angle, out, z float64) point {
	r := radius + out
	return at(width/2+float64(r*math.Sin(angle)), drip+radius-float64(r*math.Cos(angle)), z)
}

func at(x, y, z float64) point {
	return point{int32(math.Round(x * 1000)), int32(math.Round(y * 1000)), int32(math.Round(z * 1000))}
}

// housing lays the bricks, course by course.
func housing() *mesh.Mesh {
	w := &wall{}
	for c := 0; c+1 < len(courses); c++ {
		low, high := courses[c], courses[c+1]
		if c < step {
			w.front(c, low, high)
			w.side(low, high, corner(0)[1], stepFrom, c == floor+1, false)
		}
		w.side(low, high, stepFrom, stepTo, false, false)
		w.side(low, high, stepTo, depth, c == floor+1, c == window)
		switch c {
		case floor:
			w.slab(low, high, bay())
			w.slab(low, high, across(stepFrom, stepTo))
			w.slab(low, high, across(stepTo, depth))
		case lowerRoof:
			w.slab(low, high, bay())
			w.slab(low, high, across(stepFrom, stepTo))
		case step:
			w.slab(low, high, across(stepFrom, stepTo))
		case upperRoof:
			w.slab(low, high, across(stepFrom, stepTo))
			for _, p := range pierced(thick, stepTo, width-thick, depth, mastX, mastY, mastR) {
				w.slab(low, high, p)
			}
		}
	}
	return w.surface()
}

// corner returns the inner corner between the front and a side wall: where
// the inner face of the ring meets the inner face of the wall; end is 0 for
// the left and 1 for the right.
func corner(end int) [2]float64 {
	a := cornerAngle()
	r := radius - thick
	x := thick
	if end == 1 {
		x = width - thick
	}
	return [2]float64{x, drip + radius - float64(r*math.Cos(a))}
}

func cornerAngle() float64 { return math.Asin((width/2 - thick) / (radius - thick)) }

// angles returns where the bricks of the front begin and end.
func angles() []float64 {
	a := []float64{-cornerAngle()}
	for _, s := range joints {
		a = append(a, s/radius)
	}
	return append(a, cornerAngle())
}

// front lays one course of the bowed front, its two corners and its share of
// the drip edges.
func (w *wall) front(c int, low, high float64) {
	a := angles()
	for i := 0; i+1 < len(a); i++ {
		from, to := a[i], a[i+1]
		mid := (from + to) / 2 * radius
		door := c < doorTop && math.Abs(mid) < 60
		view := c >= window && c < windowTop && math.Abs(mid) < 75
		if !door && !view {
			w.lay(sector(from, to, -thick, 0, low), sector(from, to, -thick, 0, high))
		}
		if c >= lowerDrip && c < lowerDripTo && math.Abs(mid) < 67.5 {
			w.drip(from, to, low, high, c == lowerDrip)
		}
		if c >= upperDrip && c < upperDripTo && math.Abs(mid) < 82.5 {
			w.drip(from, to, low, high, c == upperDrip)
		}
	}
	// The corners, where the ring ends and the side walls begin.
	last := a[len(a)-1]
	in := corner(0)[1]
	foot := drip + bow
	left := func(z float64) []point {
		return []point{at(0, foot, z), ring(-last, 0, z), ring(-last, -thick, z), at(0, in, z)}
	}
	right := func(z float64) []point {
		return []point{at(width, foot, z), at(width, in, z), ring(last, -thick, z), ring(last, 0, z)}
	}
	w.lay(left(low), left(high))
	w.lay(right(low), right(high))
}

// sector is a piece of the ring seen from above, counter-clockwise.
func sector(from, to, inner, outer, z float64) []point {
	return []point{ring(from, outer, z), ring(to, outer, z), ring(to, inner, z), ring(from, inner, z)}
}

// drip lays a piece of a drip edge: a wedge whose underside rises at 45
// degrees, and on it a rim.
func (w *wall) drip(from, to, low, high float64, rising bool) {
	if !rising {
		w.lay(sector(from, to, 0, drip, low), sector(from, to, 0, drip, high))
		return
	}
	end := func(a float64) []point { return []point{ring(a, 0, low), ring(a, 0, high), ring(a, drip, high)} }
	w.lay(end(from), end(to))
}

// side lays a stretch of both side walls, with a gland in the right one or
// the vents in the left one.
func (w *wall) side(low, high, from, to float64, gland, vents bool) {
	plain := [][][2]float64{{{from, low}, {to, low}, {to, high}, {from, high}}}
	left, right := plain, plain
	if gland {
		y := glandY1
		if from >= stepTo {
			y = glandY2
		}
		right = pierced(from, low, to, high, y, glandZ, glandR)
	}
	if vents {
		left = slotted(from, low, to, high)
	}
	for _, p := range left {
		w.lay(upright(0, p), upright(thick, p))
	}
	for _, p := range right {
		w.lay(upright(width-thick, p), upright(width, p))
	}
}

// upright places a polygon of (y, z) in the plane x; counter-clockwise seen
// from the right.
func upright(x float64, p [][2]float64) []point {
	out := make([]point, len(p))
	for i, q := range p {
		out[i] = at(x, q[0], q[1])
	}
	return out
}

// slab lays a plate with the given outline between two heights.
func (w *wall) slab(low, high float64, p [][2]float64) {
	level := func(z float64) []point {
		out := make([]point, len(p))
		for i, q := range p {
			out[i] = at(q[0], q[1], z)
		}
		return out
	}
	w.lay(level(low), level(high))
}

// bay is the inside of the housing in front of the step, in plan.
func bay() [][2]float64 {
	p := [][2]float64{{width - thick, stepFrom}, {thick, stepFrom}}
	for _, a := range angles() {
		q := ring(a, -thick, 0)
		p = append(p, [2]float64{float64(q[0]) / 1000, float64(q[1]) / 1000})
	}
	return p
}

// across is a strip between the side walls, in plan.
func across(from, to float64) [][2]float64 {
	return [][2]float64{{thick, from}, {width - thick, from}, {width - thick, to}, {thick, to}}
}

// pierced cuts a rectangle with a round hole into triangles without adding a
// corner to its border: a fan from each corner to its quarter of the circle,
// and a triangle on each side.
func pierced(x0, y0, x1, y1, cx, cy, r float64) [][][2]float64 {
	corners := [4][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
	rim := func(i int) [2]float64 {
		a := math.Pi + 2*math.Pi*float64(i%around)/around
		return [2]float64{cx + float64(r*math.Cos(a)), cy + float64(r*math.Sin(a))}
	}
	var out [][][2]float64
	quarter := around / 4
	for k, c := range corners {
		for i := k * quarter; i < (k+1)*quarter; i++ {
			out = append(out, [][2]float64{c, rim(i + 1), rim(i)})
		}
		out = append(out, [][2]float64{c, corners[(k+1)%4], rim((k + 1) * quarter)})
	}
	return out
}

// slotted cuts a rectangle with a row of upright slots into convex pieces
// without adding a corner to its border.
func slotted(y0, z0, y1, z1 float64) [][][2]float64 {
	var edge []float64 // the upright sides of the slots
	for i := range slots {
		y := slotFrom + slotPitch*float64(i)
		edge = append(edge, y, y+slotWidth)
	}
	first, last := edge[0], edge[len(edge)-1]
	out := [][][2]float64{
		{{y0, z0}, {first, slotLow}, {first, slotHigh}, {y0, z1}},
		{{y1, z1}, {last, slotHigh}, {last, slotLow}, {y1, z0}},
		{{y0, z0}, {y1, z0}, {last, slotLow}},
		{{y1, z1}, {y0, z1}, {first, slotHigh}},
	}
	for i := 0; i+1 < len(edge); i++ {
		a, b := edge[i], edge[i+1]
		out = append(out,
			[][2]float64{{y0, z0}, {b, slotLow}, {a, slotLow}},
			[][2]float64{{y1, z1}, {a, slotHigh}, {b, slotHigh}})
		if i%2 == 1 {
			out = append(out, [][2]float64{{a, slotLow}, {b, slotLow}, {b, slotHigh}, {a, slotHigh}})
		}
	}
	return out
}
