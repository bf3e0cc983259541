package span

import (
	"cmp"
	"context"
	"math"
	"slices"

	"falsework/mesh"
	"falsework/mesh/section"
)

// read is the way from layers to ceilings, stage by stage.
func (s *Survey) read(ctx context.Context, m *mesh.Mesh, o Options, st stack, act activity) (*Survey, error) {
	c := newCuts(section.NewSlicer(m), st)
	s.cuts = c
	s.ground = &ground{c: c}
	var hot []int
	for k := 1; k < st.n; k++ {
		if act.hang[k] {
			hot = append(hot, k)
		}
	}
	window := int(math.Floor(s.Settings.Ledge/math.Tan(s.Settings.Slope*math.Pi/180)/s.Settings.Layer + 1e-9))
	total := 2 * len(hot)
	tick := func(base int) func(int) {
		if o.Progress == nil {
			return nil
		}
		return func(done int) { o.Progress(base+done, total) }
	}
	slabs := make([]slab, st.n)
	err := forEach(ctx, len(hot), tick(0), func(i int) error {
		var err error
		slabs[hot[i]], err = hangAt(c, hot[i], s.Settings.Slope)
		return err
	})
	if err != nil {
		return nil, err
	}
	under, err := findUndersides(ctx, m, st, act.down, nearHang(slabs, act.lean, window))
	if err != nil {
		return nil, err
	}
	if err := growNear(ctx, c, slabs, act.lean, window, under, s.Bounds); err != nil {
		return nil, err
	}
	g, err := findGround(ctx, c, act.birth, slabs, o.Carried, s.Settings.Slope, max(window, 1))
	if err != nil {
		return nil, err
	}
	s.ground = g
	j := &joiner{c: c, g: g, slabs: slabs, slope: s.Settings.Slope, window: max(window, 1),
		cell: joinCell(st, s.Settings), origin: Point{s.Bounds.Min[0], s.Bounds.Min[1]},
		rounding: lastPlaces(s.Bounds), near: map[[2]int][]Point{}, touch: map[[2]int]bool{}}
	if err := j.addUnits(ctx); err != nil {
		return nil, err
	}
	j.findTouching()
	if err := j.joinSteps(); err != nil {
		return nil, err
	}
	j.joinSelf()
	if err := s.judgeAll(ctx, under, o, j, tick(len(hot))); err != nil {
		return nil, err
	}
	if c.open.Load() && o.Warn != nil {
		o.Warn("the surface is open: gaps in its sections were closed straight")
	}
	if o.Progress != nil {
		o.Progress(total, total)
	}
	return s, nil
}

// lastPlaces is how far apart in plan two corners can be that were one before
// they were rounded to float32: for each a unit in the last place of the part's
// largest coordinate.
func lastPlaces(b mesh.Box) float64 {
	most := 0.0
	for k := range 2 {
		most = max(most, math.Abs(b.Min[k]), math.Abs(b.Max[k]))
	}
	_, e := math.Frexp(most)
	return 2 * math.Ldexp(1, e-24)
}

// joinCell is the lattice on which pieces are seen to touch: finer than the
// narrowest strip that a layer can leave hanging.
func joinCell(st stack, s Settings) float64 {
	d := st.height * math.Tan((s.Slope+tolerance)*math.Pi/180)
	return min(0.2, d, s.Nozzle/2) / 1.5
}

// judgeAll turns groups of units into judged ceilings, in order.
func (s *Survey) judgeAll(ctx context.Context, under *undersides, o Options, j *joiner, tick func(int)) error {
	groups := j.charts(j.groups())
	turns := j.largestFirst(groups)
	pieces := make([]result, len(groups))
	err := forEach(ctx, len(groups), nil, func(turn int) error {
		i := turns[turn]
		pieces[i].p, pieces[i].thin = s.piece(j, groups[i])
		return nil
	})
	if err != nil {
		return err
	}
	// Equal pieces are measured once.
	kin := alike(pieces, turns)
	err = forEach(ctx, len(kin), tick, func(i int) error {
		s.judgeAlike(kin[i], under, o)
		return nil
	})
	if err != nil {
		return err
	}
	var results []*result
	for i := range pieces {
		if pieces[i].ok {
			results = append(results, &pieces[i])
		}
	}
	slices.SortStableFunc(results, func(a, b *result) int {
		return cmp.Or(cmp.Compare(a.c.Z[0], b.c.Z[0]), cmp.Compare(a.c.Min[1], b.c.Min[1]), cmp.Compare(a.c.Min[0], b.c.Min[0]))
	})
	for i, r := range results {
		r.c.ID = i + 1
		s.Ceilings = append(s.Ceilings, r.c)
		s.pieces = append(s.pieces, r.p)
	}
	return nil
}

// largestFirst returns the order in which groups are best taken on by several
// cores: a wide roof comes last in the part, and the others would wait for it.
func (j *joiner) largestFirst(groups [][]int) []int {
	order, size := make([]int, len(groups)), make([]float64, len(groups))
	for i, g := range groups {
		order[i] = i
		for _, n := range g {
			size[i] += j.units[n].area(j.cell)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(size[b], size[a]) })
	return order
}

// piece puts a group of units together, or gives nil when no bead fits. A group
// too narrow for a bead, but not laid beside anything, is a keel: it counts
// with what it grows to, and is thin.
func (s *Survey) piece(j *joiner, group []int) (p *piece, thin bool) {
	pick := func(group []int) *piece {
		return newPiece(s.cuts, s.ground, j.pick(group))
	}
	p = pick(group)
	if !p.fits(s.Settings.Nozzle) {
		var held, all float64
		for _, r := range p.border(s.Settings.Nozzle) {
			all += r.length()
			if r.held {
				held += r.length()
			}
		}
		if held > all/3 {
			return nil, false
		}
		p, thin = pick(j.extend(group)), true
		if !p.fits(s.Settings.Nozzle) {
			return nil, false
		}
	}
	p.rims = p.border(s.Settings.Nozzle)
	return p, thin
}

// rise is how far apart in height two pieces of one ceiling may be where they
// touch.
func (s *Survey) rise() float64 {
	return s.Settings.Ledge / math.Tan(s.Settings.Slope*math.Pi/180)
}
