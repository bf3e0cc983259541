package web

import (
	"math"
	"math/rand"
	"testing"

	"falsework/mesh/section"
)

// A twin finds the cheapest scheme by trying every one on the nodes of a coarse
// raster, and weighs each by sweeping it downwards row by row, as a printer
// would see it backwards. It shares with the search only what a leg, a flank
// and a brace cost beside their area.
type twin struct {
	r     *raster
	q     *search
	best  float64
	seen  int
	known map[[4]float64]swept
}

type swept struct {
	area float64
	ok   bool
}

// sweep returns the area below the crest of the piece of web between two
// apexes that narrows to [l0, l1], cell by cell; a side that does not narrow
// has its apex at its side. It fails where a cell comes to rest on what is not
// grounded.
func (t *twin) sweep(a, l0, l1, b float64) (area float64, ok bool) {
	k := [4]float64{a, l0, l1, b}
	s, ok := t.known[k]
	if !ok {
		s.area, s.ok = t.sweepOnce(a, l0, l1, b)
		t.known[k] = s
	}
	return s.area, s.ok
}

// hangs is the highest thing that hangs within a column of u.
func (t *twin) hangs(u float64) float64 {
	top := math.Inf(-1)
	for i := range t.r.cols {
		if c := &t.r.cols[i]; !c.ground && math.Abs(c.u-u) < 1.5*t.r.g {
			top = math.Max(top, c.floor)
		}
	}
	return top
}

func (t *twin) sweepOnce(a, l0, l1, b float64) (area float64, ok bool) {
	const cell = 0.1
	d := t.r.d
	bed := d.site.Settings.Bed
	n := int(math.Round((b - a) / cell))
	alive := make([]bool, n)
	u := func(i int) float64 { return a + cell*(float64(i)+0.5) }
	low, floor := make([]float64, n), make([]float64, n)
	for i := range alive {
		alive[i], low[i], floor[i] = true, t.hangs(u(i)), d.p.floor(u(i))
	}
	top := d.under(&d.p.slabs[0])[0]
	for z := top - cell/2; z > bed; z -= cell {
		shrink := (top - z) / d.rise
		left := 0
		for i := range alive {
			if !alive[i] {
				continue
			}
			if x := u(i); (x < l0 && x < a+shrink) || (x > l1 && x > b-shrink) {
				alive[i] = false // printed over the cell beside it
				continue
			}
			if z < low[i] {
				return 0, false
			}
			if z < floor[i] {
				alive[i] = false
				continue
			}
			area += cell * cell
			left++
		}
		if left == 0 {
			break
		}
	}
	return area, true
}

func (t *twin) flank(apex, support int) (float64, bool) {
	a, l := t.r.node(apex), t.r.node(support)
	if a < l {
		return t.sweep(a, l, l, l)
	}
	return t.sweep(l, l, l, a)
}

// fee is what a flank costs beside its area.
func (t *twin) fee(apex, support int) float64 {
	d := t.r.d
	s := &d.site.Settings
	run := math.Abs(t.r.node(support) - t.r.node(apex))
	col := support
	if apex < support {
		col--
	}
	drop := math.Min(d.rise*run, d.under(&d.p.slabs[0])[0]-t.r.cols[col].floor)
	return flankCost + math.Floor(run/farFlank)*s.braceCost() - math.Max(0, drop/2/s.FreeLength(10))*s.braceCost()
}

// from extends a scheme that has carried everything left of node i: next comes
// a leg or the right end.
func (t *twin) from(i, legs int, first bool, cost float64) {
	n := len(t.r.cols)
	if c := t.q.corb[1][n-i]; c.ok && (n-i >= t.q.short || i == 0) && (!first || !t.r.d.p.hold[0]) {
		if area, ok := t.flank(i, n); ok {
			t.end(cost + area + cutCost*c.springing + t.q.wallFee(n-i))
		}
	}
	if legs == 0 {
		return
	}
	for a := i; a <= n; a++ {
		if a > i && a < i+t.q.short || (a == i && !first) {
			continue
		}
		in, ok := 0.0, true
		if a > i {
			if in, ok = t.flank(i, a); !ok {
				continue
			}
			in += t.fee(i, a)
		}
		for b := a + t.q.deep; b <= n; b++ {
			if t.q.walled(a, b) || t.q.broken[a] != t.q.broken[b] {
				continue
			}
			if area, ok := t.sweep(t.r.node(a), t.r.node(a), t.r.node(b), t.r.node(b)); ok {
				t.leave(b, legs-1, cost+in+t.q.legCostOf(a, b, area))
			}
		}
	}
}

func (t *twin) leave(b, legs int, cost float64) {
	n := len(t.r.cols)
	if b == n {
		t.end(cost)
	}
	for i := b + t.q.short; i <= n; i++ {
		area, ok := t.flank(i, b)
		if !ok {
			continue
		}
		c := cost + area + t.fee(i, b)
		if i == n {
			t.end(c)
		}
		t.from(i, legs, false, c)
	}
}

func (t *twin) end(cost float64) {
	t.seen++
	t.best = math.Min(t.best, cost)
}

// smallRoom is a room of few columns with one or two boxes on its floor, some
// of which hang.
func smallRoom(rnd *rand.Rand) Site {
	run, height := 14+float64(rnd.Intn(8)), 8+float64(rnd.Intn(25))
	shapes := []section.Path{rect(-20, -3, run+20, 0), rect(0, height, run, height+3)}
	hold := [2]bool{rnd.Intn(2) == 0, rnd.Intn(2) == 0}
	if hold[0] {
		shapes = append(shapes, rect(-3, -3, 0, height+3))
	}
	if hold[1] {
		shapes = append(shapes, rect(run, -3, run+3, height+3))
	}
	var loose []section.Path
	for range rnd.Intn(3) {
		u, w := float64(rnd.Intn(int(run))), 2+float64(rnd.Intn(8))
		lo, h := float64(rnd.Intn(int(height)/2)), 1+float64(rnd.Intn(int(height)/3))
		box := rect(u, lo, math.Min(u+w, run), lo+h)
		shapes = append(shapes, box)
		if rnd.Intn(2) == 0 {
			loose = append(loose, box)
		}
	}
	s := bay(iv(0, run, height, height, hold[0], hold[1]), shapes...)
	s.Settings.Bed, s.Settings.Setback = -3, 0
	s.Grounded = func(u, z float64) bool {
		for _, r := range loose {
			if u > r[0][0] && u < r[2][0] && z > r[0][1] && z < r[2][1] {
				return false
			}
		}
		return true
	}
	return s
}

// On hundreds of small rooms the shortest path costs what the best of all
// schemes does, within a few per cent: the two weigh areas on different
// rasters.
func TestSearchAgainstAllSchemes(t *testing.T) {
	rnd := rand.New(rand.NewSource(7))
	found, tried := 0, 0
	for range 300 {
		site := smallRoom(rnd)
		site.narrow()
		ps, err := profiles(&site, site.Under[0])
		if err != nil || len(ps) != 1 {
			continue
		}
		d, err := newDrawer(&site, &ps[0])
		if err != nil {
			t.Fatal(err)
		}
		r := rasterOf(d, int(math.Round(d.ends[1]-d.ends[0])))
		q := newSearch(r, 2)
		all := &twin{r: r, q: q, best: math.Inf(1), known: map[[4]float64]swept{}}
		all.from(0, 2, true, 0)
		for i := range q.corb[0] {
			c := q.corb[0][i]
			if !c.ok || (i < q.short && i < len(r.cols)) {
				continue
			}
			if area, ok := all.flank(i, 0); ok {
				cost := area + cutCost*c.springing + q.wallFee(i)
				if i == len(r.cols) && !d.p.hold[1] {
					all.end(cost)
				}
				all.from(i, 2, false, cost)
			}
		}
		best := math.Inf(1)
		for k := range 2 {
			if k == 0 {
				q.begin()
			}
			q.plainLegs(k)
		}
		for k := range 3 {
			if sc, ok := q.best(k); ok {
				best = math.Min(best, sc.cost)
			}
		}
		tried += all.seen
		if math.IsInf(best, 1) && math.IsInf(all.best, 1) {
			continue
		}
		found++
		if math.Abs(best-all.best) > 0.04*all.best+2 {
			t.Errorf("run %.0f height %.0f holds %v: search %.1f, best of %d schemes %.1f",
				d.p.to()-d.p.from(), d.p.top(1), d.p.hold, best, all.seen, all.best)
		}
	}
	if found < 200 {
		t.Errorf("only %d rooms had a scheme", found)
	}
	t.Logf("%d rooms, %d schemes", found, tried)
}
