package span

import (
	"fmt"
	"math"

	"falsework/mesh/section"
)

// Figures of the method (see the package comment).
const (
	lowGap      = 2.0 // clear height under which no blade gets in
	smallIsland = 2.0 // disc that must fit into an island worth a rib
)

// judge reads the verdict off a piece, with what is measured on its sheet by the
// limits that it is held to; false means that it is none worth listing.
func (s *Survey) judge(p *piece, under *undersides, o Options, measure func(limits) load) (Ceiling, bool) {
	sh := p.sheet
	c := Ceiling{Footprint: p.foot, Area: p.foot.Area(), On: "part", Limit: s.Settings.Limit}
	if len(sh.at) == 0 {
		return c, false
	}
	lo, hi := bounds(p.foot)
	c.Min, c.Max = [2]float64(lo), [2]float64(hi)
	c.Z = p.heights(under)
	for _, u := range p.units {
		if n := len(c.Strips); n > 0 && c.Strips[n-1].Layer == u.k {
			c.Strips[n-1].Footprint = append(c.Strips[n-1].Footprint, u.foot...)
			continue
		}
		c.Strips = append(c.Strips, Strip{u.k, s.cuts.st.lower(u.k), append(section.Polygons(nil), u.foot...)})
	}
	limit := zoneLimits(o.Zones, p, c, s.Settings.Limit)
	c.Held, c.Free = lines(sh.rims)
	if o.OnRib != nil && p.onRib(c, o.OnRib) {
		c.On = "rib"
	}
	l := measure(limit)
	c.Limit = limit.most
	if l.hang > s.Settings.Ledge+over && l.hangNode >= 0 {
		c.Limit = limit.at(l.hangNode)
	}
	if l.held && !l.cut && l.reach <= 2*s.Settings.Nozzle {
		return c, false // a bead or two laid beside others
	}
	s.decide(&c, p, l)
	if c.NeedsRibs {
		c.Hanging = p.sheet.hanging(l, s.Settings.Ledge)
	}
	if c.Kind == Ledge && !c.NeedsRibs && l.hang <= 2*s.Settings.Nozzle {
		return c, false // so is each of its steps
	}
	return c, true
}

// fits reports whether a disc of the given diameter fits into a region.
func fits(p section.Polygons, diameter float64) bool { return !empty(middles(p, diameter)) }

// middles returns where the middle of a disc that fits into a region may lie; a
// region just as wide as the disc has some.
func middles(p section.Polygons, diameter float64) section.Polygons {
	return section.Offset(p, -(diameter/2 - 1e-3), section.Miter)
}

// decide sets kind, verdict and reason.
func (s *Survey) decide(c *Ceiling, p *piece, l load) {
	ledge, limit := s.Settings.Ledge, c.Limit
	c.Reach, c.Span = l.reach, math.Inf(1)
	c.Hang, c.HangAt = l.hang, [2]float64(l.hangAt)
	onBridge, onLedge := s.doubt(p)
	switch {
	case !l.held:
		c.Kind = Island
		c.Reach, c.Hang = math.Inf(1), math.Inf(1)
		c.NeedsRibs = true
		c.Why = "begins in mid-air: nothing holds it"
		if !fits(p.foot, smallIsland) {
			c.Small = true
			c.Why += "; too small to rib"
		}
	case l.cut:
		c.Kind = Island
		c.Reach, c.Hang = math.Inf(1), math.Inf(1)
		c.NeedsRibs = true
		c.Why = "some of it begins in mid-air: nothing holds it"
	case l.hang > ledge+over:
		c.NeedsRibs = true
		if l.bridges {
			c.Kind = Bridge
			c.Span = l.span
			if !math.IsInf(l.strand, 1) {
				c.Span = max(l.span, l.strand)
			}
			c.Why = fmt.Sprintf("bridge of %.1f mm over the limit of %g mm", c.Span, limit)
			c.AtLimit = c.Span-limit-over < onBridge
		} else {
			c.Kind = Ledge
			c.Reach = l.hang
			c.Why = fmt.Sprintf("ledge of %.1f mm, more than %g mm hang free", l.hang, ledge)
			c.AtLimit = l.hang-ledge-over < onLedge
		}
	case l.ridge || l.reach > ledge && l.span > 0:
		c.Kind = Bridge
		c.Span = l.span
		if c.Span > limit+over {
			c.Why = fmt.Sprintf("bridge of %.1f mm, but nothing is further than %g mm from what holds", c.Span, ledge)
			c.AtLimit = c.Span-limit-over < onBridge || ledge+over-l.hang < onLedge
		} else {
			c.Why = fmt.Sprintf("bridge of %.1f mm within the limit of %g mm", c.Span, limit)
			// Where all is within the ledge a string over the furthest point would
			// carry it, were it further.
			c.AtLimit = l.reach > ledge && (limit+over-c.Span < onBridge || l.hang > 0 && ledge+over-l.hang < onLedge)
		}
	default:
		c.Kind = Ledge
		c.Reach = l.hang
		c.Why = fmt.Sprintf("ledge of %.1f mm within %g mm", l.hang, ledge)
		c.AtLimit = ledge+over-l.hang < onLedge
	}
	if c.AtLimit {
		c.Why += "; at the limit"
	}
	if c.NeedsRibs && s.isLow(p, l, ledge) {
		c.Low = true
		c.Why += fmt.Sprintf("; clear height under %g mm, no blade gets in", lowGap)
	}
}

// doubt returns how far the span of a bridge and the depth of a ledge may be off:
// a cell and, where the underside rises, what the height and the place of the
// layers move it by (see the package comment).
func (s *Survey) doubt(p *piece) (bridge, ledge float64) {
	const arch = 0.5
	bridge, ledge = p.sheet.cell, p.sheet.cell
	if !p.sheet.flat() {
		bridge = max(bridge, arch)
		// One layer where it leaves what holds it, one where it ends.
		ledge = max(ledge, 2*s.Settings.Layer*math.Tan(s.Settings.Slope*math.Pi/180))
	}
	return bridge, ledge
}

// zoneLimits returns the limits that a ceiling is held to: those of the zones that
// hold its places, else the general one. Where some hundred places agree, so do all.
func zoneLimits(zones []Zone, p *piece, c Ceiling, general float64) limits {
	var near []Zone
	var in []*locator
	for _, z := range zones {
		if z.Z[0] <= c.Z[1]+lowGap && z.Z[1] >= c.Z[0]-lowGap {
			near, in = append(near, z), append(in, newLocator(z.Footprint))
		}
	}
	if len(near) == 0 {
		return limits{most: general}
	}
	sheet := p.sheet
	at := func(n int32) float64 {
		q := sheet.pos(n)
		least, found := math.Inf(1), false
		for i, z := range near {
			if z.Limit < least && in[i].has(q) {
				least, found = z.Limit, true
			}
		}
		if !found {
			return general
		}
		return least
	}
	out := limits{most: at(0)}
	agree := true
	for n := 0; n < len(sheet.at); n += 1 + len(sheet.at)/400 {
		agree = agree && at(int32(n)) == out.most
	}
	if agree {
		return out
	}
	out.each = make([]float64, len(sheet.at))
	for n := range out.each {
		out.each[n] = at(int32(n))
		out.most = max(out.most, out.each[n])
	}
	return out
}

// hanging returns some of the places, with their height, that hang: a hundred at
// most and the one that hangs furthest; none where all begins in mid-air.
func (s *sheet) hanging(l load, ledge float64) (out [][3]float64) {
	if !l.held || l.cut {
		return nil
	}
	var all []int32
	for n, h := range l.hangs {
		if h > ledge+over {
			all = append(all, int32(n))
		}
	}
	put := func(n int32) {
		q := s.pos(n)
		out = append(out, [3]float64{q[0], q[1], s.z[n]})
	}
	for i := 0; i < len(all); i += 1 + len(all)/100 {
		put(all[i])
	}
	if l.hangNode >= 0 {
		put(l.hangNode)
	}
	return out
}

// onRib asks whether most of the underside belongs to ribs.
func (p *piece) onRib(c Ceiling, is func([3]float64) bool) bool {
	in, all := 0, 0
	for n := 0; n < len(p.sheet.at); n += 1 + len(p.sheet.at)/100 {
		q := p.sheet.pos(int32(n))
		all++
		z := min(max(p.sheet.z[n], c.Z[0]), c.Z[1])
		if is([3]float64{q[0], q[1], z}) {
			in++
		}
	}
	return 2*in > all
}

// isLow reports whether there is something close below every place that
// needs a rib.
func (s *Survey) isLow(p *piece, l load, ledge float64) bool {
	st := s.cuts.st
	for n, h := range l.hangs {
		if h <= ledge {
			continue
		}
		q, z := p.sheet.pos(int32(n)), p.sheet.z[n]
		low := z-st.z0 < lowGap
		for k := st.of(z+st.height/2) - 2; k >= 0 && !low && z-st.lower(k+1) < lowGap; k-- {
			low = s.cuts.has(k, q)
		}
		if !low {
			return false
		}
	}
	return true
}

// lines joins rims that follow one another into polylines, held and free ones
// apart.
func lines(rims []rim) (held, free [][]Point) {
	for i := 0; i < len(rims); {
		j := i + 1
		for j < len(rims) && rims[j].held == rims[i].held && rims[j].a == rims[j-1].b {
			j++
		}
		row := []Point{rims[i].a}
		for _, r := range rims[i:j] {
			row = append(row, r.b)
		}
		if rims[i].held {
			held = append(held, row)
		} else {
			free = append(free, row)
		}
		i = j
	}
	return held, free
}

// A Judgement says how far a ceiling is from being carried.
type Judgement struct {
	Reach   float64    // greatest distance inside the footprint to a held edge or rib
	Hang    float64    // greatest distance to anything held or carried by a strand within the limit
	At      [2]float64 // where Hang is greatest
	ReachAt [2]float64
}

// Judge computes reach and hang of ceiling id (its ID) with ribs as further held
// places (regions in plan as thick as the ribs) and strands up to limit. It
// may be called from several goroutines.
func (s *Survey) Judge(id int, ribs section.Polygons, limit float64) (Judgement, error) {
	if id < 1 || id > len(s.Ceilings) {
		return Judgement{}, fmt.Errorf("no ceiling %d: there are %d", id, len(s.Ceilings))
	}
	sheet := s.pieces[id-1].laid(s.rise()+0.5, s.Settings.Nozzle)
	m := takeMemory()
	defer m.done()
	return sheet.measured(m).try(ribs, limit, s.Settings.Ledge, s.Settings.Slope), nil
}
