package section

import (
	"cmp"
	"slices"
	"sort"
)

// Components returns the connected parts of the region: each an outer ring
// followed by its holes, in the order of the outer rings. The argument is a
// region as this package makes them. Parts that touch in a point are two.
func (p Polygons) Components() []Polygons {
	groups := components(p)
	out := make([]Polygons, len(groups))
	for i, g := range groups {
		for _, k := range g {
			out[i] = append(out[i], p[k])
		}
	}
	return out
}

// components returns the rings of each part by index, the outer ring first.
func components(p Polygons) [][]int {
	var out [][]int
	var areas []float64
	var boxes []Rect
	for i, r := range p {
		if a := r.Area(); a > 0 {
			b, _ := r.Bounds()
			out, areas, boxes = append(out, []int{i}), append(areas, a), append(boxes, b)
		}
	}
	// The home of a hole is the smallest ring around it. Of rings one in another
	// only those no smaller than the hole are asked, the smallest first.
	order := make([]int, len(out))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(areas[a], areas[b]) })
	for i, r := range p {
		a := r.Area()
		if !(a < 0) {
			continue
		}
		b, _ := r.Bounds()
		from := sort.Search(len(order), func(k int) bool { return areas[order[k]] >= -a*(1-1e-9) })
		for _, k := range order[from:] {
			if boxes[k].Holds(b.Min) && boxes[k].Holds(b.Max) && ringInside(r, p[out[k][0]]) {
				out[k] = append(out[k], i)
				break
			}
		}
	}
	return out
}

// ringInside reports whether ring r lies inside ring o; the two do not cross,
// but may touch, so the first point of r that is not on o decides.
func ringInside(r, o Path) bool {
	for i, q := range r {
		n := r[next(i, len(r))]
		for _, c := range []Point{q, {(q[0] + n[0]) / 2, (q[1] + n[1]) / 2}} {
			if !onRing(o, c) {
				return o.winding(c) != 0
			}
		}
	}
	return true
}

// onRing reports whether q lies within rounding of a side of r.
func onRing(r Path, q Point) bool {
	const tol = 2.0 / (1 << finest)
	return slices.ContainsFunc(sides(r), func(s [2]Point) bool {
		c := nearestOn(s[0], s[1], q)
		return abs(c[0]-q[0]) <= tol && abs(c[1]-q[1]) <= tol
	})
}

func sides(r Path) [][2]Point {
	out := make([][2]Point, len(r))
	for i, a := range r {
		out[i] = [2]Point{a, r[next(i, len(r))]}
	}
	return out
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}
