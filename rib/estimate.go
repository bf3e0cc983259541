package rib

import (
	"fmt"
	"math"
	"strings"

	"falsework/mesh/section"
)

// totals sums the plan. Volumes follow from the shapes; mass, filament and
// time are estimates from the assumptions in [Material]: beads as wide as a
// rib and a layer high, laid at one speed, with a travel of one bay from rib
// to rib on every layer.
func (m *maker) totals() {
	p := m.plan
	t := &p.Totals
	mat, sv := p.Settings.Material, p.Survey.Settings
	var travel float64
	for i := range p.Ceilings {
		c := &p.Ceilings[i]
		if !c.Ribbed() {
			continue
		}
		t.Volume += c.Volume
		t.Sheets += c.Sheets
		for _, k := range c.Cuts {
			t.CutLength += k.Length
			t.Cuts++
		}
		for _, r := range c.Ribs {
			travel += float64((r.Top - r.Bottom) / sv.Layer * min(c.Bay, p.Settings.Spacing))
		}
		t.SupportVolume += float64(m.below(i) * mat.Support)
	}
	bead := float64(p.Settings.Width * sv.Layer)
	t.Mass = t.Volume / 1e3 * mat.Density
	t.Filament = mat.length(t.Volume)
	t.Minutes = (t.Volume/bead/mat.Speed + travel/mat.Travel) / 60
	t.SupportMinutes = t.SupportVolume / bead / mat.Speed / 60
}

// length is the filament that a volume takes, in millimetres.
func (m Material) length(volume float64) float64 {
	return volume / (math.Pi / 4 * m.Diameter * m.Diameter)
}

// below is the volume between a ceiling and what lies under it: what ordinary
// full support would stand in.
func (m *maker) below(i int) float64 {
	c := &m.plan.Survey.Ceilings[i]
	cells, _ := middles(c.Footprint, 0.5)
	var sum float64
	for _, q := range cells {
		z, f := m.probes.clear(q, c.Z)
		sum += max(0, z-f)
	}
	if len(cells) == 0 {
		return 0
	}
	return sum / float64(len(cells)) * section.Polygons(c.Footprint).Area()
}

// warn collects what the maker of the part should know before printing.
func (m *maker) warn() {
	p := m.plan
	say := func(format string, a ...any) { p.Warnings = append(p.Warnings, fmt.Sprintf(format, a...)) }
	b := p.Survey.Bounds
	for k, axis := range []string{"x", "y", "z"} {
		size, bed := b.Max[k]-b.Min[k], p.Settings.Bed[k]
		if bed > 0 && size > bed {
			say("the part is %.1f mm in %s, the bed given only %.1f mm", size, axis, bed)
		}
	}
	m.warnFeet(say)
	for _, c := range p.Ceilings {
		m.warnUnsteady(&c, say)
	}
	if n, z := m.thinWalls(); n >= 2 {
		say("the part seems to carry ribs already: %d walls about one bead thick at height %.1f", n, z)
	}
	if spool := p.Settings.Material.Spool; spool > 0 {
		need := Printing(m.part, p.Survey.Settings, p.Settings.Material).Mass + p.Totals.Mass
		if need > spool {
			say("the spool holds %.0f g, part and ribs need about %.0f g (estimate: three walls of %.1f mm and 15%% infill, %.2f g/cm3)",
				spool, need, p.Survey.Settings.Nozzle, p.Settings.Material.Density)
		}
	}
	if p.Settings.Sealed {
		for _, c := range p.Ceilings {
			if c.Ribbed() && m.sealed(&p.Survey.Ceilings[m.number(c.ID)]) {
				say("ceiling %d lies in a sealed cavity: its ribs cannot be taken out", c.ID)
			}
		}
	}
}

// mostNamed is how many unsteady ribs of a ceiling a warning names: the plan
// names all.
const mostNamed = 3

// warnUnsteady names the ribs that may work loose, with what is in the way of
// a brace and what to do.
func (m *maker) warnUnsteady(c *CeilingPlan, say func(string, ...any)) {
	if len(c.Unsteady) == 0 {
		return
	}
	bed := m.plan.Survey.Bounds.Min[2]
	var where []string
	for _, u := range c.Unsteady[:min(len(c.Unsteady), mostNamed)] {
		r := c.Ribs[u.Rib]
		where = append(where, fmt.Sprintf("rib %d (from %.1f, %.1f to %.1f, %.1f) at %.1f, %.1f, %.1f mm above the bed: %s",
			u.Rib+1, r.From[0], r.From[1], r.To[0], r.To[1], u.At[0], u.At[1], u.At[2]-bed, u.Why))
	}
	if n := len(c.Unsteady) - mostNamed; n > 0 {
		where = append(where, fmt.Sprintf("and %d more, which the plan (--plan) names", n))
	}
	say("ceiling %d: %d of its %d ribs could not be braced as steadily as the rule asks and may work loose: %s; try a larger --rib-width, a smaller --spacing or another pose, and print a proof first",
		c.ID, len(c.Unsteady), len(c.Ribs), strings.Join(where, "; "))
}

// number is the index of a ceiling.
func (m *maker) number(id int) int {
	for i := range m.plan.Survey.Ceilings {
		if m.plan.Survey.Ceilings[i].ID == id {
			return i
		}
	}
	return 0
}

// warnFeet tells when pads make the footprint on the bed larger than it.
func (m *maker) warnFeet(say func(string, ...any)) {
	p := m.plan
	b := p.Survey.Bounds
	lo, hi := section.Point{b.Min[0], b.Min[1]}, section.Point{b.Max[0], b.Max[1]}
	for _, c := range p.Ceilings {
		for _, f := range c.Feet {
			l, h := box(f.Outline)
			for k := range lo {
				lo[k], hi[k] = min(lo[k], l[k]), max(hi[k], h[k])
			}
		}
	}
	for k, axis := range []string{"x", "y"} {
		bed := p.Settings.Bed[k]
		if bed > 0 && b.Max[k]-b.Min[k] <= bed && hi[k]-lo[k] > bed {
			say("with the feet of the ribs the part is %.1f mm in %s, the bed given only %.1f mm", hi[k]-lo[k], axis, bed)
		}
	}
}

// thinWalls counts long walls about one rib thick at a few heights: a sign
// that the part carries ribs already.
func (m *maker) thinWalls() (n int, z float64) {
	slices := m.slices
	if slices == nil { // nothing to rib: perhaps just because it is ribbed
		slices = newLayers(m.plan.Survey)
	}
	b := m.plan.Survey.Bounds
	r := 0.7 * m.plan.Settings.Width
	for k := 1; k <= 5; k++ {
		at := b.Min[2] + float64(float64(k)/6*(b.Max[2]-b.Min[2]))
		s := slices.of(slices.nearest(at))
		thick := section.Offset(section.Offset(s, -r, section.Miter), r+0.05, section.Miter)
		found := 0
		for _, ring := range section.Subtract(s, thick) {
			// A wall of one bead: long, and no wider than a bead all along.
			var border float64
			for i, q := range ring {
				border += dist(q, ring[(i+1)%len(ring)])
			}
			if a := ring.Area(); a > 2*m.plan.Settings.Width && border > 2*2 && a/(border/2) > 0.6*m.plan.Settings.Width {
				found++
			}
		}
		if found > n {
			n, z = found, at
		}
	}
	return n, z
}
