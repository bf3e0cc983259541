package web

import (
	"falsework/mesh/section"
)

// rect is a rectangle of run and height, counter-clockwise.
func rect(u0, z0, u1, z1 float64) section.Path {
	return section.Path{{u0, z0}, {u1, z0}, {u1, z1}, {u0, z1}}
}

// flat puts the same section on all three planes.
func flat(p section.Polygons, under ...Interval) Site {
	return Site{Sections: [3]section.Polygons{p, p, p}, Under: under, Settings: DefaultSettings()}
}

// roof is a roof of run depth, height above the floor, held by a wall on the
// left, open on the right, drawn with 3 mm walls:
//
//	+-----------------------+
//	| +---------------------+   z = height
//	| |
//	| +---------------------+   z = 0, floor 3 thick
//	+-----------------------+
func roof(depth, height float64) Site {
	p := section.Polygons{{{-3, -3}, {depth, -3}, {depth, 0}, {0, 0}, {0, height}, {depth, height}, {depth, height + 3}, {-3, height + 3}}}
	s := flat(p, Interval{From: 0, To: depth, Z: [2]float64{height, height}, Hold: [2]bool{true, false}})
	s.Settings.Bed = -3
	return s
}

// hall is the same between two walls.
func hall(depth, height float64) Site {
	p := section.Polygons{rect(-3, -3, depth+3, height+3), {{0, 0}, {0, height}, {depth, height}, {depth, 0}}}
	s := flat(p, Interval{From: 0, To: depth, Z: [2]float64{height, height}, Hold: [2]bool{true, true}})
	s.Settings.Bed = -3
	return s
}
