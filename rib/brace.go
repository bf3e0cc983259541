package rib

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"sort"

	"falsework/mesh/section"
	"falsework/rib/web"
	"falsework/span"
)

// Measures of braces, in millimetres.
const (
	braceInset = 0.02 // a brace stays that far inside the edges of a web
	braceClear = 5.0  // kept off ceilings and crests
	braceEnd   = 0.2  // how far a brace's end enters a wall at least
	braceLeast = 0.8  // of depth that a web must offer a brace: two beads
	braceSkew  = 1.0  // how far along the next web for the way to it: half a right angle
)

// A tie is a place where a brace passes through a web: the run of its middle
// and the part of the run it may use at that height.
type tie struct {
	web int
	u   float64
	use stretch
}

// A chain is one brace: the webs it ties, in order along it, and its ends.
// An end is in a wall or at the outermost web.
type chain struct {
	z    [2]float64
	ties []tie
	plan section.Path
	// Piece by piece for the cuts: the two ends in plan, and whether they are
	// walls.
	ends  [2]section.Point
	walls [2]bool
	depth float64
}

// A bracer ties the webs of one ceiling.
type bracer struct {
	*shaper
	slices *layers
	lines  []ribLine
	webs   []*web.Web
	walks  []*web.Walk
	column bool
	pains  pains
	closer bool // above a ceiling that needs no ribs less than braceClear will do
	chains []*chain
}

// Pains is how far the bracing of webs goes that cannot be made steady.
type pains int

const (
	briefly pains = iota // one loose web says enough
	fairly               // a web that cannot be steadied gets no braces of its own
	fully                // it gets all that find a place
)

// brace ties every web that cannot stand by itself, with the fewest chains it
// finds: those asked for are added until every web is steady, then each that
// is not missed is taken away again. It returns the webs left unsteady.
func (b *bracer) brace() (loose []int) {
	if b.column {
		b.columnHeights()
	}
	for i := range b.webs {
		if !b.steady(i) {
			loose = append(loose, i)
			if b.pains == briefly {
				return loose
			}
		}
	}
	b.prune(loose)
	sort.SliceStable(b.chains, func(i, j int) bool { return b.chains[i].z[0] < b.chains[j].z[0] })
	return loose
}

// rounds is how often a web may ask for what it still misses, as long as it gets
// something: a chain holds a web where there is room for it, which is not always
// where it was asked for.
const rounds = 16

// steady adds the chains that a web misses and tells whether it stands.
func (b *bracer) steady(i int) bool {
	if b.held(i) {
		return true
	}
	// A lintel within the limit that has set carries a brace's end as a wall does,
	// and a rib that stands is worth more than the usual distance.
	b.closer = true
	defer func() { b.closer = false }()
	return b.held(i)
}

// held adds the chains that a web misses where they find a place, and tells
// whether it stands.
func (b *bracer) held(i int) bool {
	walk := b.walks[i]
	tried := map[[2]int]*chain{}
	at := func(u, z float64) *chain {
		k := [2]int{int(math.Round(u * 100)), b.slices.nearest(z)}
		c, ok := tried[k]
		if !ok {
			c, _ = b.chain(i, u, k[1])
			tried[k] = c
		}
		return c
	}
	for range rounds {
		have := b.ties(i, nil)
		if walk.Stable(have) {
			return true
		}
		brace := walk.Brace
		if b.pains == fully && b.closer {
			brace = walk.Some
		}
		set, err := brace(have, func(u, z float64) bool {
			c := at(u, z)
			return c != nil && b.clear(c)
		})
		if set == nil && err != nil {
			return false
		}
		before := len(b.chains)
		for _, x := range set {
			if c := at(x.U, x.Z[0]); c != nil && b.clear(c) {
				b.chains = append(b.chains, c)
			}
		}
		if len(b.chains) == before {
			break
		}
	}
	return walk.Stable(b.ties(i, nil))
}

// fault says where a loose web misses its first brace, and what is in the way
// of most of those that might hold it there.
func (b *bracer) fault(i int) (at [3]float64, why string) {
	b.closer = true
	defer func() { b.closer = false }()
	count := map[string]int{}
	_, err := b.walks[i].Brace(b.ties(i, nil), func(u, z float64) bool {
		c, no := b.chain(i, u, b.slices.nearest(z))
		if c != nil && !b.clear(c) {
			no = "another brace is too near"
		}
		count[no]++
		return false
	})
	for _, no := range slices.Sorted(maps.Keys(count)) {
		if why == "" || count[no] > count[why] {
			why = no
		}
	}
	if why == "" {
		why = "too near to the ceiling or to what it stands on for a brace"
	}
	var e *web.PlaceError
	if errors.As(err, &e) {
		p := b.lines[i].at(e.U)
		at = [3]float64{p[0], p[1], e.Z}
	}
	return at, why
}

// clear tells whether a chain is neither like one that is there nor would
// graze it.
func (b *bracer) clear(c *chain) bool {
	for _, o := range b.chains {
		if o.z[0] < c.z[1]+1 && c.z[0] < o.z[1]+1 {
			for _, t := range o.ties {
				for _, s := range c.ties {
					if s.web == t.web && math.Abs(s.u-t.u) < 2*braceDepth {
						return false
					}
				}
			}
			if share(section.Polygons{c.plan}, section.Polygons{o.plan}) {
				return false
			}
		}
	}
	return true
}

// ties lists the braces that hold a web, without those of one chain.
func (b *bracer) ties(i int, without *chain) []web.Brace {
	var out []web.Brace
	for _, c := range b.chains {
		if c == without {
			continue
		}
		for _, t := range c.ties {
			if t.web == i {
				out = append(out, web.Brace{U: t.u, Z: c.z})
			}
		}
	}
	sort.SliceStable(out, func(x, y int) bool { return out[x].Z[0] < out[y].Z[0] })
	return out
}

// prune takes away every chain that no web needs, the last first.
func (b *bracer) prune(loose []int) {
	if b.column {
		return // practice sets those at a plain pitch
	}
	given := map[int]bool{}
	for _, i := range loose {
		given[i] = true
	}
	for k := len(b.chains) - 1; k >= 0; k-- {
		c := b.chains[k]
		needed := false
		for _, t := range c.ties {
			if given[t.web] || !b.walks[t.web].Stable(b.ties(t.web, c)) {
				needed = true
				break
			}
		}
		if !needed {
			b.chains = append(b.chains[:k], b.chains[k+1:]...)
		}
	}
}

// columnHeights sets braces through columns at the least number of equal gaps
// within the pitch, on layer boundaries: the practice for thin walls.
func (b *bracer) columnHeights() {
	low, high := math.Inf(1), math.Inf(-1)
	for _, w := range b.webs {
		low, high = min(low, w.Bottom), max(high, w.Top)
	}
	thick := float64(b.s.BraceLayers) * b.sv.Layer
	n := Braces(high-low-2*embed, b.s.BracePitch, thick)
	gap := (high - low - float64(n)*thick) / float64(n+1)
	for k := 0; k < n; k++ {
		z := low + gap + float64(float64(k)*(gap+thick))
		for _, shift := range []int{0, 1, -1, 2, -2, 4, -4, 7, -7, 12, -12} {
			layer := b.slices.nearest(z) + shift
			done := false
			for i := range b.webs {
				u, ok := b.columnMiddle(i, layer)
				if !ok {
					continue
				}
				if c, _ := b.chain(i, u, layer); c != nil {
					if b.clear(c) {
						b.chains = append(b.chains, c)
					}
					done = true
				}
			}
			if done {
				break
			}
		}
	}
}

// Braces is the least number of braces of a thickness that keep the clear gaps
// in an opening of a height within a pitch.
func Braces(height, pitch, thick float64) int {
	return max(0, int(math.Ceil((height-pitch)/(pitch+thick)-1e-9)))
}

// columnMiddle is the middle of a column at a layer.
func (b *bracer) columnMiddle(i, layer int) (float64, bool) {
	t, ok := b.tie(i, b.webs[i].Bottom, layer, math.Inf(1))
	return t.u, ok
}

// tie finds the part of a web's run that a brace about u can use at a layer.
// An infinite depth takes the whole depth of a column.
func (b *bracer) tie(i int, u float64, layer int, depth float64) (tie, bool) {
	w := b.webs[i]
	z0, z1 := b.slices.bottom(layer), b.slices.bottom(layer+b.s.BraceLayers)
	if z0 < w.Bottom+1 || z1 > w.Top-braceClear {
		return tie{}, false
	}
	best := tie{web: i}
	near := math.Inf(1)
	for _, p := range across(w.Outline, z0) {
		for _, q := range across(w.Outline, z1) {
			s := stretch{max(p.from, q.from) + braceInset, min(p.to, q.to) - braceInset}
			if s.length() < braceLeast {
				continue
			}
			if !math.IsInf(depth, 1) {
				// As near to u as the piece of web there allows.
				d := min(depth, s.length())
				mid := min(max(u, s.from+d/2), s.to-d/2)
				s = stretch{mid - d/2, mid + d/2}
			}
			if d := math.Abs(s.mid() - u); d < near {
				near = d
				best.use, best.u = s, s.mid()
			}
		}
	}
	return best, !math.IsInf(near, 1)
}

// across returns the stretches of an outline at a height.
func across(p section.Polygons, z float64) []stretch {
	return clip(p, axis{section.Point{0, z}, section.Point{1, 0}})
}

// chain builds the brace through a web at a run and a layer: from web to web
// and on to a wall at both ends, or at one of them. Without one that holds it is
// nil, and why says what is in the way.
func (b *bracer) chain(i int, u float64, layer int) (c *chain, why string) {
	z := [2]float64{b.slices.bottom(layer), b.slices.bottom(layer + b.s.BraceLayers)}
	depth := braceDepth
	if b.column {
		depth = math.Inf(1)
	}
	t, ok := b.tie(i, u, layer, depth)
	if !ok {
		return nil, fmt.Sprintf("the rib is less than %g mm deep there, or nearer than %g mm to its ceiling", braceLeast, braceClear)
	}
	if o := b.under(b.lines[i].at(t.u), z); o != nil {
		return nil, fmt.Sprintf("a brace would be nearer than %g mm to ceiling %d", braceClear, o.ID)
	}
	// A layer that nobody asked for yet is cut now, which takes longer than all
	// that follows on a part of many facets: its layers side by side.
	each(b.s.BraceLayers+1, func(k int) bool {
		b.slices.of(layer - 1 + k)
		return true
	})
	c = &chain{z: [2]float64{micron(z[0]), micron(z[1])}, ties: []tie{t}, depth: min(depth, t.use.length())}
	var tips [2][2]section.Point
	for k, side := range []float64{-1, 1} {
		last := t
		from := b.lines[t.web]
		way := section.Point{float64(-side * from.dir[1]), float64(side * from.dir[0])}
		if b.column {
			way = b.along(i, side)
		}
		for {
			next, tip, wall := b.step(last, way, layer, depth)
			if next != nil && c.holds(next.web) { // once round a ring of webs
				next, tip, wall = nil, b.inWeb(last, way), false
			}
			if next != nil {
				if b.column {
					way, _ = unit(b.lines[last.web].at(last.u), b.lines[next.web].at(next.u))
				} else if n := b.lines[next.web]; float64(n.dir[0]*-way[1])+float64(n.dir[1]*way[0]) != 0 {
					way = n.across(way)
				}
				last = *next
				if side > 0 {
					c.ties = append(c.ties, last)
				} else {
					c.ties = append([]tie{last}, c.ties...)
				}
				continue
			}
			tips[k], c.walls[k] = tip, wall
			break
		}
	}
	if !c.walls[0] && !c.walls[1] {
		return nil, fmt.Sprintf("no wall within %.0f mm for a brace to end in", b.s.Spacing)
	}
	c.plan = b.outline(c, tips)
	for k := range c.ends {
		c.ends[k] = section.Point{micron((tips[k][0][0] + tips[k][1][0]) / 2), micron((tips[k][0][1] + tips[k][1][1]) / 2)}
	}
	if c.meets(b.planned, b.s.Width) {
		return nil, "a brace would meet the ribs of another ceiling"
	}
	b.asked.chains = append(b.asked.chains, c)
	if o := b.fouls(c); o != nil {
		return nil, fmt.Sprintf("a brace would be nearer than %g mm to ceiling %d", braceClear, o.ID)
	}
	return c, ""
}

// step goes from one tie to the next thing beside it: a neighbouring web, or a
// wall, whose two tips it returns (at the small and at the great run of the
// strip). Without either within a bay the tips lie just inside the web.
func (b *bracer) step(t tie, way section.Point, layer int, depth float64) (next *tie, tip [2]section.Point, wall bool) {
	from := b.lines[t.web]
	out := axis{from.at(t.u), way}
	reach := b.s.Spacing + 2*b.s.Width
	var use [2]float64
	for k, u := range []float64{t.use.from, t.use.to} {
		d, ok := b.toWall(axis{from.at(u), out.dir}, layer, reach, braceEnd)
		if !ok {
			d = math.Inf(1)
		}
		use[k] = d
	}
	near := math.Inf(1)
	for j, r := range b.lines {
		if j == t.web {
			continue
		}
		v, d, ok := meet(out, r, b.column)
		if !ok || d > reach || d < 2*b.s.Width || d > min(use[0], use[1]) {
			continue
		}
		n, ok := b.tie(j, v, layer, depth)
		if !ok || !b.column && math.Abs(n.u-v) > braceSkew*d {
			continue
		}
		if !b.column {
			// The strip goes to where the next web has room, not straight on.
			var aim section.Point
			if aim, d = unit(out.from, r.at(n.u)); d > reach || b.blocked(axis{out.from, aim}, layer, d) {
				continue
			}
		}
		if d >= near {
			continue
		}
		near, next = d, &n
	}
	if next != nil {
		return next, tip, false
	}
	for _, w := range b.ways(t, way, reach) {
		if tip, ok := b.reachWall(t, w, layer, reach); ok {
			return nil, tip, true
		}
	}
	return nil, b.inWeb(t, way), false
}

// inWeb returns the tips of a brace that ends at a tie: just inside the web.
func (b *bracer) inWeb(t tie, way section.Point) (tip [2]section.Point) {
	for k, u := range []float64{t.use.from, t.use.to} {
		tip[k] = axis{b.lines[t.web].at(u), way}.at(b.s.Width/2 - braceInset)
	}
	return tip
}

// holds tells whether a chain ties a web.
func (c *chain) holds(web int) bool {
	return slices.ContainsFunc(c.ties, func(t tie) bool { return t.web == web })
}

// outline draws the plan of a chain: down the one side of its ties and up the
// other. Webs run this way or that, as round a ring, so that what is one side at
// the first tie may be the other at the next.
func (b *bracer) outline(c *chain, tips [2][2]section.Point) section.Path {
	pairs := [][2]section.Point{tips[0]}
	for k, t := range c.ties {
		// A tie at the end of a chain that stops there is its tip already.
		if k == 0 && !c.walls[0] || k == len(c.ties)-1 && !c.walls[1] {
			continue
		}
		r := b.lines[t.web]
		pairs = append(pairs, [2]section.Point{r.at(t.use.from), r.at(t.use.to)})
	}
	pairs = append(pairs, tips[1])
	mid := func(k int) section.Point {
		p := pairs[min(max(k, 0), len(pairs)-1)]
		return section.Point{(p[0][0] + p[1][0]) / 2, (p[0][1] + p[1][1]) / 2}
	}
	var one, two section.Path
	first := true
	for k, p := range pairs {
		q, r := mid(k-1), mid(k+1)
		left := float64((r[0]-q[0])*(p[1][1]-p[0][1]))-float64((r[1]-q[1])*(p[1][0]-p[0][0])) > 0
		if k == 0 {
			first = left
		}
		if left != first {
			p[0], p[1] = p[1], p[0]
		}
		one = append(one, section.Point{micron(p[0][0]), micron(p[0][1])})
		two = append(two, section.Point{micron(p[1][0]), micron(p[1][1])})
	}
	out := append(section.Path(nil), one...)
	for i := len(two) - 1; i >= 0; i-- {
		out = append(out, two[i])
	}
	if out.Area() < 0 {
		slices.Reverse(out)
	}
	return out
}

// under returns a ceiling right under which a place lies: a chain there fouls it
// whatever it ends at, so that no layer need be cut to see where it goes.
func (b *bracer) under(q section.Point, z [2]float64) *span.Ceiling {
	for i := range b.survey.Ceilings {
		o := &b.survey.Ceilings[i]
		if o.Z[0] > z[1]+braceClear || o.Z[1] < z[0]-b.above(o) ||
			o.Min[0] > q[0] || o.Max[0] < q[0] || o.Min[1] > q[1] || o.Max[1] < q[1] {
			continue
		}
		for _, s := range o.Strips {
			if s.Z <= z[1]+braceClear && s.Z >= z[0]-b.above(o) && inside(s.Footprint, q) {
				return o
			}
		}
	}
	return nil
}

// above is how far a brace keeps above a ceiling: so far at least that the
// survey does not join the two. That goes by whole layers, and a ceiling may
// begin half a layer above its underside.
func (b *bracer) above(o *span.Ceiling) float64 {
	joined := b.sv.Ledge/math.Tan(b.sv.Slope*math.Pi/180) + 1.5*b.sv.Layer
	if b.closer && !o.NeedsRibs {
		return joined
	}
	return max(braceClear, joined)
}

// meets tells whether a chain runs into what is planned under other ceilings:
// their webs, or a brace at its height or so near that its strands would lie on
// it.
func (c *chain) meets(planned []CeilingPlan, width float64) bool {
	own, clear := section.Polygons{c.plan}, 2*width
	for i := range planned {
		for _, o := range planned[i].Braces {
			if o.Z[0] < c.z[1]+1 && c.z[0] < o.Z[1]+1 && !apart(o.Outline, own, clear*section.MiterLimit) &&
				len(section.Intersect(section.Offset(o.Outline, clear/2, section.Miter), own)) > 0 {
				return true
			}
		}
		for _, r := range planned[i].Ribs {
			if r.Bottom > c.z[1] || r.Top < c.z[0] {
				continue
			}
			for _, s := range across(r.Outline, (c.z[0]+c.z[1])/2) {
				body := section.Polygons{bar(r.axis, stretch{s.from - clear, s.to + clear}, width+2*clear)}
				if !apart(body, own, 1) && share(body, own) {
					return true
				}
			}
		}
	}
	return false
}

// fouls returns a ceiling that a chain comes too near to, whose strands would be
// laid on it or beside it: its own too, where that slopes.
func (b *bracer) fouls(c *chain) *span.Ceiling {
	lo, hi := box(section.Polygons{c.plan})
	for i := range b.survey.Ceilings {
		o := &b.survey.Ceilings[i]
		if o.Z[0] > c.z[1]+braceClear || o.Z[1] < c.z[0]-b.above(o) {
			continue
		}
		if o.Min[0] > hi[0]+1 || o.Max[0] < lo[0]-1 || o.Min[1] > hi[1]+1 || o.Max[1] < lo[1]-1 {
			continue
		}
		for j := range o.Strips {
			s := &o.Strips[j]
			if s.Z > c.z[1]+braceClear || s.Z < c.z[0]-b.above(o) {
				continue
			}
			g := b.grown(i, j)
			if g.lo[0] > hi[0] || g.hi[0] < lo[0] || g.lo[1] > hi[1] || g.hi[1] < lo[1] {
				continue
			}
			if share(g.plan, section.Polygons{c.plan}) {
				return o
			}
		}
	}
	return nil
}

// A zone is a region in plan with its box.
type zone struct {
	plan   section.Polygons
	lo, hi section.Point
}

// grown is what braces keep out of round a strip of a ceiling. Hundreds of
// braces ask for the same few hundred strips of a slope.
func (b *shaper) grown(ceiling, strip int) zone {
	z, _ := b.round.get([2]int{ceiling, strip}, func() (zone, error) {
		p := section.Offset(b.survey.Ceilings[ceiling].Strips[strip].Footprint, 1, section.Miter)
		lo, hi := box(p)
		return zone{p, lo, hi}, nil
	})
	return z
}
