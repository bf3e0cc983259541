package union

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"falsework/mesh/exact"
)

// Polygons that touch themselves, the outline first: each is the same place
// reached by several points. Drawn with y upwards; (0, 0) is where they touch.
var touching = map[string][][][2]float64{
	// The corner of a hole in the bend of the outline; the far points see it first.
	"a hole in a bend": {
		{{1, -8}, {4, 0}, {0, 0}, {0, 4}, {-8, 1}},
		{{-2, 0}, {0, 0}, {0, -2}, {-1, -1}},
	},
	// As before, but every line of sight to the corner runs along a side or
	// through the hole.
	"a hole that hides its corner": {
		{{2, 0}, {0, 0}, {0, 1}, {-14, -2}, {-2, -6}},
		{{0, 0}, {0, -1}, {0, -2}, {-1, -1}, {-3, 0}, {-1, 0}},
	},
	"a hole in two bends": {
		{{-9, -9}, {9, -9}, {9, -1}, {4, 0}, {9, 1}, {9, 9}, {-9, 9}, {-9, 1}, {0, 0}, {-9, -1}},
		{{0, 0}, {2, 3}, {4, 0}, {2, -3}},
	},
	"a hole along a side": {
		{{-9, -9}, {9, -9}, {9, 9}, {-9, 9}},
		{{9, -3}, {6, -3}, {6, 3}, {9, 3}},
	},
	"holes in a row of corners": {
		{{-9, -9}, {9, -9}, {9, 9}, {-9, 9}},
		{{0, 0}, {0, 3}, {3, 3}, {3, 0}},
		{{0, 0}, {0, -3}, {-3, -3}, {-3, 0}},
		{{3, 3}, {3, 6}, {6, 6}, {6, 3}},
	},
	"holes that share a side": {
		{{-9, -9}, {9, -9}, {9, 9}, {-9, 9}},
		{{0, 0}, {0, 3}, {3, 3}, {3, 0}},
		{{3, 0}, {3, 3}, {6, 3}, {6, 0}},
		{{3, 3}, {0, 3}, {0, 6}, {3, 6}},
	},
	"a hole between two sides": {
		{{-9, -9}, {9, -9}, {9, 0}, {4, 0}, {4, 4}, {9, 4}, {9, 9}, {-9, 9}, {-9, 4}, {0, 4}, {0, 0}, {-9, 0}},
		{{0, 0}, {0, 4}, {4, 4}, {4, 0}},
	},
	"four corners in one place": {
		{{-9, -9}, {9, -9}, {9, 9}, {-9, 9}},
		{{0, 0}, {2, 4}, {4, 2}},
		{{0, 0}, {4, -2}, {2, -4}},
		{{0, 0}, {-2, -4}, {-4, -2}},
		{{0, 0}, {-4, 2}, {-2, 4}},
	},
	"a neck": {
		{{-9, -9}, {0, 0}, {9, -9}, {9, 9}, {0, 0}, {-9, 9}},
	},
}

// What touches itself is cut into triangles that lie beside each other: none
// turned over, none on another. It does not matter how the polygon lies, nor
// where its rings begin.
func TestPolygonsThatTouchThemselves(t *testing.T) {
	for name, rings := range touching {
		for turn := range 8 {
			for start := range 12 {
				p, area := laidOut(rings, turn, start)
				sum, joined := 0.0, map[[2]int32]int{}
				for _, k := range p.triangulate() {
					a, b, c := p.at[k[0]], p.at[k[1]], p.at[k[2]]
					if exact.Orient2D(a, b, c) < 0 {
						t.Errorf("%s, turned %d, from %d: triangle %v %v %v is turned over", name, turn, start, a, b, c)
					}
					sum += math.Abs((b[0]-a[0])*(c[1]-a[1])-(b[1]-a[1])*(c[0]-a[0])) / 2
					for e := range 3 {
						joined[[2]int32{k[e], k[(e+1)%3]}]++
						joined[[2]int32{k[(e+1)%3], k[e]}]--
					}
				}
				about(t, fmt.Sprintf("%s, turned %d, from %d: area", name, turn, start), sum, area, 1e-9)
				for _, r := range p.rings {
					for i := range r {
						joined[[2]int32{r[i], r[(i+1)%len(r)]}]--
						joined[[2]int32{r[(i+1)%len(r)], r[i]}]++
					}
				}
				for side, n := range joined {
					if n != 0 {
						t.Errorf("%s, turned %d, from %d: side %v is run along %d times too often", name, turn, start, side, n)
					}
				}
			}
		}
	}
}

// laidOut makes a polygon of rings that are turned by quarters, and mirrored from
// 4 on, and begin elsewhere. It returns its area too.
func laidOut(rings [][][2]float64, turn, start int) (p *polygon, area float64) {
	p = &polygon{}
	for _, pts := range rings {
		pts = slices.Clone(pts)
		var r []int32
		for i, q := range pts {
			if turn >= 4 {
				q[0] = -q[0]
			}
			for range turn % 4 {
				q = [2]float64{-q[1], q[0]}
			}
			pts[i] = q
		}
		if turn >= 4 {
			slices.Reverse(pts)
		}
		for i := range pts {
			q, o := pts[(i+start)%len(pts)], pts[(i+start+1)%len(pts)]
			area += (q[0]*o[1] - q[1]*o[0]) / 2
			r = append(r, int32(len(p.at)))
			p.id = append(p.id, int32(len(p.at)))
			p.at = append(p.at, q)
		}
		p.rings = append(p.rings, r)
	}
	return p, area
}
