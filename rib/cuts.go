package rib

import (
	"sort"

	"falsework/mesh/section"
)

// cuts lists the passes of the knife in an order that keeps the part carried
// and the ribs steady as long as possible: brace ends at the walls, braces
// mid-bay, feet and other landings, springings, then the crests from the free
// edge inwards.
func (m *maker) cuts(b *shaper, t *trial, out *CeilingPlan) []Cut {
	s := m.plan.Settings
	var ends, mids, feet, springs, crests []Cut
	add := func(to *[]Cut, what string, p section.Point, z, length, thick float64) {
		*to = append(*to, Cut{What: what, At: [3]float64{micron(p[0]), micron(p[1]), micron(z)},
			Length: length, Thick: thick, Reach: b.reach(p)})
	}
	for _, c := range t.chains {
		thick := c.z[1] - c.z[0]
		for k, wall := range c.walls {
			if wall {
				add(&ends, "brace end", c.ends[k], c.z[0], c.depth, thick)
			}
		}
		for k := 1; k < len(c.ties); k++ {
			p := t.node(c.ties[k-1])
			q := t.node(c.ties[k])
			add(&mids, "brace", section.Point{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2}, c.z[0], c.depth, thick)
		}
	}
	for i, w := range t.webs {
		if w == nil {
			continue
		}
		l := t.layout.lines[i]
		for _, x := range w.Landings {
			what := "landing"
			if x.Bed {
				continue // stands free on the bed with its pad: nothing to cut
			}
			add(&feet, what, l.at((x.U[0]+x.U[1])/2), x.Z, x.U[1]-x.U[0], s.Width)
		}
		for _, x := range w.Cuts {
			if x.What == "landing" {
				continue
			}
			p := l.at((x.From[0] + x.To[0]) / 2)
			z := (x.From[1] + x.To[1]) / 2
			if x.What == "crest" {
				add(&crests, x.What, p, z, x.Length, s.Width)
			} else {
				add(&springs, x.What, p, z, x.Length, s.Width)
			}
		}
	}
	var all []Cut
	for _, g := range [][]Cut{ends, mids, feet, springs, crests} {
		sort.SliceStable(g, func(i, j int) bool { return g[i].Reach < g[j].Reach })
		all = append(all, g...)
	}
	return all
}

// node is the place of a tie in plan.
func (t *trial) node(x tie) section.Point { return t.layout.lines[t.index(x.web)].at(x.u) }

// index turns the number of a web among those drawn into that of its line.
func (t *trial) index(drawn int) int {
	for i, w := range t.webs {
		if w == nil {
			continue
		}
		if drawn == 0 {
			return i
		}
		drawn--
	}
	return 0
}
