package settings

import (
	"bytes"
	"fmt"
	"strings"
)

// A Change gives one key of a profile a value.
type Change struct {
	Key  string
	Text string // the value as TOML
	Why  string // a remark that goes behind it, may be empty
}

// opening begins a profile that was not there before.
const opening = "# What one machine does with one filament and one nozzle. Give it to any command with\n" +
	"# --profile. A key is the name of a flag; a flag given on the command line wins. Keep\n" +
	"# another file for another machine, filament or nozzle.\n"

// EditProfile gives keys of a profile new values and leaves everything else
// in it, order and remarks included, as it was. A key that was there keeps its
// place, its line is replaced; a new one is added at the end. An empty
// profile is begun. The data must be a profile that [ReadProfile] takes.
func EditProfile(data []byte, changes []Change) []byte {
	if len(bytes.TrimSpace(data)) == 0 {
		data = []byte(opening + "schema = " + Quote(Schema) + "\n")
	}
	lines := strings.SplitAfter(string(data), "\n")
	end := "\n"
	if strings.HasSuffix(lines[0], "\r\n") {
		end = "\r\n"
	}
	if last := &lines[len(lines)-1]; *last == "" {
		lines = lines[:len(lines)-1]
	} else if !strings.HasSuffix(*last, "\n") {
		*last += end
	}
	at := keyLines(data)
	for _, c := range changes {
		line := c.Key + " = " + c.Text
		if c.Why != "" {
			line += " # " + strings.Join(strings.Fields(c.Why), " ")
		}
		if n, there := at[c.Key]; there {
			lines[n-1] = line + end
			continue
		}
		lines = append(lines, line+end)
	}
	return []byte(strings.Join(lines, ""))
}

// Quote writes a text as a TOML string on one line.
func Quote(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// Others returns the keys of a profile that some changes do not name, in its
// order.
func (p *Profile) Others(changes []Change) []string {
	var out []string
next:
	for _, e := range p.keys {
		for _, c := range changes {
			if c.Key == e.name {
				continue next
			}
		}
		out = append(out, e.name)
	}
	return out
}
