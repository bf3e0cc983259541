package rib

import (
	"math"

	"falsework/rib/web"
	"falsework/span"
)

// Weights of the closed-form cost. The cost of a layout is the volume of its
// webs and braces in cubic millimetres, plus what cutting it free is taken to
// be worth: so that of two layouts with the same material the one with less to
// cut is chosen, and material decides otherwise. A leg less deep than legDepth
// outside the opening of a thin wall counts as if it were so deep: what it saves
// in material it loses in stiffness.
const (
	cutWeight  = 0.5  // mm3 per mm of crest cut
	ribWeight  = 1.0  // mm3 per rib: one more thing to take out
	braceFuss  = 60.0 // mm2 of web per brace at a web: one more strip to cut, as package web has it
	legDepth   = 6.0  // depth of a leg, mm
	crestBand  = 2.0  // height of the band under the ceiling, mm
	braceDepth = 3.5  // depth of a brace beyond a thin wall, mm
	thinWall   = 6.0  // walls up to this get plain columns
	oblique    = 1.03 // for ribs that run neither along nor across a wall
)

// flank is the rise of an arch flank for its run: one degree steeper than the
// slope limit.
func flank(slope float64) float64 { return 1 / math.Tan((slope-1)*math.Pi/180) }

// cost estimates a layout from probes alone; no web is drawn.
func (v *view) cost(l layout) float64 {
	var sum float64
	for _, r := range l.lines {
		sum += v.lineCost(r, l.bay)
	}
	if l.oblique {
		sum *= oblique
	}
	return sum
}

func (v *view) lineCost(r ribLine, bay float64) float64 {
	n := min(24, max(3, int(r.under.length()/4)))
	var high float64
	for i := 0; i < n; i++ {
		q := r.at(r.under.from + float64((float64(i)+0.5)/float64(n)*r.under.length()))
		c, f := v.at.clear(q, v.c.Z)
		high += max(0, c-f)
	}
	high /= float64(n)
	rule := web.Settings{Slenderness: v.s.Slenderness, Width: v.s.Width}
	alone, slight := v.s.BracePitch, 0.0
	if !v.column(r) {
		alone = rule.FreeLength(r.under.length())
		slight = max(0, legDepth-r.under.length()) * high
	}
	area, braces := webArea(r.under.length(), high, r.hold, flank(v.sv.Slope), alone, rule.FreeLength(legDepth))
	if v.thin > 0 && v.c.Kind == span.Ledge { // a bracket springs from its wall, however high above the bed
		if a := bracketArea(r.under.length(), r.hold, flank(v.sv.Slope)); a < area+slight {
			area, slight, braces = a, 0, 0
		}
	}
	strip := min(r.under.length(), braceDepth) * float64(v.s.BraceLayers) * v.sv.Layer * min(bay, v.s.Spacing)
	return float64((area+slight)*v.s.Width) + float64(float64(braces)*(strip+braceFuss*v.s.Width)) + float64(cutWeight*r.under.length()) + ribWeight
}

// bracketArea is the closed form for a web of length l that a wall carries alone:
// the crest band and a half arch from every wall that holds, infinite where none
// does.
func bracketArea(l float64, hold [2]bool, rise float64) float64 {
	walls := 0.0
	for _, h := range hold {
		if h {
			walls++
		}
	}
	if walls == 0 {
		return math.Inf(1)
	}
	return float64(l*l)*rise/2/walls + float64(crestBand*l)
}

// webArea is the closed form for a web of length l under a level ceiling high
// above a level floor: the crest band, a half arch from every wall that holds,
// legs with a half arch to each side; or the full sheet, whichever is least.
// It also returns the number of braces that the cheapest needs: a web no deeper
// than a leg may stand free for alone, a leg for free.
func webArea(l, high float64, hold [2]bool, rise, alone, free float64) (area float64, braces int) {
	area = float64(l * high)
	if l <= legDepth {
		return area, int(max(0, math.Ceil(high/alone)-1))
	}
	walls := 0
	for _, h := range hold {
		if h {
			walls++
		}
	}
	for legs := 0; legs <= 6; legs++ {
		halves := walls + 2*legs
		if halves == 0 {
			continue
		}
		s := l / float64(halves)
		drop := float64(s * rise)
		half := float64(s*drop) / 2
		if drop > high {
			half = float64(s*high) - float64(high*high)/rise/2
		}
		a := float64(float64(halves)*half) + float64(crestBand*l)
		a += float64(legs) * legDepth * max(0, high-drop)
		if a < area {
			area = a
			braces = legs * int(max(0, math.Ceil(max(0, high-drop)/free)-1))
		}
	}
	return area, braces
}
