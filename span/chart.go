package span

import (
	"cmp"
	"math"
	"math/bits"
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
	return j.hanging(chart, find)
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
// not lie over, or the one before, and begins another when that has the given
// area.
func (j *joiner) unwindBy(group []int, most float64) [][]int {
	var charts [][]int
	var last [2]*cover // of the youngest chart and the one before
	for _, i := range group {
		at := -1
		for back, c := range last {
			if c == nil || c.area >= most {
				break
			}
			if c.under(&j.units[i], j.cell) <= 0.25*j.units[i].area(j.cell) {
				at = len(charts) - 1 - back
				break
			}
		}
		if at < 0 {
			charts = append(charts, nil)
			last = [2]*cover{{at: map[[2]int32]uint64{}}, last[0]}
			at = len(charts) - 1
		}
		charts[at] = append(charts[at], i)
		last[len(charts)-1-at].add(&j.units[i], j.cell)
	}
	return charts
}

// A cover is the sample points of a chart, 64 of a row in a word.
type cover struct {
	at   map[[2]int32]uint64 // by row and word
	area float64             // of the units, one over another or not
}

// words visits the words that a unit has points in, with a bit for each point.
func (u *unit) words(visit func(key [2]int32, points uint64)) {
	for _, r := range u.core {
		for from := r.from; from < r.to; {
			w := floorDiv(from, 64)
			to := min(r.to, 64*(w+1))
			visit([2]int32{r.row, w}, (^uint64(0)>>(64-uint(to-from)))<<uint(from-64*w))
			from = to
		}
	}
}

func (c *cover) add(u *unit, cell float64) {
	u.words(func(key [2]int32, points uint64) { c.at[key] |= points })
	c.area += u.area(cell)
}

// under returns the area of a unit that the chart lies under or over.
func (c *cover) under(u *unit, cell float64) float64 {
	n := 0
	u.words(func(key [2]int32, points uint64) { n += bits.OnesCount64(c.at[key] & points) })
	return float64(n) * cell * cell
}
