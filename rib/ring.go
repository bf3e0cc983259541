package rib

import (
	"fmt"
	"math"
	"slices"

	"falsework/mesh/section"
)

// rings returns layouts for a ceiling with a free rim all round, such as the
// cap of a mushroom: chains of straight webs set in from the rim, from one
// ring to three, with equal bays to what holds the middle. Where holes with free
// rims are in it, as many rings stand round each of those.
func (v *view) rings() []layout {
	rim, holes := v.rims()
	if rim == nil {
		return nil
	}
	w := v.s.Width
	first := v.s.Setback + w/2
	slack := max(0.3, 0.8*(v.sv.Ledge-first))
	// A chord comes nearer to a hole than its ends, and further from a rim.
	beside := first + slack
	area := append(section.Polygons{rim}, holes...)
	deep := depth(v.foot)
	if len(holes) > 0 {
		deep = depth(area)
	}
	var out []layout
	if mid := v.midRing(rim, holes, deep); mid != nil {
		out = append(out, v.alongRing(mid, deep))
		out = append(out, v.acrossRing(mid, deep)...)
	}
	for n := 1; n <= 3; n++ {
		bay := (deep - first - float64(n)*w + w/2) / float64(n)
		if len(holes) > 0 {
			bay = (deep-first-beside)/float64(2*n-1) - w
		}
		if n > 1 && bay < 2*w {
			break
		}
		l := layout{bay: bay, kind: "ring"}
		for k := 0; k < n; k++ {
			further := float64(float64(k) * (bay + w))
			for _, ring := range section.Offset(section.Polygons{rim}, -first-further, section.Round) {
				l.lines = append(l.lines, v.chords(ring, slack, 0)...)
			}
			for _, h := range holes {
				for _, ring := range section.Offset(section.Polygons{reversed(h)}, beside+further, section.Round) {
					l.lines = append(l.lines, v.chords(ring, slack, 0)...)
				}
			}
		}
		l.words = fmt.Sprintf("%s of %s set in from the rim, bays of %.1f mm", count(n, "ring"), count(len(l.lines), "rib"), bay)
		if len(holes) > 0 {
			l.words = fmt.Sprintf("%s of %s set in from the rims, bays of %.1f mm", count(n, "pair"), count(len(l.lines), "rib"), bay)
		}
		out = append(out, l)
	}
	return out
}

// midRing is the middle line of a ring so narrow that what hangs on both sides of
// it stays within the ledge, such as the lower edge of a skirt: else nil.
func (v *view) midRing(rim section.Path, holes section.Polygons, deep float64) section.Path {
	if len(holes) != 1 || deep > 2*v.sv.Ledge+v.s.Width {
		return nil
	}
	mid := section.Offset(section.Polygons{rim}, -deep/2, section.Miter)
	if len(mid) != 1 {
		return nil
	}
	return mid[0]
}

// alongRing stands ribs along the middle of a narrow ring, from bend to bend and
// over them, or the outside of a corner would hang.
func (v *view) alongRing(mid section.Path, deep float64) layout {
	stray := min(0.8*(v.sv.Ledge-(deep-v.s.Width)/2), deep/2-v.s.Setback-v.s.Width/2)
	l := layout{bay: deep, kind: "ring", lines: v.chords(mid, max(stray, 0.05), deep/2)}
	l.words = fmt.Sprintf("%s along the middle of the ring", count(len(l.lines), "rib"))
	return l
}

// acrossRing stands ribs across a narrow ring, one in each of its corners and
// others in equal bays between them.
func (v *view) acrossRing(mid section.Path, wide float64) []layout {
	mid = fromLongest(mid)
	arc := []float64{0}
	var corners []float64
	for i := 1; i < len(mid); i++ {
		arc = append(arc, arc[i-1]+dist(mid[i-1], mid[i]))
	}
	total := arc[len(arc)-1]
	for i := 1; i+1 < len(mid); i++ {
		a, _ := unit(along(mid, arc, arc[i]-wide), mid[i])
		b, _ := unit(mid[i], along(mid, arc, arc[i]+wide))
		// No bead is carried round a bend sharper than this.
		if float64(a[0]*b[0])+float64(a[1]*b[1]) < math.Cos(65*math.Pi/180) && (len(corners) == 0 || arc[i]-corners[len(corners)-1] > wide) {
			corners = append(corners, arc[i])
		}
	}
	if len(corners) == 0 {
		corners = []float64{total / 2}
	}
	w := v.s.Width
	var out []layout
	for more := 0; more <= 3; more++ {
		pos, widest := []float64(nil), 0.0
		for i, c := range corners {
			next := corners[0] + total
			if i+1 < len(corners) {
				next = corners[i+1]
			}
			n := max(0, int(math.Ceil((next-c-w-v.s.Spacing)/(v.s.Spacing+w)-1e-9))) + more
			step := (next - c) / float64(n+1)
			widest = max(widest, step-w)
			for k := range n + 1 {
				pos = append(pos, math.Mod(c+float64(float64(k)*step), total))
			}
		}
		l := v.across(mid, arc, pos, wide)
		l.bay = widest
		l.words = fmt.Sprintf("%s across the ring, bays of up to %.1f mm along it", count(len(l.lines), "rib"), widest)
		out = append(out, l)
	}
	return out
}

// fromLongest opens a ring in the middle of its longest side: no corner there.
func fromLongest(ring section.Path) []section.Point {
	n, longest := len(ring), 0
	side := func(i int) float64 { return dist(ring[i], ring[(i+1)%n]) }
	for i := range ring {
		if side(i) > side(longest) {
			longest = i
		}
	}
	a, b := ring[longest], ring[(longest+1)%n]
	start := section.Point{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
	out := []section.Point{start}
	for i := range n {
		out = append(out, ring[(longest+1+i)%n])
	}
	return append(out, start)
}

// mostlyFree is how much of a rim is free where rings stand along it.
const mostlyFree = 0.9

// rims returns the outer ring of the footprint when nearly all of it is free,
// and the holes of which that is true.
func (v *view) rims() (rim section.Path, holes section.Polygons) {
	for _, r := range v.foot {
		switch {
		case r.Area() > 0 && rim != nil:
			return nil, nil
		case r.Area() > 0:
			rim = r
		case v.loose(r) >= mostlyFree:
			holes = append(holes, r)
		}
	}
	if rim == nil || v.loose(rim) < mostlyFree {
		return nil, nil
	}
	return rim, holes
}

func reversed(ring section.Path) section.Path {
	out := slices.Clone(ring)
	slices.Reverse(out)
	return out
}

// depth is how wide a region is at its widest, to a tenth of a millimetre:
// twice the greatest inset that leaves something.
func depth(region section.Polygons) float64 {
	lo, hi := 0.0, 1.0
	for hi < 1e3 && len(section.Offset(region, -hi/2, section.Round)) > 0 {
		lo, hi = hi, 2*hi
	}
	for hi-lo > 0.1 {
		m := (lo + hi) / 2
		if len(section.Offset(region, -m/2, section.Round)) > 0 {
			lo = m
		} else {
			hi = m
		}
	}
	return lo
}

// chords replaces a ring by straight pieces that stay within slack of it, and go
// so much over the bends as the footprint allows.
func (v *view) chords(ring section.Path, slack, over float64) []ribLine {
	if len(ring) < 3 {
		return nil
	}
	run := opened(ring)
	at := corners(run, slack, slack)
	var out []ribLine
	for k := 1; k < len(at); k++ {
		d, l := unit(run[at[k-1]], run[at[k]])
		if l < v.least {
			continue
		}
		a := axis{run[at[k-1]], d}
		for _, s := range v.stretches(a) {
			s.from, s.to = max(s.from, -over), min(s.to, l+over)
			if s.length() >= v.least {
				r := v.line(a, s)
				r.hold = [2]bool{}
				out = append(out, r)
			}
		}
	}
	return out
}
