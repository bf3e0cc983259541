package report

import (
	"fmt"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// A Look is how a stream wants to be written to.
type Look struct {
	Width  int  // columns of the terminal, 0 when it is none
	Colour bool // mark verdicts in colour
}

// grid begins a table in plain ASCII that reads the same on a terminal and
// in a file.
func grid(l Look, header ...any) table.Writer {
	t := table.NewWriter()
	style := table.StyleDefault
	style.Name = "falsework"
	style.Format.Header = text.FormatDefault
	style.Options = table.Options{SeparateHeader: true, SeparateColumns: true}
	style.Box.MiddleVertical = " "
	style.Box.MiddleSeparator = " "
	style.Box.PaddingLeft, style.Box.PaddingRight = "", ""
	t.SetStyle(style)
	t.AppendHeader(header)
	return t
}

// paint marks words that a reader should not miss.
func (l Look) paint(s string) string {
	if !l.Colour {
		return s
	}
	return text.Colors{text.Bold, text.FgYellow}.Sprint(s)
}

// flush writes a table, without blanks at the ends of its lines.
func flush(w io.Writer, t table.Writer) {
	for _, line := range strings.Split(t.Render(), "\n") {
		fmt.Fprintln(w, strings.TrimRight(line, " "))
	}
}

// wrap breaks text into lines of at most width letters at its blanks; the
// first line begins with first, the others with as many blanks.
func wrap(first, words string, width int) string {
	var b strings.Builder
	b.WriteString(first)
	column, begin := len(first), true
	for _, word := range strings.Fields(words) {
		switch {
		case begin:
		case column+1+len(word) > width:
			b.WriteString("\n" + strings.Repeat(" ", len(first)))
			column = len(first)
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += len(word)
		begin = false
	}
	return b.String()
}
