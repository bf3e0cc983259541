package rib

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"falsework/mesh"
	"falsework/mesh/section"
	"falsework/mesh/union"
	"falsework/span"
)

// Evidence is what was measured on the ribbed part: the second survey, made
// with [Plan.Zones] and [Plan.OnRib] on what was read back from the file; the
// report of the union; and the audits of part and result.
type Evidence struct {
	Second        *span.Survey
	Union         union.Report
	Before, After *mesh.Audit
}

// A Verification is the comparison of a plan with what came of it.
type Verification struct {
	Verified bool
	Reasons  []string       // why not, or what is in order
	Found    []span.Ceiling // of the second survey that need ribs, beyond those the plan left
	Left     []int          // numbers of the plan's ceilings that stay unribbed and are a fault
	// Blamed are the numbers of the ribbed or spared ceilings that the reasons concern,
	// ascending; nil when all is in order, or some reason concerns none.
	Blamed  []int
	Closed  bool
	Part    float64 // volumes, mm3
	Ribs    float64
	Overlap float64
	Ribbed  float64
	Reach   float64 // greatest reach found under the ribbed ceilings, mm
}

// Verify compares the second survey, the union and the audits with the plan:
// nothing needs ribs except what the plan itself leaves, ribs, braces and feet
// stand where they were planned, the mesh has no fault that the part did not
// have, and the volumes add up. It also stores the
// result in the plan.
func Verify(p *Plan, e Evidence) *Verification {
	v := &Verification{Part: e.Union.PartVolume, Ribs: e.Union.ToolVolume, Overlap: e.Union.Overlap, Ribbed: e.Union.Volume}
	for _, c := range p.Ceilings {
		if c.Fault {
			v.Left = append(v.Left, c.ID)
		}
	}
	var bad []string
	say := func(format string, a ...any) { bad = append(bad, fmt.Sprintf(format, a...)) }
	blamed := map[int]bool{}
	local := 0 // reasons that concern a ceiling
	for i := range e.Second.Ceilings {
		c := &e.Second.Ceilings[i]
		if under := p.ribbedOver(c); under && !math.IsInf(c.Reach, 1) {
			v.Reach = max(v.Reach, c.Reach)
		}
		if !c.NeedsRibs || p.leaves(c) {
			continue
		}
		v.Found = append(v.Found, *c)
		if p.blame(c, blamed) {
			local++
		}
		say("the second survey finds a ceiling on the %s at %.1f, %.1f, height %.2f: %s", c.On,
			(c.Min[0]+c.Max[0])/2, (c.Min[1]+c.Max[1])/2, c.Z[0], c.Why)
	}
	if gone := p.missing(e.Second); len(gone) > 0 {
		g := gone[0]
		for _, x := range gone {
			blamed[x.of] = true
		}
		local++
		say("the %s planned at %.2f, %.2f, height %.2f is not there, or hangs; so do %d more places", g.what, g.at[0], g.at[1], g.at[2], len(gone)-1)
	}
	for _, f := range newFaults(e.Before, e.After) {
		say("the ribbed mesh has a fault the part had not: %s", f)
	}
	v.Closed = e.After != nil && e.After.Closed()
	if e.Before != nil && e.After != nil && e.Before.Closed() && !v.Closed {
		say("the ribbed mesh is not closed")
	}
	v.volumes(e, say)
	v.Verified = len(bad) == 0
	v.Reasons = bad
	if local == len(bad) {
		v.Blamed = slices.Sorted(maps.Keys(blamed))
	}
	if v.Verified {
		v.Reasons = []string{fmt.Sprintf("surveyed again: no point under a ribbed ceiling further than %.1f mm from what holds it", v.Reach)}
	}
	p.Verified = v
	return v
}

// volumes holds the sums: the result is the part and the ribs less what they
// share, and neither less than the part nor more than both.
func (v *Verification) volumes(e Evidence, say func(string, ...any)) {
	slack := 1e-6*math.Abs(v.Part) + 1e-3*math.Abs(v.Ribs) + 1e-3
	if d := v.Part + v.Ribs - v.Overlap - v.Ribbed; math.Abs(d) > slack || math.IsNaN(d) {
		say("the volumes do not add up: part %.3f, ribs %.3f, overlap %.3f, together %.3f mm3", v.Part, v.Ribs, v.Overlap, v.Ribbed)
	}
	if v.Ribbed < v.Part-slack || v.Ribbed > v.Part+v.Ribs+slack {
		say("the ribbed volume %.3f mm3 lies outside part %.3f to part and ribs %.3f", v.Ribbed, v.Part, v.Part+v.Ribs)
	}
	// What a surface with a hole encloses depends on where it is measured from.
	if v.Closed && e.Union.Loose == 0 && math.Abs(e.After.Volume-v.Ribbed) > slack {
		say("the mesh encloses %.3f mm3, the union said %.3f", e.After.Volume, v.Ribbed)
	}
}

// leaves tells whether the plan itself names a ceiling of the second survey as
// left: skipped by the user, low, small, sealed, not ribbable. One that was to be
// carried is not: that is for the proof to see.
func (p *Plan) leaves(c *span.Ceiling) bool {
	if c.Low || c.Small {
		return c.On != "rib"
	}
	var left []*span.Ceiling
	for i := range p.Ceilings {
		o := &p.Survey.Ceilings[i]
		if p.Ceilings[i].Ribbed() || p.Ceilings[i].Spared || !o.NeedsRibs {
			continue
		}
		if covers(o, c, 1) {
			return true
		}
		left = append(left, o)
	}
	// With its neighbours ribbed, what is left may be one ceiling with them.
	for _, q := range c.Hanging {
		if !slices.ContainsFunc(left, func(o *span.Ceiling) bool { return liesOn(o, q, 1) }) {
			return false
		}
	}
	return len(c.Hanging) > 0
}

// ribbedOver tells whether a ceiling of the second survey is a bay of a ribbed
// one.
func (p *Plan) ribbedOver(c *span.Ceiling) bool {
	if c.On == "rib" {
		return false
	}
	for i := range p.Ceilings {
		if p.Ceilings[i].Ribbed() && covers(&p.Survey.Ceilings[i], c, 1) {
			return true
		}
	}
	return false
}

// blame enters the ribbed ceilings that one of the second survey hangs under, or
// whose ribs it is the underside of, and those that were to be carried and are
// not, and tells whether there are any. Where it hangs under none of them, those
// that it lies within are to blame, or else touches: where a rib cuts a sloped
// ceiling, what is left may run together with its surroundings.
func (p *Plan) blame(c *span.Ceiling, into map[int]bool) bool {
	for _, meets := range []func(o, c *span.Ceiling, slack float64) bool{hangsUnder, covers, touches} {
		found := false
		for i := range p.Ceilings {
			o := &p.Ceilings[i]
			if (o.Ribbed() || o.Spared) && meets(&p.Survey.Ceilings[i], c, 1) || o.Ribbed() && c.On == "rib" && o.built(c) {
				into[o.ID] = true
				found = true
			}
		}
		if found {
			return true
		}
	}
	return false
}

// built tells whether a ceiling of the second survey lies where ribs, braces or
// feet of the plan do, by their boxes.
func (p *CeilingPlan) built(c *span.Ceiling) bool {
	meets := func(outline section.Polygons, z0, z1 float64) bool {
		lo, hi := box(outline)
		return c.Max[0] >= lo[0] && c.Min[0] <= hi[0] && c.Max[1] >= lo[1] && c.Min[1] <= hi[1] && c.Z[1] >= z0-1 && c.Z[0] <= z1+1
	}
	for _, r := range p.Ribs {
		lo, hi := box(r.Outline)
		if meets(section.Polygons{bar(r.axis, stretch{lo[0], hi[0]}, 1)}, r.Bottom, r.Top) {
			return true
		}
	}
	for _, b := range p.Braces {
		if meets(b.Outline, b.Z[0], b.Z[1]) {
			return true
		}
	}
	for _, f := range p.Feet {
		if meets(f.Outline, f.Z[0], f.Z[1]) {
			return true
		}
	}
	return false
}

// hangsUnder tells whether a ceiling hangs where another was.
func hangsUnder(o, c *span.Ceiling, slack float64) bool {
	return slices.ContainsFunc(c.Hanging, func(q [3]float64) bool { return liesOn(o, q, slack) })
}

// liesOn tells whether a place lies on a ceiling, or that near to it.
func liesOn(o *span.Ceiling, q [3]float64, slack float64) bool {
	if q[2] <= o.Z[0]-slack || q[2] >= o.Z[1]+slack {
		return false
	}
	at := section.Point{q[0], q[1]}
	return inside(o.Footprint, at) || borderWithin(o.Footprint, at, at, slack)
}

// covers tells whether a ceiling lies within another, by bounds and height.
func covers(o, c *span.Ceiling, slack float64) bool {
	for k := range o.Min {
		if c.Min[k] < o.Min[k]-slack || c.Max[k] > o.Max[k]+slack {
			return false
		}
	}
	return c.Z[0] > o.Z[0]-slack && c.Z[1] < o.Z[1]+slack
}

// touches tells whether two ceilings meet, by bounds and height.
func touches(o, c *span.Ceiling, slack float64) bool {
	for k := range o.Min {
		if c.Max[k] < o.Min[k]-slack || c.Min[k] > o.Max[k]+slack {
			return false
		}
	}
	return c.Z[1] > o.Z[0]-slack && c.Z[0] < o.Z[1]+slack
}

// newFaults are the kinds of fault that the result has and the part had not,
// or has more of.
func newFaults(before, after *mesh.Audit) []string {
	if before == nil || after == nil {
		return nil
	}
	var out []string
	for i := range after.Faults {
		f := &after.Faults[i]
		old := before.Fault(f.Kind)
		if old == nil || f.Count > old.Count {
			out = append(out, f.Error())
		}
	}
	return out
}

// Status is what the command's exit status says of a verified or refuted plan:
// 0 done, 3 written and verified but some ceilings could not be ribbed, 1 our
// own fault.
func (v *Verification) Status() int {
	switch {
	case !v.Verified:
		return 1
	case len(v.Left) > 0:
		return 3
	}
	return 0
}
