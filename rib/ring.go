package rib

import (
	"fmt"
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
				l.lines = append(l.lines, v.chords(ring, slack)...)
			}
			for _, h := range holes {
				for _, ring := range section.Offset(section.Polygons{reversed(h)}, beside+further, section.Round) {
					l.lines = append(l.lines, v.chords(ring, slack)...)
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

// chords replaces a ring by straight pieces that stay within slack of it.
func (v *view) chords(ring section.Path, slack float64) []ribLine {
	n := len(ring)
	if n < 3 {
		return nil
	}
	// Start at the corner farthest from the middle.
	var c section.Point
	for _, q := range ring {
		c[0] += q[0] / float64(n)
		c[1] += q[1] / float64(n)
	}
	first := 0
	for i, q := range ring {
		if dist(q, c) > dist(ring[first], c)+1e-6 {
			first = i
		}
	}
	var out []ribLine
	for i := 0; i < n; {
		j := i + 1
		for j < n && v.fits(ring, first+i, first+j+1, slack) {
			j++
		}
		a, b := ring[(first+i)%n], ring[(first+j)%n]
		if d, l := unit(a, b); l >= v.least {
			x := axis{a, d}
			for _, s := range v.stretches(x) {
				s.from, s.to = max(s.from, 0), min(s.to, l)
				if s.length() >= v.least {
					r := v.line(x, s)
					r.hold = [2]bool{}
					out = append(out, r)
				}
			}
		}
		i = j
	}
	return out
}

// fits tells whether the corners between two of a ring lie within slack of
// their chord.
func (v *view) fits(ring section.Path, i, j int, slack float64) bool {
	n := len(ring)
	if j-i >= n {
		return false
	}
	d, l := unit(ring[i%n], ring[j%n])
	if l == 0 {
		return false
	}
	a := axis{ring[i%n], d}
	for k := i + 1; k < j; k++ {
		if x := a.left(ring[k%n]); x > slack || x < -slack {
			return false
		}
	}
	return true
}
