package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// WriteBatch writes a batch as a person reads it: a line for each part, then
// the reasons of what failed, and the sums.
func WriteBatch(w io.Writer, l Look, b *Batch) {
	t := grid(l, "Part", "Result", "Ceilings", "Need", "Ribs", "Added g", "Time", "Cuts")
	var right []table.ColumnConfig
	for n := 3; n <= 8; n++ {
		right = append(right, table.ColumnConfig{Number: n, Align: text.AlignRight, AlignHeader: text.AlignRight})
	}
	t.SetColumnConfigs(right)
	for _, p := range b.Parts {
		t.AppendRow(batchRow(l, p))
	}
	if len(b.Parts) > 0 {
		flush(w, t)
	}
	for _, p := range b.Parts {
		switch {
		case p.State == Failed:
			fmt.Fprintln(w, wrap("Failed:   ", Shown(p.Part)+": "+Shown(p.Reason), reading))
		case p.State == Partly:
			fmt.Fprintln(w, wrap("Left:     ", Shown(p.Part)+": "+leftWords(p.Left), reading))
		}
		if t := p.Totals; t.Unsteady > 0 {
			fmt.Fprintln(w, wrap("Unsteady: ", fmt.Sprintf("%s: %d of %s could not be braced as steadily as the rule asks and may work loose; its notes in the summary say where and why",
				Shown(p.Part), t.Unsteady, count(t.Ribs, "rib")), reading))
		}
	}
	fmt.Fprintln(w, b.Conclusion())
}

func batchRow(l Look, p BatchPart) table.Row {
	state := p.State
	if p.Kept {
		state += ", kept"
	}
	if p.State == Failed || p.State == Partly {
		state = l.paint(state)
	}
	if p.State == Failed || p.State == Undone {
		return table.Row{Shown(p.Part), state, "", "", "", "", "", ""}
	}
	row := table.Row{Shown(p.Part), state, p.Ceilings, p.NeedRibs, "", "", "", ""}
	if p.Totals.Ribs > 0 {
		row[4], row[5], row[6], row[7] = p.Totals.Ribs, length(p.Totals.Mass), duration(p.Totals.Minutes), p.Totals.Cuts
	}
	return row
}

func leftWords(ids []int) string { return ceilingsNamed(ids) + " could not be ribbed" }

// Conclusion says in a sentence or two what came of a batch.
func (b *Batch) Conclusion() string {
	c := b.Counts
	var of []string
	for _, k := range []struct {
		n    int
		word string
	}{
		{c.Ribbed, "ribbed"}, {c.Partly, "not wholly ribbed"}, {c.Copied, "copied, with nothing to rib"}, {c.Failed, "failed"}, {c.Undone, "not done"},
	} {
		if k.n > 0 {
			of = append(of, thousands(k.n)+" "+k.word)
		}
	}
	if len(of) == 0 {
		of = []string{"none"}
	}
	line := fmt.Sprintf("Of %s: %s.", count(c.Parts, "part"), strings.Join(of, "; "))
	if c.Kept > 0 {
		line += fmt.Sprintf(" %s kept from an earlier run.", thousands(c.Kept))
	}
	if t := b.Totals; t.Ribs > 0 {
		line += fmt.Sprintf(" Added: %s, %.1f g, about %s.", count(t.Ribs, "rib"), t.Mass, duration(t.Minutes))
	}
	return line
}

// Shown makes a text from outside safe to print: what a terminal would obey
// is written out.
func Shown(s string) string {
	if strings.IndexFunc(s, func(r rune) bool { return !unicode.IsPrint(r) || r == unicode.ReplacementChar }) < 0 {
		return s
	}
	q := strconv.QuoteToGraphic(s)
	return strings.ReplaceAll(q[1:len(q)-1], `\"`, `"`)
}

// csvHeader names the columns of the table as CSV. Volume is mm3, mass g,
// filament and cut_length mm, minutes min.
var csvHeader = []string{
	"part", "state", "kept", "exit", "reason", "file", "triangles", "closed", "ceilings", "need_ribs", "left",
	"ribs", "braces", "feet", "unsteady", "volume", "mass", "filament", "minutes", "cuts", "cut_length", "notes",
}

// WriteCSV writes the parts of a batch as comma-separated values (RFC 4180).
func (b *Batch) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	if err := c.Write(csvHeader); err != nil {
		return err
	}
	for _, p := range b.Parts {
		file := ""
		if len(p.Files) > 0 {
			file = p.Files[0]
		}
		var left []string
		for _, id := range p.Left {
			left = append(left, strconv.Itoa(id))
		}
		t := p.Totals
		row := []string{
			cell(p.Part, "./"), p.State, strconv.FormatBool(p.Kept), strconv.Itoa(p.Exit), cell(p.Reason, " "), cell(file, "./"),
			strconv.Itoa(p.Triangles), strconv.FormatBool(p.Closed), strconv.Itoa(p.Ceilings), strconv.Itoa(p.NeedRibs),
			strings.Join(left, " "), strconv.Itoa(t.Ribs), strconv.Itoa(t.Braces), strconv.Itoa(t.Feet), strconv.Itoa(t.Unsteady),
			number(t.Volume), number(t.Mass), number(t.Filament), number(t.Minutes), strconv.Itoa(t.Cuts), number(t.CutLength),
			cell(strings.Join(p.Notes, "; "), " "),
		}
		if err := c.Write(row); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// cell keeps a spreadsheet from taking a text for a formula, by something
// harmless before it.
func cell(s, before string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return before + s
	}
	return s
}
