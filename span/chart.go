package span

import (
	"cmp"
	"slices"
)

// A ceiling that winds over itself, as the underside of a winding stair does,
// has two heights over one place. It is cut into charts, each with one height
// over every point, and each chart is a ceiling of its own.

// overlapAllowed is how much of a group may lie over itself, square
// millimetres, before it is cut: less is rounding.
const overlapAllowed = 4.0

// charts cuts the groups that wind over themselves.
func (j *joiner) charts(groups [][]int) [][]int {
	var out [][]int
	for _, g := range groups {
		if j.overlap(g) <= max(overlapAllowed, 0.02*j.area(g)) {
			out = append(out, g)
			continue
		}
		out = append(out, j.unwind(g)...)
	}
	return out
}

func (j *joiner) area(group []int) (a float64) {
	for _, i := range group {
		a += j.units[i].area(j.cell)
	}
	return a
}

// overlap returns the area that the units of a group cover more than once.
func (j *joiner) overlap(group []int) float64 {
	var all []run
	for _, i := range group {
		all = append(all, j.units[i].core...)
	}
	slices.SortFunc(all, func(a, b run) int {
		return cmp.Or(cmp.Compare(a.row, b.row), cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
	})
	cells := 0
	to, row := int32(0), int32(-1<<31)
	for _, r := range all {
		if r.row != row {
			row, to = r.row, r.from
		}
		if r.from < to {
			cells += int(min(r.to, to) - r.from)
		}
		to = max(to, r.to)
	}
	return float64(cells) * j.cell * j.cell
}

// unwind gives each unit, from the bottom up, to the youngest chart it does not
// lie over.
func (j *joiner) unwind(group []int) [][]int {
	var charts [][]int
	for _, i := range group {
		at := -1
		for c := len(charts) - 1; c >= 0; c-- {
			over := j.overlap(append(slices.Clone(charts[c]), i)) - j.overlap(charts[c])
			if over <= 0.25*j.units[i].area(j.cell) {
				at = c
				break
			}
			if c == len(charts)-1 {
				continue
			}
			break
		}
		if at < 0 {
			charts = append(charts, nil)
			at = len(charts) - 1
		}
		charts[at] = append(charts[at], i)
	}
	return charts
}
