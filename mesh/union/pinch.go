package union

import (
	"cmp"
	"slices"
)

// Where a tool lies flush with the part, or nearly so, a piece of a cut triangle
// may be a strip without width: the outline runs there and back, and a triangle
// across a bend of it would lie on what it has no part in. Points in one place
// stand in the way of ears besides. So outlines are parted first between points
// that rounding has put into one place: what is left are strips from bend to
// bend, whose triangles collapse when they are repaired.

// crowded is the greatest number of points for which a point is looked for by
// every side.
const crowded = 512

// near tells whether two vertices of a ring lie within slack of each other.
func (p *polygon) near(ring []int32, slack float64) bool {
	meet := func(i, j int32) bool { return adjoins(p.at[i], p.at[j], slack) && p.id[i] != p.id[j] }
	if len(ring) <= 24 {
		for n, i := range ring {
			for _, j := range ring[:n] {
				if meet(i, j) {
					return true
				}
			}
		}
		return false
	}
	// Swept askew: along an axis, all points of a side along the other would come
	// at once.
	const askew = 0.618
	type place struct {
		x float64
		i int32
	}
	order := make([]place, len(ring))
	for n, i := range ring {
		order[n] = place{p.at[i][0] + float64(askew*p.at[i][1]), i}
	}
	slices.SortFunc(order, func(a, b place) int { return cmp.Compare(a.x, b.x) })
	for n, a := range order {
		for _, b := range order[n+1:] {
			if b.x-a.x > 2*slack { // more than 1.618, and than what is rounded
				break
			}
			if meet(a.i, b.i) {
				return true
			}
		}
	}
	return false
}

// pinched parts a ring between points nearer to each other than slack, and
// between a point and a side of it that runs by so near, where a triangle
// without area fills the place. No piece may run the wrong way round, or be
// nothing but such a place.
func (p *polygon) pinched(ring []int32, slack float64) (rings [][]int32, flat [][3]int32) {
	p.joins = make(map[[2]int32]bool, 2*len(ring))
	for i, r := range ring {
		p.joins[p.pair(r, ring[(i+1)%len(ring)])] = true
	}
	todo := [][]int32{ring}
	for len(todo) > 0 {
		r := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if x, y, t := p.pinch(r, slack); x != nil {
			for _, r := range [2][]int32{x, y} {
				if len(r) > 1 {
					p.joins[p.pair(r[0], r[len(r)-1])] = true
				}
				if len(r) > 2 {
					todo = append(todo, r)
				}
			}
			if t != nil {
				flat = append(flat, *t)
			}
			continue
		}
		rings = append(rings, r)
	}
	return rings, flat
}

// pinch parts a ring once.
func (p *polygon) pinch(ring []int32, slack float64) (x, y []int32, flat *[3]int32) {
	n := int32(len(ring))
	if n < 4 {
		return nil, nil, nil
	}
	at := func(i int32) [2]float64 { return p.at[ring[i]] }
	for i := range n {
		// A point in one place with the next goes, with whichever neighbour
		// the new side does not run along a border.
		if j := (i + 1) % n; adjoins(at(i), at(j), 0) {
			h, k := (i+n-1)%n, (j+1)%n
			if p.fresh(ring[i], ring[k]) {
				return walk(ring, k, i), nil, &[3]int32{ring[i], ring[j], ring[k]}
			}
			if p.fresh(ring[h], ring[j]) {
				return walk(ring, j, h), nil, &[3]int32{ring[h], ring[i], ring[j]}
			}
		}
	}
	if x, y = p.pinchPoints(ring, slack); x != nil {
		return x, y, nil
	}
	return p.pinchSide(ring, slack)
}

// pinchPoints parts a ring between two points.
func (p *polygon) pinchPoints(ring []int32, slack float64) (x, y []int32) {
	n := int32(len(ring))
	best := tangled
	for i := range n {
		for j := i + 2; j < n && j-i <= n-2; j++ {
			if !adjoins(p.at[ring[i]], p.at[ring[j]], slack) || !p.fresh(ring[i], ring[j]) {
				continue
			}
			m := p.visit(ring, i).parting(p.visit(ring, j), slack)
			if m >= best {
				continue
			}
			if r, s := walk(ring, i, j), walk(ring, j, i); p.upright(r, slack) && p.upright(s, slack) {
				x, y, best = r, s, m
				if m == clean {
					return x, y
				}
			}
		}
	}
	return x, y
}

// pinchSide parts a ring between a side and a point by it.
func (p *polygon) pinchSide(ring []int32, slack float64) (x, y []int32, flat *[3]int32) {
	n := int32(len(ring))
	if n > crowded {
		return nil, nil, nil
	}
	best := tangled
	good := func(r []int32) bool {
		return len(r) == 2 || p.fresh(r[0], r[len(r)-1]) && p.upright(r, slack)
	}
	for i := range n {
		j := (i + 1) % n
		for k := range n {
			if k == i || k == j || !between(p.at[ring[i]], p.at[ring[j]], p.at[ring[k]], slack) {
				continue
			}
			m := p.passing(ring, i, ring[k]).parting(p.visit(ring, k), slack)
			if m >= best {
				continue
			}
			if r, s := walk(ring, j, k), walk(ring, k, i); good(r) && good(s) {
				x, y, flat, best = r, s, &[3]int32{ring[i], ring[j], ring[k]}, m
				if m == clean {
					return x, y, flat
				}
			}
		}
	}
	return x, y, flat
}

// walk is the way round a ring from place i to place j.
func walk(ring []int32, i, j int32) []int32 {
	if i <= j {
		return slices.Clone(ring[i : j+1])
	}
	return append(slices.Clone(ring[i:]), ring[:j+1]...)
}

// beside tells whether two points are one vertex, or lie on one side of the
// triangle that the polygon is cut from: what lies beyond that side may join
// them too.
func (p *polygon) beside(i, j int32) bool {
	a, b := p.id[i], p.id[j]
	return a == b || p.rim[a]&p.rim[b] != 0
}

func (p *polygon) pair(i, j int32) [2]int32 {
	a, b := p.id[i], p.id[j]
	return [2]int32{min(a, b), max(a, b)}
}

// fresh tells whether two points may be joined: they are not yet, here or by
// what lies beyond a side.
func (p *polygon) fresh(i, j int32) bool { return !p.beside(i, j) && !p.joins[p.pair(i, j)] }

// between tells whether x lies by the side from p to q, not at its ends.
func between(p, q, x [2]float64, slack float64) bool {
	dx, dy := q[0]-p[0], q[1]-p[1]
	u := float64(dx*(x[0]-p[0])) + float64(dy*(x[1]-p[1]))
	l := float64(dx*dx) + float64(dy*dy)
	return u > 0 && u < l && !adjoins(p, x, slack) && !adjoins(q, x, slack) && offLine(p, q, x) <= slack
}

// upright tells whether a ring does not run clockwise by more than slack all
// along, and does not fit into one place.
func (p *polygon) upright(ring []int32, slack float64) bool {
	o := p.at[ring[0]]
	lo, hi := o, o
	area, way := 0.0, 0.0
	for i, r := range ring {
		a, b := p.at[r], p.at[ring[(i+1)%len(ring)]]
		area += float64((a[0]-o[0])*(b[1]-o[1])) - float64((a[1]-o[1])*(b[0]-o[0]))
		way += abs(b[0]-a[0]) + abs(b[1]-a[1])
		for k := range 2 {
			lo[k], hi[k] = min(lo[k], a[k]), max(hi[k], a[k])
		}
	}
	return area >= -float64(slack*way) && max(hi[0]-lo[0], hi[1]-lo[1]) > slack
}
