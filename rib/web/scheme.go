package web

import (
	"fmt"
	"math"
)

// The measures of a scheme. Room permitting, no leg is less deep than
// legDepth and no flank shorter than leastFlank; a leg keeps clear of walls it
// does not stand on.
const (
	legDepth   = 6.0
	leastFlank = 3.0
	legClear   = 1.5
	farFlank   = 25.0 // a flank of this run needs a brace of its own
	stepBeside = 4.0  // a floor that rises more than this beside a leg is a wall
	// deepestFoot is how deep a leg may be that stands with a part of its depth.
	deepestFoot = 16.0
	footCost    = 20.0
)

// What a scheme is ranked by, in square millimetres of web. Braces count with
// their material and the trouble of one more strip to cut; contact counts by
// the length to cut; each leg and flank counts a little, so that the simpler
// of two equal schemes is taken.
const (
	braceTrouble = 60.0
	braceDepth   = 3.5
	cutCost      = 1.0
	legCost      = 100.0
	flankCost    = 8.0
	strayCost    = 100.0 // by the millimetre: what is not abreast cannot be braced
)

// braceCost is the cost of one brace at one web: a strip of one bay.
func (s *Settings) braceCost() float64 {
	return s.Spacing*braceDepth*float64(s.BraceLayers)*s.Layer/s.Width + braceTrouble
}

// A choice is the best known way to a state: by a leg between nodes a and b,
// reached from the apex at node from. Instead of a leg there may be the corbel
// of the left end, instead of the apex the end itself.
type choice struct {
	cost       float64
	a, b, from int
}

const (
	viaCorbel = -2 // in a: the apex belongs to the corbel at the left end
	viaEdge   = -3 // in from: the crest begins at the left end; in a: so does the apex
)

func (c *choice) relax(cost float64, a, b, from int) {
	if cost < c.cost {
		*c = choice{cost, a, b, from}
	}
}

// unreached returns n states that nothing reaches yet.
func unreached(n int) []choice {
	out := make([]choice, n)
	for i := range out {
		out[i].cost = math.Inf(1)
	}
	return out
}

// A search is the shortest path over apexes and legs, from left to right: for
// each number of legs and each node the best way to have carried everything
// left of an apex there.
type search struct {
	r       *raster
	maxLegs int
	short   int // columns of the shortest flank
	deep    int // of the least deep leg
	apex    [][]choice
	closed  []choice // everything carried, the last leg beside the right end
	right   []flank  // from each apex node to the right
	left    []flank
	corb    [2][]corbel
	fees    []float64 // of flanks by run, beside their area
	free    []float64 // free length by depth
	common  float64   // free length that braces saved are counted by
	least   float64   // fee of all flanks beside legs: ways that cannot win are seen by it
	fill    []float64 // sums of full columns
	broken  []int     // sums of columns in which no leg stands plainly
	beside  [2][]bool // by node, whether there is a wall too close to a leg that begins or ends there
}

// hopeless is how many times as much as the cheapest a scheme costs after which
// none with more legs is looked for: every leg beyond the best number only adds.
const hopeless = 2.0

// schemes returns for each number of legs the cheapest scheme, if there is one,
// up to the first that costs some times as much as the cheapest of all. Those
// with fewer legs than the site asks for are left out.
func (r *raster) schemes(maxLegs int, times float64) []scheme {
	q := newSearch(r, maxLegs)
	q.begin()
	var out []scheme
	least := math.Inf(1)
	for k := 0; ; k++ {
		if sc, ok := q.best(k); ok && k >= len(r.d.site.Legs) {
			out = append(out, sc)
			least = min(least, sc.cost)
			if sc.cost > times*least {
				return out
			}
		}
		if k == maxLegs {
			return out
		}
		q.plainLegs(k)
		q.footedLegs(k)
	}
}

func newSearch(r *raster, maxLegs int) *search {
	n := len(r.cols)
	q := &search{r: r, maxLegs: maxLegs, closed: unreached(maxLegs + 1)}
	q.common = r.d.site.Settings.FreeLength(10)
	q.short, q.deep = r.nodes(leastFlank), min(n, r.nodes(legDepth))
	for range maxLegs + 1 {
		q.apex = append(q.apex, unreached(n+1))
	}
	s := &r.d.site.Settings
	for i := 0; i <= n; i++ {
		run := r.g * float64(i)
		q.fees = append(q.fees, flankCost+float64(math.Floor(run/farFlank)*s.braceCost()))
		q.free = append(q.free, s.FreeLength(max(run, 0.1)))
	}
	q.right, q.left = make([]flank, n+1), make([]flank, n+1)
	store := make([]laid, 0, (n+1)*(n+2)) // of all flanks: there are hundreds
	for i := 0; i <= n; i++ {
		q.right[i], store = q.flank(store, i, 1)
		q.left[i], store = q.flank(store, i, -1)
	}
	q.corb = [2][]corbel{q.corbels(0), q.corbels(1)}
	for k := range q.beside {
		q.beside[k] = make([]bool, n+1)
		for i := range q.beside[k] {
			q.beside[k][i] = r.walled(i, k)
		}
	}
	q.fill, q.broken = make([]float64, n+1), make([]int, n+1)
	for i := range r.cols {
		area, ok := r.piece(i, r.cols[i].floor)
		q.fill[i+1], q.broken[i+1] = q.fill[i]+area, q.broken[i]
		step := i > 0 && math.Abs(r.cols[i].floor-r.cols[i-1].floor) > 2*r.g
		if !ok || !r.cols[i].ground || r.cols[i].steep || step {
			q.broken[i+1]++
		}
	}
	return q
}

// wallFee is the cost of a flank beside its area, by its run in columns: one
// that reaches far needs braces of its own.
func (q *search) wallFee(run int) float64 { return q.fees[run] }

// legFee is the same beside a leg, less the braces it saves the leg: the web is
// deeper where there is a flank, which comes down from the crest by a height.
func (q *search) legFee(down float64, run int) float64 {
	s := &q.r.d.site.Settings
	saved := 0.5 * down / q.common
	return q.fees[run] - float64(max(0, saved)*s.braceCost())
}

// walled says whether the floor beside a leg from node a to b rises like a wall,
// too close to keep clear of, or an end of the profile is a wall.
func (q *search) walled(a, b int) bool { return q.beside[0][a] || q.beside[1][b] }

// walled says so of the left side, 0, or the right, 1, of a leg at a node.
func (r *raster) walled(at, side int) bool {
	n, m := len(r.cols), r.nodes(legClear)
	own, out, off := at, -1, at
	if side == 1 {
		own, out, off = at-1, 1, n-at
	}
	if own < 0 || own >= n {
		return false // no leg has a side there
	}
	if r.d.p.hold[side] && off < m && off > 0 {
		return true
	}
	for j := 1; j <= m; j++ {
		if i := own + out*j; i >= 0 && i < n && r.cols[i].floor > r.cols[own].floor+stepBeside {
			return true
		}
	}
	return false
}

// begin starts paths at the left end, with a corbel or, where the right corbel
// may carry everything, without.
func (q *search) begin() {
	n := len(q.r.cols)
	for i := range q.apex[0] {
		if c := q.corb[0][i]; c.ok && (i >= q.short || i == n) {
			q.apex[0][i].relax(c.area+cutCost*c.springing+q.wallFee(i), viaCorbel, viaCorbel, viaCorbel)
		}
	}
	if !q.r.d.p.hold[0] {
		q.apex[0][0].relax(0, viaEdge, viaEdge, viaEdge)
	}
}

// legCostOf returns the cost of a leg of an area between two nodes.
func (q *search) legCostOf(a, b int, area float64) float64 {
	r := q.r
	depth := r.g * float64(b-a)
	cost := area + legCost + cutCost*depth
	if (r.d.p.hold[0] && a == 0) || (r.d.p.hold[1] && b == len(r.cols)) {
		cost += cutCost * area / depth // along a wall no knife goes easily
	}
	if len(r.d.site.Legs) > 0 {
		cost += q.astray((r.node(a) + r.node(b)) / 2)
	}
	braces := area / depth / q.free[b-a] * math.Ceil(depth/60)
	return cost + float64(braces*r.d.site.Settings.braceCost())
}

// astray is what a leg costs that does not stand where one is asked for: a brace
// to its neighbour runs askew, and beyond half a right angle not at all.
func (q *search) astray(u float64) float64 {
	off := math.Inf(1)
	for _, v := range q.r.d.site.Legs {
		off = math.Min(off, math.Abs(u-v))
	}
	return strayCost * math.Max(0, off-legClear)
}

// enter returns the cheapest way to come to a leg that begins at node a, by a
// flank that meets it no lower than foot: the apex it comes from, or viaEdge, and
// the cost so far, infinite where there is no way.
func (q *search) enter(k, a int, foot float64) (cost float64, from int) {
	cost = math.Inf(1)
	if f := q.right[0].over; k == 0 && a < len(f) && (a == 0 || a >= q.short) && f[a].height >= foot {
		cost, from = f[a].area+f[a].fee, viaEdge
	}
	for i := 0; i <= a-q.short; i++ {
		c, f := &q.apex[k][i], q.right[i].over
		if c.cost+q.least >= cost || c.a == viaEdge || a-i >= len(f) {
			continue
		}
		if f := &f[a-i]; f.height >= foot {
			if x := c.cost + f.area + f.fee; x < cost {
				cost, from = x, i
			}
		}
	}
	return cost, from
}

// leave takes a leg (a, b) on to the apexes on its right, as long as the flank
// meets the leg no lower than foot.
func (q *search) leave(k, a, b, from int, cost, foot float64) {
	n := len(q.r.cols)
	for i := b + q.short; i <= n; i++ {
		c, f := &q.apex[k+1][i], q.left[i].over
		if cost+q.least < c.cost && i-b < len(f) && f[i-b].height >= foot {
			c.relax(cost+f[i-b].area+f[i-b].fee, a, b, from)
		}
	}
	if f, run := q.left[n].over, n-b; (run == 0 || run >= q.short) && run < len(f) && f[run].height >= foot {
		q.closed[k+1].relax(cost+f[run].area+f[run].fee, a, b, from)
	}
}

// plainLegs goes from apexes with k legs over legs that stand with all their
// depth.
func (q *search) plainLegs(k int) {
	n := len(q.r.cols)
	ends := unreached(n + 1)
	for a := 0; a <= n; a++ {
		cost, from := q.enter(k, a, math.Inf(-1))
		if cost == math.Inf(1) {
			continue
		}
		for b := a + q.deep; b <= n && q.broken[b] == q.broken[a]; b++ {
			if cost+legCost < ends[b].cost && !q.walled(a, b) { // a leg costs that at least
				ends[b].relax(cost+q.legCostOf(a, b, q.fill[b]-q.fill[a]), a, b, from)
			}
		}
	}
	for b, c := range ends {
		if c.cost < math.Inf(1) {
			q.leave(k, c.a, b, c.from, c.cost, math.Inf(-1))
		}
	}
}

// footedLegs does the same over legs that land with a part of their depth. The
// flanks beside them must not come down lower than the leg's own sides.
func (q *search) footedLegs(k int) {
	r := q.r
	n := len(r.cols)
	for a := 0; a <= n; a++ {
		for b := a + q.deep; b <= n && r.g*float64(b-a) <= deepestFoot; b++ {
			if q.broken[b] == q.broken[a] || q.walled(a, b) {
				continue
			}
			u := [2]float64{r.node(a), r.node(b)}
			f, ok := r.d.foot(u)
			if !ok {
				continue
			}
			if cost, from := q.enter(k, a, r.d.footLine(&f, u[0])); cost < math.Inf(1) {
				q.leave(k, a, b, from, cost+q.legCostOf(a, b, f.area)+footCost, r.d.footLine(&f, u[1]))
			}
		}
	}
}

// best closes the paths with k legs at the right end and returns the cheapest.
func (q *search) best(k int) (scheme, bool) {
	n := len(q.r.cols)
	sc := scheme{cost: q.closed[k].cost}
	apex := -1
	for i := range q.apex[k] {
		c := q.corb[1][n-i]
		if !c.ok || (n-i < q.short && i > 0) {
			continue
		}
		if cost := q.apex[k][i].cost + c.area + cutCost*c.springing + q.wallFee(n-i); cost < sc.cost {
			sc.cost, apex = cost, i
		}
	}
	p := q.r.d.p
	// The corbel at the left end alone, up to a free right end.
	if c := &q.apex[0][n]; k == 0 && !p.hold[1] && c.a == viaCorbel && c.cost < sc.cost {
		sc.cost, apex = c.cost, n
		q.back(0, n, &sc)
		return sc, true
	}
	if math.IsInf(sc.cost, 1) {
		return scheme{}, false
	}
	if apex >= 0 {
		q.back(k, apex, &sc)
		sc.sup = append(sc.sup, support{wall: 1, u: [2]float64{p.to(), p.to()}})
	} else {
		q.backLeg(k, q.closed[k], &sc)
	}
	return sc, true
}

// back adds what led to an apex with k legs before it.
func (q *search) back(k, i int, sc *scheme) {
	c := q.apex[k][i]
	switch c.a {
	case viaEdge: // the apex is the free end itself
		return
	case viaCorbel:
		sc.sup = append(sc.sup, support{wall: -1, u: [2]float64{q.r.d.p.from(), q.r.d.p.from()}})
	default:
		q.backLeg(k, c, sc)
	}
	sc.apex = append(sc.apex, q.r.node(i))
}

// backLeg adds a leg and what led to it.
func (q *search) backLeg(k int, c choice, sc *scheme) {
	if c.from != viaEdge {
		q.back(k-1, c.from, sc)
	}
	sc.sup = append(sc.sup, support{u: [2]float64{q.r.node(c.a), q.r.node(c.b)}})
}

// words describes a scheme: "two corbels and one leg".
func (sc *scheme) words() string {
	walls, legs := 0, 0
	for _, s := range sc.sup {
		if s.wall != 0 {
			walls++
		} else {
			legs++
		}
	}
	switch {
	case walls == 0:
		return count(legs, "leg")
	case legs == 0:
		return count(walls, "corbel")
	}
	return count(walls, "corbel") + " and " + count(legs, "leg")
}

func count(n int, what string) string {
	names := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}
	s := fmt.Sprint(n)
	if n < len(names) {
		s = names[n]
	}
	if n != 1 {
		what += "s"
	}
	return s + " " + what
}
