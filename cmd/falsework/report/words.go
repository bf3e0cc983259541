package report

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"falsework/rib"
	"falsework/span"
)

// reading is the width of running text.
const reading = 96

// WriteSurvey writes a survey as a person reads it: the part, the table of
// its ceilings, and what follows from them.
func WriteSurvey(w io.Writer, l Look, p Part, s *span.Survey) {
	heading(w, p, s)
	if len(s.Ceilings) == 0 {
		fmt.Fprintln(w, "No ceilings: every layer rests on the one below.")
		return
	}
	t := grid(l, "No.", "Kind", "Span", "Reach", "Height", "Area", "Verdict", "Reason")
	t.SetColumnConfigs([]table.ColumnConfig{
		{Number: 1, Align: text.AlignRight, AlignHeader: text.AlignRight},
		{Number: 3, Align: text.AlignRight, AlignHeader: text.AlignRight},
		{Number: 4, Align: text.AlignRight, AlignHeader: text.AlignRight},
		{Number: 5, Align: text.AlignRight, AlignHeader: text.AlignRight},
		{Number: 6, Align: text.AlignRight, AlignHeader: text.AlignRight},
	})
	for _, c := range s.Ceilings {
		v := verdict(c)
		if c.NeedsRibs && !c.Low && !c.Small {
			v = l.paint(v)
		}
		t.AppendRow(table.Row{c.ID, kind(c.Kind), length(c.Span), length(c.Reach), heights(c.Z, s), length(c.Area), v, c.Why})
	}
	flush(w, t)
	fmt.Fprintln(w, "Height above the bed, span and reach in mm, area in mm2; - stands for without end.")
	fmt.Fprintln(w, Conclusion(s))
}

func heading(w io.Writer, p Part, s *span.Survey) {
	closed := "closed"
	if !p.Closed {
		closed = "not closed as read"
	}
	fmt.Fprintf(w, "%s: %s, %s, %s\n", p.Name, box(s.Bounds.Min, s.Bounds.Max), count(p.Triangles, "triangle"), closed)
	for _, n := range p.Notes {
		fmt.Fprintln(w, wrap("  ", n, reading))
	}
}

// heights writes a ceiling's heights above the bed, on which the lowest point
// of the part stands.
func heights(z [2]float64, s *span.Survey) string {
	low, high := length(z[0]-s.Bounds.Min[2]), length(z[1]-s.Bounds.Min[2])
	if low == high {
		return low
	}
	return low + " to " + high
}

// verdict is the word of a ceiling in the table.
func verdict(c span.Ceiling) string {
	word := "prints"
	switch {
	case c.Low:
		word = "low"
	case c.Small:
		word = "small"
	case c.NeedsRibs:
		word = "needs ribs"
	}
	if c.AtLimit {
		word += ", at the limit"
	}
	return word
}

// Conclusion says in a sentence what a survey found.
func Conclusion(s *span.Survey) string {
	need, left := 0, 0
	for _, c := range s.Ceilings {
		switch {
		case c.Low || c.Small:
			left++
		case c.NeedsRibs:
			need++
		}
	}
	lead := fmt.Sprintf("Of %s, %s", count(len(s.Ceilings), "ceiling"), needWord(need))
	tail := ""
	if left > 0 {
		tail = fmt.Sprintf(" %s too low or too small to rib.", areWord(left))
	}
	return fmt.Sprintf("%s at a bridge limit of %s mm.%s", lead, plain(s.Settings.Limit), tail)
}

func needWord(n int) string {
	switch n {
	case 0:
		return "none needs ribs"
	case 1:
		return "1 needs ribs"
	}
	return thousands(n) + " need ribs"
}

func areWord(n int) string {
	if n == 1 {
		return "1 is"
	}
	return thousands(n) + " are"
}

// WritePlan writes what is planned or built under each ceiling, and the sums.
func WritePlan(w io.Writer, l Look, p Part, plan *rib.Plan) {
	heading(w, p, plan.Survey)
	byID := map[int]span.Ceiling{}
	for _, c := range plan.Survey.Ceilings {
		byID[c.ID] = c
	}
	t := grid(l, "No.", "Kind", "Span", "Height", "Ribs", "Braces", "Feet", "Built")
	var right []table.ColumnConfig
	for _, n := range []int{1, 3, 4, 5, 6, 7} {
		right = append(right, table.ColumnConfig{Number: n, Align: text.AlignRight, AlignHeader: text.AlignRight})
	}
	t.SetColumnConfigs(right)
	rows := 0
	for _, c := range plan.Ceilings {
		s := byID[c.ID]
		if len(c.Ribs) == 0 && !c.Fault && !s.NeedsRibs {
			continue
		}
		built := c.Layout
		if c.Left != "" {
			built = "left: " + c.Left
			if c.Fault {
				built = l.paint(built)
			}
		}
		t.AppendRow(table.Row{c.ID, kind(s.Kind), length(s.Span), heights(s.Z, plan.Survey), len(c.Ribs), len(c.Braces), len(c.Feet), built})
		rows++
	}
	if rows > 0 {
		flush(w, t)
	}
	fmt.Fprintln(w, Conclusion(plan.Survey))
	writeSums(w, plan)
}

func writeSums(w io.Writer, plan *rib.Plan) {
	t := totals(plan)
	m := plan.Settings.Material
	fmt.Fprintln(w)
	fmt.Fprintln(w, wrap("Added:    ", fmt.Sprintf("%s, %s, %s; %s cm3, %s g, %s m of filament, about %s",
		count(t.Ribs, "rib"), count(t.Braces, "brace"), count(t.Feet, "foot"), amount(t.Volume/1000, 1), amount(t.Mass, 1), amount(t.Filament/1000, 2), duration(t.Minutes)), reading))
	fmt.Fprintln(w, wrap("          ", fmt.Sprintf("(estimate from %s g/cm3, filament of %s mm, %s mm/s laying ribs, %s mm/s travel)",
		plain(m.Density), plain(m.Diameter), plain(m.Speed), plain(m.Travel)), reading))
	if t.SupportVolume > 0 {
		fmt.Fprintln(w, wrap("          ", fmt.Sprintf("Ordinary support of the same ceilings, filled to %s %%: %s cm3, about %s; the ribs are %s %% of it.",
			plain(m.Support*100), amount(t.SupportVolume/1000, 1), duration(t.SupportMinutes), amount(100*t.Volume/t.SupportVolume, 0)), reading))
	}
	if t.Cuts > 0 {
		fmt.Fprintln(w, wrap("To cut:   ", fmt.Sprintf("%s, %.0f mm in all", count(t.Cuts, "cut"), t.CutLength), reading))
	}
}

// WriteLeft names the ceilings that need ribs and get none, a line a reason.
func WriteLeft(w io.Writer, plan *rib.Plan) {
	need := map[int]bool{}
	for _, c := range plan.Survey.Ceilings {
		need[c.ID] = c.NeedsRibs
	}
	why := map[string][]int{}
	var order []string
	for _, c := range plan.Ceilings {
		if c.Left == "" || !need[c.ID] {
			continue
		}
		if why[c.Left] == nil {
			order = append(order, c.Left)
		}
		why[c.Left] = append(why[c.Left], c.ID)
	}
	for _, reason := range order {
		fmt.Fprintln(w, wrap("Left:     ", ceilingsNamed(why[reason])+": "+reason, reading))
	}
}

// ceilingsNamed names ceilings by ascending number, neighbours as a range.
func ceilingsNamed(ids []int) string {
	if len(ids) == 1 {
		return fmt.Sprintf("ceiling %d", ids[0])
	}
	var runs []string
	for i := 0; i < len(ids); {
		k := i
		for k+1 < len(ids) && ids[k+1] == ids[k]+1 {
			k++
		}
		switch {
		case k-i >= 2:
			runs = append(runs, fmt.Sprintf("%d to %d", ids[i], ids[k]))
		default:
			for ; i <= k; i++ {
				runs = append(runs, strconv.Itoa(ids[i]))
			}
		}
		i = k + 1
	}
	return "ceilings " + strings.Join(runs, ", ")
}

// WriteVerified says that the result was proved, and how.
func WriteVerified(w io.Writer, v *Verified) {
	closed := "closed"
	if !v.Closed {
		closed = "no worse than the part was, though not closed"
	}
	d := decimals(v.RibVolume/1000, 2)
	fmt.Fprintln(w, wrap("Verified: ", fmt.Sprintf("the surface is %s, %s; part %.*f cm3 + ribs %.*f - overlap %.*f = %.*f",
		closed, count(v.Triangles, "triangle"), d, v.PartVolume/1000, d, v.RibVolume/1000, d, v.Overlap/1000, d, v.Volume/1000), reading))
	for _, n := range v.Notes {
		fmt.Fprintln(w, wrap("          ", n, reading))
	}
}

// Slicing is what the slicing program must be told about a ribbed part.
func Slicing(r rib.Settings, s span.Settings) []string {
	return []string{
		fmt.Sprintf("Layers of %s mm, the first of %s mm: the ribs and braces stand on these heights.", plain(s.Layer), plain(s.FirstLayer)),
		fmt.Sprintf("Print walls one bead thin: the ribs are %s mm thick, laid with a nozzle of %s mm.", plain(r.Width), plain(s.Nozzle)),
		"Its own support off, at least where the ribs stand.",
		"Do not scale, turn or lift the part: the ribs belong to this pose on this bed.",
	}
}

// Cautions are the usual ones for cutting ribs off.
func Cautions() []string {
	return []string{
		"Let bed and nozzle cool before you reach in.",
		"Cut away from the hand that holds the part; wear a cut-resistant glove and eye protection: thin ribs spring when they part.",
		"Sanding makes dust and hot filament fumes: air the room, wear what the filament's data sheet asks for.",
		"Do not leave the machine running alone unless its maker and your local rules allow it.",
	}
}

// WriteAdvice writes what the slicing program must be told, and the
// cautions.
func WriteAdvice(w io.Writer, plan *rib.Plan) {
	fmt.Fprintln(w, "\nTell the slicing program:")
	for _, s := range Slicing(plan.Settings, plan.Survey.Settings) {
		fmt.Fprintln(w, wrap("  - ", s, reading))
	}
	fmt.Fprintln(w, "When you cut the ribs off:")
	for _, s := range Cautions() {
		fmt.Fprintln(w, wrap("  - ", s, reading))
	}
}
