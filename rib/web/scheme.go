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
	stepBeside = 4.0 // a floor that rises more than this beside a leg is a wall
	// deepestFoot is how deep a leg may be that stands with a part of its depth.
	deepestFoot = 16.0
	footCost    = 20.0
)

// What a scheme is ranked by, in square millimetres of web. Braces count with
// their material and the trouble of one more strip to cut; contact counts by
// the length to cut; each leg and flank counts a little, so that the simpler
// of two equal schemes is taken.
const (
	braceTrouble = 40.0
	braceDepth   = 3.5
	cutCost      = 1.0
	legCost      = 60.0
	flankCost    = 8.0
)

// braceCost is the cost of one brace at one web: a strip of one bay.
func (s *Settings) braceCost() float64 {
	return s.Spacing*braceDepth*float64(s.BraceLayers)*s.Layer/s.Width + braceTrouble
}

// A choice remembers how a state was reached.
type choice struct {
	cost float64
	from int
}

// A table holds, for a number of legs and a node, the best way to have carried
// everything left of the node.
type table [][]choice

func newTable(legs, nodes int) table {
	t := make(table, legs+1)
	for k := range t {
		t[k] = make([]choice, nodes)
		for i := range t[k] {
			t[k][i] = choice{math.Inf(1), -1}
		}
	}
	return t
}

func (t table) relax(k, i int, cost float64, from int) {
	if cost < t[k][i].cost {
		t[k][i] = choice{cost, from}
	}
}

// A search is the shortest path over apexes and legs. States are read from
// left to right: an apex at a node, a leg that begins at a node, a leg that
// ends at one.
type search struct {
	r                *raster
	maxLegs          int
	apex, begin, end table
	left, right      [][]float64 // flanks from each apex node, walking right and left
	corb             [2][]corbel
	fees             [2][]float64 // of flanks by run: beside a wall, beside a leg
	free             []float64    // free length by depth
	fill             []float64    // sums of full columns
	broken           []int        // sums of columns in which no leg stands plainly
}

// Marks of states at the left end: reached by a corbel, or where the crest
// begins without one.
const (
	viaCorbel = -2
	viaEdge   = -3
)

// schemes returns for each number of legs the cheapest scheme, cheapest first
// by legs; those that are impossible are missing.
func (r *raster) schemes(maxLegs int) []scheme {
	q := newSearch(r, maxLegs)
	q.run()
	var out []scheme
	for k := 0; k <= maxLegs; k++ {
		if sc, ok := q.best(k); ok {
			out = append(out, sc)
		}
	}
	return out
}

func newSearch(r *raster, maxLegs int) *search {
	n := len(r.cols)
	q := &search{r: r, maxLegs: maxLegs}
	q.apex, q.begin, q.end = newTable(maxLegs, n+1), newTable(maxLegs, n+1), newTable(maxLegs, n+1)
	for i := 0; i <= n; i++ {
		q.left = append(q.left, r.flanks(i, 1))
		q.right = append(q.right, r.flanks(i, -1))
	}
	q.corb = [2][]corbel{r.corbels(0), r.corbels(1)}
	s := &r.d.site.Settings
	for i := 0; i <= n; i++ {
		run := r.g * float64(i)
		fee := flankCost + float64(math.Floor(run/25)*s.braceCost())
		q.fees[0] = append(q.fees[0], fee)
		q.fees[1] = append(q.fees[1], fee-float64(0.5*r.d.rise*run/s.FreeLength(legDepth)*s.braceCost()))
		q.free = append(q.free, s.FreeLength(math.Max(run, 0.1)))
	}
	q.fill, q.broken = make([]float64, n+1), make([]int, n+1)
	for i := range r.cols {
		area, ok := r.piece(i, math.Inf(-1))
		q.fill[i+1], q.broken[i+1] = q.fill[i]+area, q.broken[i]
		if !ok || r.cols[i].steep || (i > 0 && math.Abs(r.cols[i].floor-r.cols[i-1].floor) > 2*r.g) {
			q.broken[i+1]++
		}
	}
	return q
}

// wallFee and legFee are the cost of a flank beside its area, by its run in
// columns: those that reach far need braces of their own, but shorten what
// braces a leg needs.
func (q *search) wallFee(run int) float64 { return q.fees[0][run] }
func (q *search) legFee(run int) float64  { return q.fees[1][run] }

// leg returns the cost of a leg between two nodes.
func (q *search) leg(a, b int) (float64, bool) {
	r := q.r
	depth := r.g * float64(b-a)
	plain := q.broken[b] == q.broken[a]
	if (!plain && depth > deepestFoot) || q.walled(a, b) {
		return 0, false
	}
	s := &r.d.site.Settings
	area := q.fill[b] - q.fill[a]
	cost := legCost + cutCost*depth
	if !plain {
		f, ok := r.d.foot([2]float64{r.node(a), r.node(b)})
		if !ok {
			return 0, false
		}
		area = f.area
		cost += footCost
	}
	if (r.d.p.hold[0] && a == 0) || (r.d.p.hold[1] && b == len(r.cols)) {
		cost += cutCost * area / depth // along a wall no knife goes easily
	}
	braces := math.Floor(area/depth/q.free[b-a]) * math.Ceil(depth/60)
	return cost + area + braces*s.braceCost(), true
}

// walled says whether the floor beside a leg rises like a wall, too close to
// keep clear of, or an end of the profile is a wall.
func (q *search) walled(a, b int) bool {
	r := q.r
	n, m := len(r.cols), r.nodes(legClear)
	if (r.d.p.hold[0] && a < m && a > 0) || (r.d.p.hold[1] && b > n-m && b < n) {
		return true
	}
	for j := 1; j <= m; j++ {
		if i := a - j; i >= 0 && r.cols[i].floor > r.cols[a].floor+stepBeside {
			return true
		}
		if i := b - 1 + j; i < n && r.cols[i].floor > r.cols[b-1].floor+stepBeside {
			return true
		}
	}
	return false
}

// run fills the tables.
func (q *search) run() {
	r := q.r
	n := len(r.cols)
	short := r.nodes(leastFlank)
	deep := min(n, r.nodes(legDepth))
	for k := 0; k <= q.maxLegs; k++ {
		for i := 0; i <= n; i++ {
			if k == 0 {
				q.enter(i, short)
			}
			// An apex at i: on to the beginning of a leg.
			if c := q.apex[k][i].cost; c < math.Inf(1) && k < q.maxLegs {
				for l := i + short; l-i < len(q.left[i]); l++ {
					q.begin.relax(k, l, c+q.left[i][l-i]+q.legFee(l-i), i)
				}
			}
		}
		if k == q.maxLegs {
			break
		}
		for a := 0; a <= n; a++ {
			c := q.begin[k][a].cost
			if c == math.Inf(1) {
				continue
			}
			for b := a + deep; b <= n; b++ {
				if q.broken[b] != q.broken[a] && r.g*float64(b-a) > deepestFoot {
					break
				}
				if cost, ok := q.leg(a, b); ok {
					q.end.relax(k+1, b, c+cost, a)
				}
			}
		}
		for i := 0; i <= n; i++ {
			for j := i - short; j >= 0 && i-j < len(q.right[i]); j-- {
				if c := q.end[k+1][j].cost; c < math.Inf(1) {
					q.apex.relax(k+1, i, c+q.right[i][i-j]+q.legFee(i-j), j)
				}
			}
		}
	}
}

// enter starts paths at the left end.
func (q *search) enter(i, short int) {
	r := q.r
	if c := q.corb[0][i]; c.ok && (i >= short || i == len(r.cols)) {
		q.apex.relax(0, i, c.area+cutCost*c.springing+q.wallFee(i), viaCorbel)
	}
	if i == 0 {
		q.begin.relax(0, 0, 0, viaEdge)
	} else if i < len(q.left[0]) && i >= short {
		q.begin.relax(0, i, q.left[0][i]+q.legFee(i), viaEdge)
	}
	if i == 0 && !r.d.p.hold[0] {
		q.apex.relax(0, 0, 0, viaEdge)
	}
}

// best closes the paths with k legs at the right end and returns the cheapest.
func (q *search) best(k int) (scheme, bool) {
	r := q.r
	n := len(r.cols)
	short := r.nodes(leastFlank)
	cost, how, node := math.Inf(1), 0, 0
	take := func(c float64, h, i int) {
		if c < cost {
			cost, how, node = c, h, i
		}
	}
	const byCorbel, byEdge, byApex = 1, 2, 3
	for i := 0; i <= n; i++ {
		if c := q.corb[1][n-i]; c.ok && (n-i >= short || i == 0) && (k > 0 || i > 0 || !r.d.p.hold[0]) {
			take(q.apex[k][i].cost+c.area+cutCost*c.springing+q.wallFee(n-i), byCorbel, i)
		}
		if run := n - i; run < len(q.right[n]) && (run == 0 || run >= short) && k > 0 {
			fee := 0.0
			if run > 0 {
				fee = q.legFee(run)
			}
			take(q.end[k][i].cost+q.right[n][run]+fee, byEdge, i)
		}
	}
	if k == 0 && !r.d.p.hold[1] && q.apex[0][n].from == viaCorbel {
		take(q.apex[0][n].cost, byApex, n)
	}
	if cost == math.Inf(1) {
		return scheme{}, false
	}
	sc := scheme{cost: cost}
	var sup []support
	var apex []float64
	if how == byCorbel {
		sup = append(sup, support{wall: 1, u: [2]float64{r.d.p.to(), r.d.p.to()}})
	}
	if how != byEdge {
		sup, apex = q.back(k, node, sup, apex)
	} else {
		sup, apex = q.backLeg(k, node, sup, apex)
	}
	for i := len(sup) - 1; i >= 0; i-- {
		sc.sup = append(sc.sup, sup[i])
	}
	for i := len(apex) - 1; i >= 0; i-- {
		sc.apex = append(sc.apex, apex[i])
	}
	return sc, true
}

// back follows the path from an apex to the left.
func (q *search) back(k, i int, sup []support, apex []float64) ([]support, []float64) {
	from := q.apex[k][i].from
	if from == viaEdge { // the free end itself
		return sup, apex
	}
	apex = append(apex, q.r.node(i))
	if from == viaCorbel {
		return append(sup, support{wall: -1, u: [2]float64{q.r.d.p.from(), q.r.d.p.from()}}), apex
	}
	return q.backLeg(k, from, sup, apex)
}

// backLeg follows the path from the right side of a leg.
func (q *search) backLeg(k, j int, sup []support, apex []float64) ([]support, []float64) {
	a := q.end[k][j].from
	sup = append(sup, support{u: [2]float64{q.r.node(a), q.r.node(j)}})
	from := q.begin[k-1][a].from
	if from == viaEdge {
		return sup, apex
	}
	return q.back(k-1, from, sup, apex)
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
