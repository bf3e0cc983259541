package span

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sort"

	"falsework/mesh/section"
)

// components splits a region into its connected parts, each an outer ring and
// its holes.
func components(p section.Polygons) []section.Polygons {
	var out []section.Polygons
	var homes []home
	for _, r := range p {
		if a := r.Area(); a > 0 {
			b, _ := r.Bounds()
			homes = append(homes, home{at: len(out), area: a, box: b})
			out = append(out, section.Polygons{r})
		}
	}
	if len(out) == 1 {
		return []section.Polygons{p}
	}
	// The home of a hole is the smallest ring around it. Of rings one in another
	// only those no smaller than the hole are asked, the smallest first.
	slices.SortStableFunc(homes, func(a, b home) int { return cmp.Compare(a.area, b.area) })
	for _, r := range p {
		a := r.Area()
		if a > 0 || len(r) == 0 {
			continue
		}
		b, _ := r.Bounds()
		from := sort.Search(len(homes), func(i int) bool { return homes[i].area >= -a*(1-1e-9) })
		for i := from; i < len(homes); i++ {
			if h := &homes[i]; h.box.Holds(b.Min) && h.box.Holds(b.Max) && h.holds(out[h.at][0], r) {
				out[h.at] = append(out[h.at], r)
				break
			}
		}
	}
	return out
}

// A home is an outer ring that holes may lie in.
type home struct {
	at   int
	area float64
	box  section.Rect
	find *locator // made when asked for
}

func (h *home) holds(outer, r section.Path) bool {
	if h.find == nil {
		h.find = newLocator(section.Polygons{outer})
	}
	return holds(h.find, r)
}

// holds reports whether ring r lies inside the indexed ring, by most of its
// corners (they may touch).
func holds(l *locator, r section.Path) bool {
	in := 0
	for i, q := range r {
		n := r[(i+1)%len(r)]
		if l.has(Point{(q[0] + n[0]) / 2, (q[1] + n[1]) / 2}) {
			in++
		}
	}
	return 2*in > len(r)
}

// A ground knows which material does not reach the bed when it is laid.
type ground struct {
	c     *cuts
	lean  float64                  // how far a layer may stand out, per millimetre of rise
	loose map[int]section.Polygons // by layer: material not yet carried
	find  map[int]*locator
	rise  int    // layers after which what was laid is as good as what was there
	young []bool // by layer: something hung in the rise below it
	// What begins in mid-air here is taken to be carried.
	given []Ceiling
	cones [2]struct {
		k      int // the layer they were last made for
		region section.Polygons
	}
}

// findGround follows what begins in mid-air until it joins what is carried.
func findGround(ctx context.Context, c *cuts, birth []bool, slabs []slab, given []Ceiling, slope float64, rise int) (*ground, error) {
	g := &ground{c: c, given: given, lean: math.Tan((slope + tolerance) * math.Pi / 180), loose: map[int]section.Polygons{}, find: map[int]*locator{}, rise: rise, young: make([]bool, c.st.n)}
	last := -1 << 30
	for k := range slabs {
		g.young[k] = k-last <= rise
		if slabs[k].foot != nil {
			last = k
		}
	}
	for k := 1; k < c.st.n; k++ {
		if !birth[k] && len(g.loose[k-1]) == 0 && len(g.loose[k-2]) == 0 {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		now, err := c.at(k)
		if err != nil {
			return nil, err
		}
		if _, err := c.at(k - 1); err != nil {
			return nil, err
		}
		var loose section.Polygons
		for _, p := range components(now) {
			ok, err := g.carries(k, p)
			if err != nil {
				return nil, err
			}
			if !ok && !g.isGiven(k, p) {
				loose = append(loose, p...)
			}
		}
		if len(loose) > 0 {
			g.loose[k] = loose
			g.find[k] = newLocator(loose)
		}
	}
	return g, nil
}

// isGiven reports whether p of layer k lies on an island that is taken to be
// carried.
func (g *ground) isGiven(k int, p section.Polygons) bool {
	z, step := g.c.st.mid(k), g.c.st.height
	for i := range g.given {
		c := &g.given[i]
		if c.Z[0] < z+step && c.Z[1] > z-step && !empty(section.Intersect(p, c.Footprint)) {
			return true
		}
	}
	return false
}

// carries reports whether p of layer k rests on carried material of the layer
// below, or of the one below that (a gap of one layer is contact).
func (g *ground) carries(k int, p section.Polygons) (bool, error) {
	lo, hi := bounds(p)
	cell := max(hi[0]-lo[0], hi[1]-lo[1]) / 6
	if cell <= 0 {
		return false, nil
	}
	for _, r := range scan(p, lo, cell) {
		q := Point{lo[0] + float64((float64(r.from)+0.5)*cell), lo[1] + float64((float64(r.row)+0.5)*cell)}
		if g.at(k-1, q) {
			return true, nil
		}
	}
	// A thin wall slips through the samples: some places just inside its border.
	for _, r := range p {
		for i := 0; i < len(r); i += 1 + len(r)/8 {
			b, n := r[(i+1)%len(r)], outward(r, i)
			q := Point{(r[i][0]+b[0])/2 - float64(hair*n[0]), (r[i][1]+b[1])/2 - float64(hair*n[1])}
			if g.at(k-1, q) && p.Contains(q) {
				return true, nil
			}
		}
	}
	for j := k - 1; j >= max(k-2, 0); j-- {
		cone, err := g.cone(k, j)
		if err != nil {
			return false, err
		}
		if !empty(section.Intersect(p, cone)) {
			return true, nil
		}
	}
	return false, nil
}

// cone returns what carried material of layer j carries in layer k: what leans
// no more than the slope limit may stand wholly beside what carries it. It is
// grown once for all pieces of the layer.
func (g *ground) cone(k, j int) (section.Polygons, error) {
	if c := &g.cones[k-j-1]; c.k != k {
		below, err := g.c.at(j)
		if err != nil {
			return nil, err
		}
		if len(g.loose[j]) > 0 {
			below = section.Subtract(below, g.loose[j])
		}
		d := (g.c.st.mid(k) - g.c.st.mid(j)) * g.lean
		c.k, c.region = k, section.Offset(below, d, section.Miter)
	}
	return g.cones[k-j-1].region, nil
}

// at reports whether there is material of layer k at p that is carried.
func (g *ground) at(k int, p Point) bool {
	if !g.c.has(k, p) {
		return false
	}
	l := g.find[k]
	return l == nil || !l.has(p)
}

// firm reports whether material of layer k about q stands on what was there
// long before: within the slope cone of the layer that many below. The rounded
// sides of an arm that rises flatter than the limit carry themselves, but they
// stand on the arm, and hold nothing of it.
func (g *ground) firm(k int, q Point) bool {
	m := max(k-g.rise, 0)
	if !g.young[k] || g.c.has(m, q) {
		return true
	}
	// A cone that grew round a bend lags a little behind the straight one.
	const bend = 1.1
	return g.c.near(m, q, (g.c.st.mid(k)-g.c.st.mid(m))*g.lean*bend+2*hair)
}
