package rib

import (
	"fmt"
	"math"
	"slices"

	"falsework/mesh/section"
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
	below, above := b.wide(i, layer), b.wide(i, layer+b.s.BraceLayers)
	for _, p := range below {
		for _, q := range above {
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

// wide returns the stretches of a web at the bottom of a layer. The same few
// hundred are asked for by thousands of braces that are tried.
func (b *bracer) wide(i, layer int) []stretch {
	k := [2]int{i, layer}
	s, ok := b.widths[k]
	if !ok {
		if b.widths == nil {
			b.widths = map[[2]int][]stretch{}
		}
		s = across(b.webs[i].Outline, b.slices.bottom(layer))
		b.widths[k] = s
	}
	return s
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
	b.slices.cut(layer, b.s.BraceLayers)
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
		if !b.column && math.Abs(r.left(out.from)) > near*(1+1e-9) {
			continue // no point of it is nearer
		}
		v, d, ok := meet(out, r, b.column)
		if !ok || d > reach || d < 2*b.s.Width || d > min(use[0], use[1]) {
			continue
		}
		if !b.column && (v < b.runs[j].from-float64(braceSkew*d) || v > b.runs[j].to+float64(braceSkew*d)) {
			continue // whatever it offers is too far along
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
