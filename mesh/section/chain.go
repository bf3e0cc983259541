package section

import "slices"

// chain joins border edges to rings. The inside is on the left of each edge; at
// a vertex with several ways out the way is taken that keeps the same inside
// beside it, and a way that comes back to one of its own vertices is cut there,
// so that no ring touches itself. Points straight between their neighbours go,
// unless rings touch there: rings then touch in common points only.
func (o *overlay) chain(hs []half) [][]ipt {
	slices.SortFunc(hs, func(h, g half) int {
		if c := compare(h.from, g.from); c != 0 {
			return c
		}
		return compare(h.to, g.to)
	})
	used := zeroes(&o.used, len(hs))
	touch := map[ipt]bool{}
	for i := 1; i < len(hs); i++ {
		if hs[i].from == hs[i-1].from {
			touch[hs[i].from] = true
		}
	}
	var rings [][]ipt
	path := o.path[:0]
	for s := range hs {
		if used[s] {
			continue
		}
		path = path[:0]
		for h := s; h >= 0; {
			used[h] = true
			path = append(path, hs[h].from)
			v := hs[h].to
			lo, hi := waysOut(hs, v)
			if v == path[0] || hi-lo > 1 {
				if at := slices.Index(path, v); at >= 0 {
					rings = keep(rings, path[at:], touch)
					path = path[:at]
				}
			}
			h = turn(hs, used, lo, hi, hs[h].from)
		}
		// What is left here could only come from a border that does not
		// close; it is no ring and is dropped.
	}
	o.path = path
	sortRings(rings)
	return rings
}

// waysOut returns the range of border edges that leave v.
func waysOut(hs []half, v ipt) (lo, hi int) {
	lo, _ = slices.BinarySearchFunc(hs, v, func(h half, v ipt) int {
		if h.from.less(v) {
			return -1
		}
		return 1
	})
	hi = lo
	for hi < len(hs) && hs[hi].from == v {
		hi++
	}
	return lo, hi
}

// turn returns the first unused way out among hs[lo:hi], going clockwise from
// the direction back to where the path came from, or -1.
func turn(hs []half, used []bool, lo, hi int, back ipt) int {
	best := -1
	for h := lo; h < hi; h++ {
		if used[h] {
			continue
		}
		if best < 0 || clockwiseFirst(hs[h].from, back, hs[h].to, hs[best].to) {
			best = h
		}
	}
	return best
}

// clockwiseFirst reports whether, turning clockwise about v from the direction
// of back, p comes before q.
func clockwiseFirst(v, back, p, q ipt) bool {
	// A point is in the first half turn when it lies right of v-back.
	ps, qs := side(v, back, p), side(v, back, q)
	if ps != qs {
		return ps < qs
	}
	return orient(v, p, q) < 0
}

// side is 0 for the open half turn clockwise from v-back, 1 straight on, 2 for
// the open half turn after that, 3 for back itself.
func side(v, back, p ipt) int {
	switch o := orient(v, back, p); {
	case o < 0:
		return 0
	case o > 0:
		return 2
	}
	dot := (int64(back.x)-int64(v.x))*(int64(p.x)-int64(v.x)) + (int64(back.y)-int64(v.y))*(int64(p.y)-int64(v.y))
	if dot > 0 {
		return 3
	}
	return 1
}

// keep appends a copy of ring without the points that lie straight between
// their neighbours, beginning with its lowest point in lexicographic order.
// Points in stay are kept.
func keep(rings [][]ipt, ring []ipt, stay map[ipt]bool) [][]ipt {
	if len(ring) < 3 {
		return rings
	}
	first := 0
	for i := range ring {
		if ring[i].less(ring[first]) {
			first = i
		}
	}
	out := make([]ipt, 0, len(ring))
	// The first point is an extreme one and so a corner, or the ring is flat.
	for i := range ring {
		p := ring[(first+i)%len(ring)]
		if len(out) > 1 && straight(out[len(out)-2], out[len(out)-1], p, stay) {
			out = out[:len(out)-1]
		}
		out = append(out, p)
	}
	if len(out) > 2 && straight(out[len(out)-2], out[len(out)-1], out[0], stay) {
		out = out[:len(out)-1]
	}
	if len(out) < 3 {
		return rings
	}
	return append(rings, out)
}

// straight reports whether b is no corner of the way from a to c. A simple ring
// never turns back on itself, so dropping one point makes no other straight.
func straight(a, b, c ipt, stay map[ipt]bool) bool {
	return orient(a, b, c) == 0 && !(len(stay) > 0 && stay[b])
}

// sortRings orders rings by their points.
func sortRings(rings [][]ipt) {
	slices.SortFunc(rings, func(a, b []ipt) int {
		return slices.CompareFunc(a, b, compare)
	})
}
