package span

import (
	"context"
	"math"

	"falsework/mesh"
	"falsework/mesh/par"
	"falsework/mesh/section"
)

// What carries itself matters only where it rests, step by step, on something
// that hangs. On a ribbed part the flanks of some arch lean in nearly every layer,
// most of them far from any ceiling: the facets tell where, so that such layers
// need not even be cut.

// growNear finds the pieces that carry themselves in the layers up to window
// above something that hangs, where they may rest on it.
func growNear(ctx context.Context, c *cuts, slabs []slab, lean []bool, window int, under *undersides, box mesh.Box) error {
	s := newStain(box, window)
	var near []int
	last := -1 << 30
	for k := range slabs {
		foot := slabs[k].foot
		if foot != nil || k-last <= window && lean[k] {
			if s.rise(under, k) || foot != nil {
				near = append(near, k)
			}
		}
		if foot != nil {
			last = k
			s.hang(foot, k)
		}
	}
	return forEach(ctx, len(near), nil, func(i int) error { return growAt(c, near[i], &slabs[near[i]]) })
}

// nearHang returns the layers whose facets growNear asks for.
func nearHang(slabs []slab, lean []bool, window int) []bool {
	want := make([]bool, len(slabs))
	last := -1 << 30
	for k := range slabs {
		if slabs[k].foot != nil {
			last = k
		}
		want[k] = last == k || k-last <= window && lean[k]
	}
	return want
}

// A stain spreads upwards over a grid in plan: from what hangs to what leans in
// the layers above it and touches it.
type stain struct {
	origin Point
	square float64
	n      [2]int32
	window int32
	layer  []int32 // by square: the last layer that was stained there
	fresh  [halves][]leaning
}

// A leaning is the squares that a facet takes in a layer, and its area in plan there.
type leaning struct {
	squares [2][2]int32
	area    float64
}

// reachesOver is how many squares lie at most between what may join: a square is
// as large as the tiles in which such pieces are looked at (see tile.go), and a
// piece may join with the tiles about its own.
const reachesOver = 3

func newStain(box mesh.Box, window int) *stain {
	const most = 1 << 11 // squares along a side; on larger parts they are larger
	s := &stain{origin: Point{box.Min[0], box.Min[1]}, window: int32(window)}
	wide := [2]float64{box.Max[0] - box.Min[0], box.Max[1] - box.Min[1]}
	s.square = max(tileSize, wide[0]/most, wide[1]/most)
	for i := range s.n {
		s.n[i] = int32(wide[i]/s.square) + 1
	}
	s.layer = make([]int32, int(s.n[0])*int(s.n[1]))
	for i := range s.layer {
		s.layer[i] = -1 << 30
	}
	return s
}

// squares returns the first and the last square of a rectangle, by column and row.
func (s *stain) squares(lo, hi Point) (q [2][2]int32) {
	for i := range lo {
		at := func(x float64) int32 { return min(max(int32((x-s.origin[i])/s.square), 0), s.n[i]-1) }
		q[0][i], q[1][i] = at(lo[i]), at(hi[i])
	}
	return q
}

// put stains rectangle q with layer k.
func (s *stain) put(q [2][2]int32, k int) {
	for y := q[0][1]; y <= q[1][1]; y++ {
		row := s.layer[y*s.n[0]:][:s.n[0]]
		for x := q[0][0]; x <= q[1][0]; x++ {
			row[x] = int32(k)
		}
	}
}

// touches reports whether something about rectangle q is stained within the window
// below layer k.
func (s *stain) touches(q [2][2]int32, k int) bool {
	x0, x1 := max(q[0][0]-reachesOver, 0), min(q[1][0]+reachesOver, s.n[0]-1)
	for y := max(q[0][1]-reachesOver, 0); y <= min(q[1][1]+reachesOver, s.n[1]-1); y++ {
		for _, l := range s.layer[y*s.n[0]:][x0 : x1+1] {
			if l >= int32(k)-s.window {
				return true
			}
		}
	}
	return false
}

// upright is the sine of the lean from which on a facet counts as leaning, a
// tenth of a degree: in the rise that still joins, less moves by a few microns, as
// rounding moves what was drawn upright.
const upright = 0.0017

// leastGrowth is how much, in plan, must lean about what is stained for a layer to
// be looked at, square millimetres: less is the slivers along cut faces.
const leastGrowth = 1e-3

// rise stains what leans in layer k and touches what is stained below, and reports
// whether there is any.
//
// A finely divided part has thousands of facets to a layer: two look through them, and
// what they find is put together in order.
func (s *stain) rise(under *undersides, k int) bool {
	const few = 256 // facets, not worth a second
	list := under.byLayer[k]
	if len(list) < few {
		s.fresh[0], s.fresh[1] = s.look(s.fresh[0][:0], under, k, list), s.fresh[1][:0]
	} else {
		par.Each(halves, func(i int) {
			from, to := half(len(list), i)
			s.fresh[i] = s.look(s.fresh[i][:0], under, k, list[from:to])
		})
	}
	var area float64
	for _, fresh := range s.fresh {
		for _, f := range fresh {
			area += f.area
		}
	}
	if area <= leastGrowth {
		return false
	}
	for _, fresh := range s.fresh {
		for _, f := range fresh {
			s.put(f.squares, k)
		}
	}
	return true
}

// look appends what of some facets leans in layer k and touches what is stained.
func (s *stain) look(out []leaning, under *undersides, k int, list []int32) []leaning {
	lo, hi := under.st.mid(k-1)-speck, under.st.mid(k)+speck
	const small = 9 // squares
	for _, t := range list {
		p := corners(under.m, t)
		if unitNormal(p)[2] > -upright {
			continue
		}
		// A small facet far from what is stained needs no cutting: most are.
		a, b := inPlan(&p)
		q := s.squares(a, b)
		if (q[1][0]-q[0][0]+1)*(q[1][1]-q[0][1]+1) <= small && !s.touches(q, k) {
			continue
		}
		a, b, grows := slabPlan(p, lo, hi)
		if !(a[0] <= b[0]) {
			continue // rounding leaves nothing of it
		}
		if q = s.squares(a, b); s.touches(q, k) {
			out = append(out, leaning{q, grows})
		}
	}
	return out
}

// hang stains what hangs in layer k.
func (s *stain) hang(foot section.Polygons, k int) {
	for _, r := range foot {
		lo, hi := bounds(section.Polygons{r})
		s.put(s.squares(lo, hi), k)
	}
}

// inPlan returns the bounds of a triangle in plan.
func inPlan(p *[3][3]float64) (lo, hi Point) {
	return Point{min(p[0][0], p[1][0], p[2][0]), min(p[0][1], p[1][1], p[2][1])}, Point{max(p[0][0], p[1][0], p[2][0]), max(p[0][1], p[1][1], p[2][1])}
}

// slabPlan returns the bounds and the area, in plan, of what of a triangle lies
// between two heights.
func slabPlan(p [3][3]float64, z0, z1 float64) (lo, hi Point, area float64) {
	lo, hi = Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	var ring [9]Point // its corners, in order
	n := 0
	add := func(x, y float64) {
		lo[0], lo[1] = min(lo[0], x), min(lo[1], y)
		hi[0], hi[1] = max(hi[0], x), max(hi[1], y)
		ring[n] = Point{x, y}
		n++
	}
	for c, a := range p {
		b := p[(c+1)%3]
		if a[2] >= z0 && a[2] <= z1 {
			add(a[0], a[1])
		}
		first, second := z0, z1
		if a[2] > b[2] {
			first, second = z1, z0
		}
		for _, z := range [2]float64{first, second} {
			if (a[2] < z) != (b[2] < z) {
				t := (z - a[2]) / (b[2] - a[2])
				add(a[0]+float64(t*(b[0]-a[0])), a[1]+float64(t*(b[1]-a[1])))
			}
		}
	}
	for i := 2; i < n; i++ {
		a, b, c := ring[0], ring[i-1], ring[i]
		area += float64((b[0]-a[0])*(c[1]-a[1])) - float64((b[1]-a[1])*(c[0]-a[0]))
	}
	return lo, hi, math.Abs(area) / 2
}
