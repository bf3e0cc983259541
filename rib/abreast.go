package rib

import (
	"math"
	"sort"

	"falsework/rib/web"
)

// Legs abreast. Braces run from web to web, and to a wall no more than a bay
// away. Where bays are narrow, one web without a leg between those that have
// some, or with its leg elsewhere, cuts the braces of the others off from the
// wall: each web is cheapest as it is, and together they cannot stand. Then
// such webs get their legs beside those of the others.

// abreast draws those webs of a trial anew that have no leg beside that of an
// unsteady one, and braces it again; nil when there are none.
func (t *trial) abreast(b *shaper, s *layers) *trial {
	webs := append([]*web.Web(nil), t.webs...)
	each(len(webs), func(i int) bool {
		if webs[i] == nil {
			return true
		}
		if want := t.wanted(i); want != nil {
			if w, err := b.shape(t.layout, i, want...); err == nil {
				webs[i] = w
			}
		}
		return true
	})
	changed := false
	for i := range webs {
		changed = changed || webs[i] != t.webs[i]
	}
	if !changed {
		return nil
	}
	out := &trial{layout: t.layout, guess: t.guess, webs: webs, column: t.column, width: t.width}
	for _, w := range webs {
		if w != nil {
			out.volume += w.Volume
		}
	}
	out.contact = contact(t.layout, b.s, webs)
	out.brace(b, s, fairly)
	return out
}

// wanted are the runs of rib i beside the legs of the unsteady web next to it,
// and those of its own legs that are none of these; nil when it has a leg at
// each of them.
func (t *trial) wanted(i int) []float64 {
	r, lines := t.layout.lines[i], t.layout.lines
	next, by := -1, math.Inf(1)
	for _, j := range t.loose {
		o := lines[j]
		if d := math.Abs(r.left(o.at(o.under.mid()))); len(t.webs[j].Legs) > 0 && d < by {
			next, by = j, d
		}
	}
	if next < 0 || next == i {
		return nil
	}
	var own, out []float64
	for _, l := range t.webs[i].Legs {
		own = append(own, (l.U[0]+l.U[1])/2)
	}
	all := true
	for _, l := range t.webs[next].Legs {
		u := r.run(lines[next].at((l.U[0] + l.U[1]) / 2))
		if u < r.under.from || u > r.under.to {
			continue
		}
		k, off := -1, math.Inf(1)
		for j, v := range own {
			if d := math.Abs(u - v); d < off {
				k, off = j, d
			}
		}
		all = all && off <= braceSkew*t.layout.bay/2
		if k >= 0 {
			own = append(own[:k], own[k+1:]...)
		}
		out = append(out, u)
	}
	if all {
		return nil
	}
	out = append(out, own...)
	sort.Float64s(out)
	return out
}
