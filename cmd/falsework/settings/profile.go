package settings

import (
	"errors"
	"fmt"
	"sort"
	"strconv"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// Schema is the version of the profile's layout; a profile may name it.
const Schema = "falsework/profile/1"

// about are the keys of a profile that set nothing: they say what it is for.
var about = []string{"schema", "machine", "filament", "made", "note"}

// A Profile is the values that a profile file gives, as text, in the order
// of their keys.
type Profile struct {
	Name  string // of the file, for messages
	About map[string]string
	keys  []entry
}

type entry struct {
	name, text string
	line       int
}

// Text returns the value of a key, and whether the profile has it. No profile
// at all, a nil one, has no key.
func (p *Profile) Text(key string) (string, bool) {
	if p == nil {
		return "", false
	}
	for _, e := range p.keys {
		if e.name == key {
			return e.text, true
		}
	}
	return "", false
}

// ReadProfile reads a profile strictly. Known are all settings of all
// commands: a key of a command that is not running is checked and otherwise
// passed over. Errors name the file and the line.
func ReadProfile(name string, data []byte, known []Setting) (*Profile, error) {
	var values map[string]any
	if err := toml.Unmarshal(data, &values); err != nil {
		var d *toml.DecodeError
		if errors.As(err, &d) {
			row, _ := d.Position()
			return nil, fmt.Errorf("%s:%d: %s", name, row, strings.TrimPrefix(d.Error(), "toml: "))
		}
		return nil, fmt.Errorf("%s: %s", name, strings.TrimPrefix(err.Error(), "toml: "))
	}
	lines := keyLines(data)
	p := &Profile{Name: name, About: map[string]string{}}
	for key := range values {
		p.keys = append(p.keys, entry{name: key, line: lines[key]})
	}
	sort.Slice(p.keys, func(i, j int) bool {
		a, b := p.keys[i], p.keys[j]
		if a.line != b.line {
			return a.line < b.line
		}
		return a.name < b.name
	})
	byName := map[string]Setting{}
	for _, s := range known {
		byName[s.Name] = s
	}
	kept := p.keys[:0]
	for _, e := range p.keys {
		at := fmt.Sprintf("%s:%d: ", name, e.line)
		if contains(about, e.name) {
			if err := p.describe(e.name, values[e.name]); err != nil {
				return nil, fmt.Errorf("%s%w", at, err)
			}
			continue
		}
		s, ok := byName[e.name]
		if !ok {
			return nil, fmt.Errorf("%sunknown key %q%s", at, e.name, near(e.name, known))
		}
		text, err := textOf(values[e.name], s.Kind)
		if err == nil {
			err = s.Set(text)
		}
		if err != nil {
			return nil, fmt.Errorf("%s%s %w", at, e.name, err)
		}
		e.text = text
		kept = append(kept, e)
	}
	p.keys = kept
	return p, nil
}

// describe keeps one of the keys that only tell what the profile is.
func (p *Profile) describe(key string, value any) error {
	text, ok := value.(string)
	if !ok {
		switch value.(type) {
		case time.Time, toml.LocalDate, toml.LocalDateTime:
			text = fmt.Sprint(value)
		default:
			return fmt.Errorf("%s must be a text in quotes", key)
		}
	}
	if key == "schema" && text != Schema {
		return fmt.Errorf("schema %q is not one this version reads; it reads %q", text, Schema)
	}
	p.About[key] = text
	return nil
}

// textOf writes a value of the file as it would stand on the command line.
func textOf(value any, k Kind) (string, error) {
	wrong := fmt.Errorf("must be %v", k)
	switch x := value.(type) {
	case float64:
		if k == Number {
			return strconv.FormatFloat(x, 'g', -1, 64), nil
		}
	case int64:
		if k == Number || k == Count || k == Numbers {
			return strconv.FormatInt(x, 10), nil
		}
	case bool:
		if k == Switch {
			return strconv.FormatBool(x), nil
		}
	case string:
		if k == Text || k == Numbers {
			return x, nil
		}
	case []any:
		if k != Numbers {
			return "", wrong
		}
		var parts []string
		for _, e := range x {
			t, err := textOf(e, Number)
			if err != nil {
				return "", wrong
			}
			parts = append(parts, t)
		}
		return strings.Join(parts, ","), nil
	}
	return "", wrong
}

// keyLines returns the line on which each key of the top level stands. The
// data has been parsed before, so it is well formed.
func keyLines(data []byte) map[string]int {
	lines := map[string]int{}
	var p unstable.Parser
	p.Reset(data)
	table := ""
	for p.NextExpression() {
		e := p.Expression()
		key := e.Key()
		if !key.Next() {
			continue
		}
		n := key.Node()
		first := string(n.Data)
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table = first
		case unstable.KeyValue:
			if table != "" {
				first = table
			}
		}
		if _, seen := lines[first]; !seen {
			lines[first] = p.Shape(n.Raw).Start.Line
		}
	}
	return lines
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// near names the known key that a mistyped one is closest to, when it is
// close.
func near(key string, known []Setting) string {
	best, at := "", 3
	for _, s := range known {
		if d := distance(key, s.Name); d < at || d == at && at < 3 && s.Name < best {
			best, at = s.Name, d
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf("; did you mean %q?", best)
}

// distance is the number of single letters to insert, remove or change
// (Levenshtein) to make b of a.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diag := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := diag
			if a[i-1] != b[j-1] {
				cost++
			}
			diag = row[j]
			row[j] = min(cost, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
