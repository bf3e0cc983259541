package union

import (
	"context"
	"math"
	"slices"
	"sync"

	"falsework/mesh"
	"falsework/mesh/par"
)

// An operation says what is kept of A and of B: what lies inside the other,
// or outside. flip turns what is kept of B round.
// swell says how a tool that stays in its place gives way to what is flush
// with it: it grows (1) or shrinks (-1) by a vanishing length, see motion.
type operation struct {
	inside [2]bool
	flip   bool
	swell  int
	draw   int     // number of the motion drawn
	thin   float64 // how far the tool was moved: no skin so thin may be left

	lenient bool // let a skin be, and say so
	strict  bool // leave no overlap, for there is nobody to say so to

	known *mesh.Audit        // of A as a whole, when it is at hand and A is closed
	mark  func(stage string) // for those who measure: called as a stage ends
}

var (
	unite     = operation{} // with a tool that is moved off
	combine   = operation{swell: 1, strict: true}
	intersect = operation{inside: [2]bool{true, true}, swell: -1}
	subtract  = operation{inside: [2]bool{false, true}, flip: true, swell: 1}
)

// done says that a stage has ended.
func (op *operation) done(stage string) {
	if op.mark != nil {
		op.mark(stage)
	}
}

func (op operation) unites() bool { return !op.inside[0] && !op.inside[1] }

// A change is what an operation does to mesh A: which of its triangles stay
// untouched, and what comes in place of the others.
type change struct {
	touched  []int32 // triangles of A that may not stay, ascending
	stay     []bool  // which of them do
	keepRest bool    // all other triangles stay
	added    [][3]int32
	fresh    []vec // vertices of added: v of A, or -1-i for fresh[i]

	volume  float64     // volume of A before
	overlap float64     // volume common to A and B
	gain    float64     // volume after rounding, less that of A when keepRest
	move    float64     // greatest displacement by rounding and repairs
	skin    *[3]float64 // where the surface lies on itself, if it does
	cuts    int         // pairs of triangles that cut each other
}

// solve applies an operation to the triangles of a for which in holds (nil:
// all), and a closed solid b.
func solve(a *mesh.Mesh, in func(int32) bool, b *mesh.Mesh, op operation) (*change, error) {
	t := newTree(b)
	reach := reachOf(t, op)
	g := newGrid(b, t, cellsFor(len(a.Triangles)), reach)
	op.done("grid")
	ob := local(b, sequence(len(b.Triangles)))
	first := components(ob)
	queries := make([]vec, len(first))
	for i, v := range first {
		queries[i] = ob.v[v]
	}
	all := gather(a, in, op.known, t, g, reach, queries)
	oa := all.operand
	op.done("gather")
	m := motionOf(b, t, op)
	pairs, err := meetings(oa, ob, m, t)
	if err != nil {
		return nil, err
	}
	w, err := weaveOf(oa, ob, m, pairs)
	if err != nil {
		return nil, err
	}
	op.done("cut")
	where := rims(a, in, &all.open)
	for i := range where {
		if err := where[i].clear(a, b, t); err != nil {
			return nil, err
		}
	}
	if err := w.labelBoth(a, t, g, first, all.over, caps(where)); err != nil {
		return nil, torn(err, a, where)
	}
	for i := range where {
		if err := where[i].within(a, oa); err != nil {
			return nil, err
		}
	}
	op.done("classify")
	c := &change{touched: oa.tid, keepRest: !op.inside[0], volume: all.volume, cuts: len(pairs)}
	p, err := w.pieces(op, c)
	if err != nil {
		return nil, err
	}
	op.done("split")
	if err := p.repair(); err != nil {
		return nil, err
	}
	op.done("repair")
	// Skins are looked for while the rest is proved.
	var skin [3]float64
	var found bool
	par.Each(2, func(k int) {
		if k == 0 {
			skin, found = p.skins(c.stay, op.thin)
			return
		}
		c.take(p)
		err = c.check(a)
	})
	op.done("check")
	if found {
		if !op.lenient {
			return nil, skinned(skin)
		}
		c.skin = &skin
	}
	if err != nil {
		return nil, err
	}
	return c, nil
}

// reachOf is how near a face of A may come to B and make a skin with it.
func reachOf(t *tree, op operation) float32 {
	b := t.nodes[0].box
	far := float32(0)
	for k := range 3 {
		far = max(far, b.hi[k], -b.lo[k])
	}
	return float32(max(2*shortest*ulp(vec{far}), 2*op.thin))
}

func sequence(n int) []int32 {
	s := make([]int32, n)
	for i := range s {
		s[i] = int32(i)
	}
	return s
}

// components returns the first vertex of each piece of an operand that hangs
// together.
func components(o *operand) []int32 {
	l := newLevels(len(o.v))
	for _, k := range o.t {
		l.tie(k[0], k[1], 0)
		l.tie(k[1], k[2], 0)
	}
	var first []int32
	for v := range o.v {
		if r, _ := l.root(int32(v)); r == int32(v) {
			first = append(first, r)
		}
	}
	return first
}

// labelBoth finds the winding numbers of either operand at the vertices of the
// other. over lists, for each of the vertices first of B, the triangles of A
// that may lie over it; caps are triangles that close A where it is open.
func (w *weave) labelBoth(a *mesh.Mesh, t *tree, g *grid, first []int32, over [][]int32, caps [][3]int32) error {
	oa, ob := w.op[0], w.op[1]
	whole := t.nodes[0].box
	var hits []int32
	err := w.label(0, func(v int32) (int32, bool) {
		p := oa.v[v]
		if b := (box{p, p}); !b.meets(whole) || g.clear(&b) {
			return 0, true
		}
		ray := box{p, p}
		ray.hi[2] = whole.hi[2]
		hits = hits[:0]
		t.meeting(ray, func(i int32) { hits = append(hits, i) })
		return w.motion.winding(1, ob.corners, hits, p), true
	})
	if err != nil {
		return err
	}
	of := func(tris [][3]int32) func(int32) (p, q, r vec) {
		return func(i int32) (p, q, r vec) {
			k := tris[i]
			return a.Vertices[k[0]], a.Vertices[k[1]], a.Vertices[k[2]]
		}
	}
	all := sequence(len(caps))
	return w.label(1, func(v int32) (int32, bool) {
		i, ok := slices.BinarySearch(first, v)
		if !ok {
			return 0, false
		}
		return w.motion.winding(0, of(a.Triangles), over[i], ob.v[v]) + w.motion.winding(0, of(caps), all, ob.v[v]), true
	})
}

// pieces splits the cut triangles, cuts what is kept of them into triangles,
// and adds the uncut ones that are kept.
func (w *weave) pieces(op operation, c *change) (*patch, error) {
	p := newPatch(w)
	base := [2]int32{0, int32(len(w.op[0].v))}
	c.stay = make([]bool, len(w.op[0].t))
	around := middle(w.op[1])
	for own := range 2 {
		s := &splitter{w: w, own: own, inside: op.inside[own], base: base}
		flip := own == 1 && op.flip
		o := w.op[own]
		made, err := s.all(p.pos, around)
		if err != nil {
			return nil, err
		}
		next := 0
		for t, k := range o.t {
			t := int32(t)
			whole := sixfold(o, t, around)
			kept := 0.0
			if next < len(w.cuts[own]) && w.cuts[own][next].t == t {
				for _, k := range made[next].tris {
					p.add(k, source{int8(own), flip, t})
				}
				kept = made[next].sixfold
				next++
			} else if (o.wind[k[0]] != 0) == op.inside[own] {
				kept = whole
				if own == 0 {
					c.stay[t] = true
				} else {
					p.add([3]int32{base[1] + k[0], base[1] + k[1], base[1] + k[2]}, source{int8(own), flip, t})
				}
			}
			if op.inside[own] {
				c.overlap += kept / 6
			} else {
				c.overlap += (whole - kept) / 6
			}
			switch {
			case own == 1 || c.stay[t] == c.keepRest:
			case c.stay[t]:
				c.gain += whole / 6
			default:
				c.gain -= whole / 6
			}
		}
	}
	return p, nil
}

// A made is what is kept of one cut triangle.
type made struct {
	tris    [][3]int32
	sixfold float64 // the volume between it and a point, see weave.sixfold
}

// all splits every cut triangle of the operand, side by side: one of them may
// take as long as all others.
func (s *splitter) all(pos []vec, around [3]float64) ([]made, error) {
	cuts := s.w.cuts[s.own]
	out := make([]made, len(cuts))
	errs := make([]error, len(cuts))
	rooms := sync.Pool{New: func() any { return new(room) }}
	// The context is never done, so there is no error from it.
	_ = par.Range(context.Background(), len(cuts), 16, func(from, to int) {
		s := *s
		s.room = rooms.Get().(*room)
		defer rooms.Put(s.room)
		for i := from; i < to; i++ {
			r, err := s.split(&cuts[i])
			if err != nil {
				errs[i] = err
				continue
			}
			out[i] = made{s.fill(cuts[i].t, r, pos), s.w.sixfold(r, cuts[i].t, s.own, around)}
		}
	})
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

// fill triangulates the regions of one triangle.
func (s *splitter) fill(t int32, regions []region, pos []vec) [][3]int32 {
	first := len(s.room.tris)
	for i := range regions {
		r := &regions[i]
		switch {
		case r.turned:
			back := region{outline: slices.Clone(r.outline)}
			slices.Reverse(back.outline)
			n := len(s.room.tris)
			s.region(t, &back, pos)
			for i := range s.room.tris[n:] {
				k := &s.room.tris[n+i]
				k[1], k[2] = k[2], k[1]
			}
		default:
			s.region(t, r, pos)
		}
	}
	n := len(s.room.tris)
	return s.room.tris[first:n:n]
}

// region adds the triangles of a region to those made.
func (s *splitter) region(t int32, r *region, pos []vec) {
	if len(r.outline) == 3 && len(r.holes) == 0 {
		s.room.tris = append(s.room.tris, [3]int32{r.outline[0], r.outline[1], r.outline[2]})
		return
	}
	v := viewOf(s.w.op[s.own].corners(t))
	p := &s.room.poly
	p.clear(&s.room.clipper)
	p.sides = func() map[int32]uint8 { return s.sides(t) }
	p.ring(r.outline, v, pos)
	for _, h := range r.holes {
		p.ring(h, v, pos)
	}
	for _, k := range p.triangulate() {
		s.room.tris = append(s.room.tris, [3]int32{p.id[k[0]], p.id[k[1]], p.id[k[2]]})
	}
}

// sides tells for what lies on the border of a triangle which of its sides it
// lies on, a bit each.
func (s *splitter) sides(t int32) map[int32]uint8 {
	rim := make(map[int32]uint8)
	first := s.w.pointBase()
	for c, v := range s.w.op[s.own].t[t] {
		rim[s.corner(v)] |= 1<<c | 1<<((c+2)%3)
		if e := s.w.edgeOf[s.own][t][c]; e >= 0 {
			for _, p := range s.w.edges[s.own][e].points {
				rim[first+p] |= 1 << c
			}
		}
	}
	return rim
}

func middle(o *operand) (m [3]float64) {
	if len(o.v) == 0 {
		return m
	}
	b := box{o.v[0], o.v[0]}
	for _, p := range o.v {
		b = b.join(box{p, p})
	}
	for k := range 3 {
		m[k] = (float64(b.lo[k]) + float64(b.hi[k])) / 2
	}
	return m
}

// sixfold is six times the volume between a triangle and a point.
func sixfold(o *operand, t int32, from [3]float64) float64 {
	a, b, c := o.corners(t)
	return det(less3(a, from), less3(b, from), less3(c, from))
}

// sixfold of regions uses that they are plane: any fan over their outlines
// has their area.
func (w *weave) sixfold(regions []region, t int32, own int, from [3]float64) float64 {
	a, _, _ := w.op[own].corners(t)
	o := less3(a, from)
	sum := 0.0
	ring := func(ids []int32) {
		off := func(id int32) [3]float64 {
			p := w.at64(id)
			return [3]float64{p[0] - from[0], p[1] - from[1], p[2] - from[2]}
		}
		first := off(ids[0])
		p := first
		for _, id := range ids[1:] {
			q := off(id)
			sum += det(o, p, q)
			p = q
		}
		sum += det(o, p, first)
	}
	for _, r := range regions {
		ring(r.outline)
		for _, h := range r.holes {
			ring(h)
		}
	}
	return sum
}

func less3(p vec, from [3]float64) [3]float64 {
	return [3]float64{float64(p[0]) - from[0], float64(p[1]) - from[1], float64(p[2]) - from[2]}
}

func det(a, b, c [3]float64) float64 { return dot(a, cross(b, c)) }

// take turns the patch into the change.
func (c *change) take(p *patch) {
	around := middle(p.w.op[1])
	number := make([]int32, len(p.pos))
	vid := p.w.op[0].vid
	for t, k := range p.tri {
		if p.dead[t] {
			continue
		}
		for _, v := range k {
			if v >= p.free && number[v] == 0 {
				c.fresh = append(c.fresh, p.pos[v])
				number[v] = -int32(len(c.fresh))
			}
		}
		c.gain += det(less3(p.pos[k[0]], around), less3(p.pos[k[1]], around), less3(p.pos[k[2]], around)) / 6
		for i, v := range k {
			if v < p.free {
				k[i] = vid[v]
			} else {
				k[i] = number[v]
			}
		}
		c.added = append(c.added, k)
	}
	far := 0.0
	for i := range p.w.points {
		at := p.w.points[i].at
		d := less3(rounded(at), at)
		far = max(far, dot(d, d))
	}
	c.move = max(p.moved, math.Sqrt(far))
}
