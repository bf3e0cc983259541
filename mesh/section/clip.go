package section

// Union returns the points in a or b.
func Union(a, b Polygons) Polygons { return combine(ruleUnion, []Polygons{a}, []Polygons{b}) }

// Intersect returns the points in both a and b.
func Intersect(a, b Polygons) Polygons { return combine(ruleIntersect, []Polygons{a}, []Polygons{b}) }

// Subtract returns the points of a not in b.
func Subtract(a, b Polygons) Polygons { return combine(ruleSubtract, []Polygons{a}, []Polygons{b}) }

// Growth returns the points of a not in b, where both are regions as sections
// and the functions here return them: of oriented simple rings. Winding numbers
// are then 0 or 1, and their difference tells what is left; borders common to
// both cancel before the overlay, so that layers that differ little cost little.
func Growth(a, b Polygons) Polygons {
	g := GridFor(max(reach(a), reach(b)))
	o := takeOverlay()
	es := g.edges(o.es[:0], a, 0)
	own := len(es)
	es = g.edges(es, b, 0)
	for i := own; i < len(es); i++ {
		es[i].w[0] = -es[i].w[0]
	}
	return g.region(o, es, rulePositive)
}

// Xor returns the points in exactly one of a and b.
func Xor(a, b Polygons) Polygons { return combine(ruleXor, []Polygons{a}, []Polygons{b}) }

// UnionAll returns the points in any of the regions, in one pass. Opposite
// windings do not cancel each other as long as each operand is a region of its
// own; rings of raw, unoriented outlines belong to [Nonzero].
func UnionAll(ps ...Polygons) Polygons { return combine(ruleUnion, ps, nil) }

// SubtractAll returns the points of a in none of the regions bs, in one pass.
func SubtractAll(a Polygons, bs ...Polygons) Polygons {
	return combine(ruleSubtract, []Polygons{a}, bs)
}

// Nonzero returns the points around which the rings, taken together, wind a
// number of times that is not zero. The rings may cross and overlap.
func Nonzero(rings Polygons) Polygons { return combine(ruleUnion, []Polygons{rings}, nil) }

// combine overlays two lists of regions.
func combine(r rule, as, bs []Polygons) Polygons {
	g := GridFor(max(reach(as...), reach(bs...)))
	o := takeOverlay()
	es := o.es[:0]
	for _, a := range as {
		es = g.edges(es, a, 0)
	}
	for _, b := range bs {
		es = g.edges(es, b, 1)
	}
	return g.region(o, es, r)
}

// edges appends the edges of p's finite rings as those of operand op.
func (g Grid) edges(es []edge, p Polygons, op int) []edge {
	scale := 1 / g.Step()
	for _, r := range p {
		if len(r) < 3 || !finite(r) {
			continue
		}
		last := g.snap(r[len(r)-1], scale)
		for _, q := range r {
			k := g.snap(q, scale)
			es = addEdge(es, last, k, op)
			last = k
		}
	}
	return es
}

// region nodes the edges and returns the region the rule makes of them. The
// edges and the overlay are used up.
func (g Grid) region(o *overlay, es []edge, r rule) Polygons {
	out := g.polygons(o.chain(o.borders(o.node(es), r)))
	o.done(es)
	return out
}

// polygons returns grid rings in millimetres.
func (g Grid) polygons(rings [][]ipt) Polygons {
	if len(rings) == 0 {
		return nil
	}
	n := 0
	for _, r := range rings {
		n += len(r)
	}
	step := g.Step()
	store := make([]Point, 0, n)
	out := make(Polygons, len(rings))
	for i, r := range rings {
		from := len(store)
		for _, p := range r {
			store = append(store, g.point(p, step))
		}
		out[i] = store[from:len(store):len(store)]
	}
	return out
}
