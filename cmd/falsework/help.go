package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"falsework/cmd/falsework/settings"
)

// headings is the order in which the help text lists flags.
var headings = []string{
	settings.Reading, settings.Piece, settings.Limits, settings.Ribs, settings.Choice, settings.Estimate, settings.Work, settings.Output,
}

// help returns the command's help text.
func (d *command) help() string {
	var b strings.Builder
	fmt.Fprintf(&b, "falsework %s - %s\n\nUsage:\n  falsework %s\n\n%s\n", d.name, d.summary,
		strings.TrimSpace(d.name+" [flags] "+d.operand), d.text)
	if d.example != "" {
		fmt.Fprintf(&b, "\nExample:\n%s\n", indent(d.example))
	}
	for _, h := range headings {
		var rows [][2]string
		for _, f := range d.flags() {
			if heading(f) == h {
				rows = append(rows, flagRow(f))
			}
		}
		if len(rows) > 0 {
			fmt.Fprintf(&b, "\n%s\n%s", h, columns(rows))
		}
	}
	return b.String()
}

func heading(f cli.Flag) string {
	if c, ok := f.(cli.CategorizableFlag); ok && c.GetCategory() != "" {
		return c.GetCategory()
	}
	return settings.Output
}

// flagRow returns a flag as typed, and what it does.
func flagRow(f cli.Flag) [2]string {
	typed, use := "--"+f.Names()[0], ""
	if len(f.Names()[0]) == 1 {
		typed = typed[1:]
	}
	switch f := f.(type) {
	case *cli.BoolFlag:
		use = f.Usage
	case *cli.StringFlag:
		var holds string
		use, holds, _ = strings.Cut(f.Usage, "|")
		typed += " " + holds
		if f.DefaultText != "" {
			use += " (" + f.DefaultText + ")"
		}
	}
	return [2]string{typed, use}
}

func columns(rows [][2]string) string {
	width := 0
	for _, r := range rows {
		width = max(width, len(r[0]))
	}
	var b strings.Builder
	for _, r := range rows {
		fmt.Fprintf(&b, "  %-*s  %s\n", width, r[0], r[1])
	}
	return b.String()
}

func indent(text string) string {
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	for i, l := range lines {
		if l != "" {
			lines[i] = "  " + l
		}
	}
	return strings.Join(lines, "\n")
}
