package span

import (
	"cmp"
	"math"
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
		for _, c := range j.unwind(g) {
			out = append(out, j.apart(c)...)
		}
	}
	return out
}

// apart divides a chart into what hangs together: it may have come by pieces of
// the group whose way to one another lies in another chart. What carries itself
// and is left alone is no ceiling.
func (j *joiner) apart(chart []int) [][]int {
	root := map[int]int{}
	for _, i := range chart {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	j.contacts(chart, func(a, b tagged) {
		if p, q := find(a.unit), find(b.unit); p != q {
			root[max(p, q)] = min(p, q)
		}
	})
	at := map[int]int{}
	hangs := map[int]bool{}
	var out [][]int
	for _, i := range chart {
		r := find(i)
		hangs[r] = hangs[r] || !j.units[i].self
		g, ok := at[r]
		if !ok {
			g = len(out)
			at[r] = g
			out = append(out, nil)
		}
		out[g] = append(out[g], i)
	}
	return slices.DeleteFunc(out, func(g []int) bool { return !hangs[find(g[0])] })
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

// unwind cuts a group into the fewest charts and then, as far as that goes, into
// as many of one size: a last turn of a few degrees would have nothing but the
// turn before to be measured from.
func (j *joiner) unwind(group []int) [][]int {
	charts := j.unwindBy(group, math.Inf(1))
	if even := j.unwindBy(group, j.area(group)/float64(len(charts))); len(even) <= len(charts) {
		return even
	}
	return charts
}

// unwindBy gives each unit, from the bottom up, to the youngest chart it does
// not lie over, and begins another when that has the given area.
func (j *joiner) unwindBy(group []int, most float64) [][]int {
	var charts [][]int
	var areas []float64
	for _, i := range group {
		at := -1
		for c := len(charts) - 1; c >= max(len(charts)-2, 0); c-- {
			if areas[c] >= most {
				break
			}
			over := j.overlap(append(slices.Clone(charts[c]), i)) - j.overlap(charts[c])
			if over <= 0.25*j.units[i].area(j.cell) {
				at = c
				break
			}
		}
		if at < 0 {
			charts, areas = append(charts, nil), append(areas, 0)
			at = len(charts) - 1
		}
		charts[at] = append(charts[at], i)
		areas[at] += j.units[i].area(j.cell)
	}
	return charts
}
