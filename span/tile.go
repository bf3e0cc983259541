package span

import (
	"math"

	"falsework/mesh/section"
)

// What carries itself may run on for as long as a wall, while only a part of it
// has to do with a ceiling. It is therefore looked at in tiles, squares of the
// joining lattice, and cut along them where some tiles join and others do not.

// tileSize is the side of a tile in millimetres.
const tileSize = 2.0

// A tile is a square of the joining lattice, counted in tiles.
type tile struct{ x, y int32 }

// tiles makes a unit for each tile that q, which carries itself, lies in.
func (j *joiner) tiles(k int, q section.Polygons, cell, core []run) {
	side := max(int32(math.Round(tileSize/j.cell)), 4)
	at := map[tile]int{}
	first := len(j.units)
	put := func(r run, to func(u *unit) *[]run) {
		y := floorDiv(r.row, side)
		for from := r.from; from < r.to; {
			x := floorDiv(from, side)
			end := min(r.to, (x+1)*side)
			i, ok := at[tile{x, y}]
			if !ok {
				i = len(j.units)
				at[tile{x, y}] = i
				j.units = append(j.units, unit{k: k, foot: q, self: true, root: i, whole: first, tile: tile{x, y}})
			}
			list := to(&j.units[i])
			*list = append(*list, run{r.row, from, end})
			from = end
		}
	}
	for _, r := range cell {
		put(r, func(u *unit) *[]run { return &u.cell })
	}
	for _, r := range core {
		put(r, func(u *unit) *[]run { return &u.core })
	}
	n := len(j.units) - first
	for i := first; i < len(j.units); i++ {
		j.units[i].parts = n
	}
	for i := first; i < len(j.units); i++ {
		t := j.units[i].tile
		for dy := int32(-1); dy <= 1; dy++ {
			for dx := int32(-1); dx <= 1; dx++ {
				if m, ok := at[tile{t.x + dx, t.y + dy}]; ok && m != i {
					j.units[i].beside = append(j.units[i].beside, m)
				}
			}
		}
	}
}

// pick returns the units of a group, those that were looked at in tiles put
// together again as far as they belong to it.
func (j *joiner) pick(group []int) []unit {
	var out []unit
	at := map[int]int{} // by whole: place in out
	squares := map[int]section.Polygons{}
	side := float64(max(int32(math.Round(tileSize/j.cell)), 4)) * j.cell
	for _, i := range group {
		u := j.units[i]
		if u.parts <= 1 {
			out = append(out, u)
			continue
		}
		n, ok := at[u.whole]
		if !ok {
			n = len(out)
			at[u.whole] = n
			out = append(out, unit{k: u.k, foot: u.foot, self: true, whole: u.whole, parts: u.parts})
		}
		out[n].cell = append(out[n].cell, u.cell...)
		out[n].core = append(out[n].core, u.core...)
		x, y := j.origin[0]+float64(float64(u.tile.x)*side), j.origin[1]+float64(float64(u.tile.y)*side)
		squares[u.whole] = append(squares[u.whole], section.Path{{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}})
	}
	for n := range out {
		if s := squares[out[n].whole]; out[n].parts > 1 && len(s) < out[n].parts {
			out[n].foot = section.Intersect(out[n].foot, section.Nonzero(s))
		}
	}
	return out
}

// floorDiv is a/b rounded down; b is positive.
func floorDiv(a, b int32) int32 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
