package report

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"falsework/rib"
)

// A pass is a run of cuts of one kind under one ceiling.
type pass struct {
	ceiling int
	what    string
	cuts    []rib.Cut
}

// passes gathers the cuts of a plan by ceiling and kind, in their order. The
// ceilings follow each other as the blade must reach further in: ribs in a
// wall's opening come off before those of the room behind it.
func passes(plan *rib.Plan) []pass {
	order := make([]int, len(plan.Ceilings))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(deepest(plan, a), deepest(plan, b)) })
	var out []pass
	for _, i := range order {
		c := &plan.Ceilings[i]
		for _, x := range c.Cuts {
			if n := len(out); n == 0 || out[n-1].ceiling != c.ID || out[n-1].what != x.What {
				out = append(out, pass{ceiling: c.ID, what: x.What})
			}
			p := &out[len(out)-1]
			p.cuts = append(p.cuts, x)
		}
	}
	return out
}

// deepest is how far the blade must reach in for the i-th ceiling.
func deepest(plan *rib.Plan, i int) float64 {
	far := 0.0
	for _, c := range plan.Ceilings[i].Cuts {
		far = max(far, c.Reach)
	}
	return far
}

// span returns the least and greatest of a figure of the cuts.
func (p pass) span(figure func(rib.Cut) float64) [2]float64 {
	r := [2]float64{figure(p.cuts[0]), figure(p.cuts[0])}
	for _, c := range p.cuts {
		r[0], r[1] = min(r[0], figure(c)), max(r[1], figure(c))
	}
	return r
}

// lengths writes a range of lengths.
func lengths(r [2]float64) string {
	low, high := length(r[0]), length(r[1])
	switch {
	case math.IsInf(r[0], 1):
		return "no open side"
	case math.IsInf(r[1], 1):
		high = "no open side"
	case low == high:
		return low
	}
	return low + " to " + high
}

// WriteCuts writes the cuts that take the ribs off, in the order in which they
// keep the part carried, a line for each kind under each ceiling.
func WriteCuts(w io.Writer, l Look, plan *rib.Plan) {
	all := passes(plan)
	if len(all) == 0 {
		return
	}
	fmt.Fprintln(w, "\nCut the ribs off in this order, each line from the open side inwards:")
	t := grid(l, "Ceiling", "Cut", "Cuts", "Height", "Length each", "Thick", "Blade reaches")
	var right []table.ColumnConfig
	for _, n := range []int{1, 3, 4, 5, 6, 7} {
		right = append(right, table.ColumnConfig{Number: n, Align: text.AlignRight, AlignHeader: text.AlignRight})
	}
	t.SetColumnConfigs(right)
	for _, p := range all {
		t.AppendRow(table.Row{p.ceiling, p.name(), len(p.cuts), heights(p.span(func(c rib.Cut) float64 { return c.At[2] }), plan.Survey),
			lengths(p.span(func(c rib.Cut) float64 { return c.Length })),
			lengths(p.span(func(c rib.Cut) float64 { return c.Thick })), lengths(p.span(func(c rib.Cut) float64 { return c.Reach }))})
	}
	flush(w, t)
	fmt.Fprintln(w, "Lengths in mm; the blade reaches in from the nearest open side. The plan (--plan) lists each cut.")
}

// name says what is cut, and where it is not plain from its name.
func (p pass) name() string {
	switch p.what {
	case "brace end":
		return "brace ends, at the walls"
	case "brace":
		return "braces, between ribs"
	case "landing":
		return "landings, where ribs stand on the part"
	case "springing":
		return "springings, at the walls"
	case "crest":
		return "crests, along the ceiling"
	}
	return plural(p.what)
}
