package settings

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A Kind says what a setting's value looks like.
type Kind int

// The kinds of value.
const (
	Number  Kind = iota // one number
	Count               // a whole number
	Text                // a word
	Switch              // on or off
	Numbers             // numbers between commas
)

func (k Kind) String() string {
	return [...]string{"a number", "a whole number", "a text in quotes", "true or false", "a list of numbers"}[k]
}

// A Setting is one value a command can be told.
type Setting struct {
	Name     string // of the flag and of the key
	Kind     Kind
	Holds    string // what the value stands for in help texts: MM, DEGREES, N
	Usage    string // what it does, one line
	Default  string // built-in value in words, empty for none
	Category string // heading in help texts

	set func(text string) error
}

// Set takes the value from its text, as it stands on a command line. The
// error says what the value must be, without the setting's name.
func (s Setting) Set(text string) error { return s.set(text) }

// In returns the setting under a heading of the help texts.
func (s Setting) In(category string) Setting { s.Category = category; return s }

// A Range is what a number may be, ends included unless Above is set, which
// leaves Min itself out.
type Range struct {
	Min, Max float64
	Above    bool
	Unit     string // in messages: "mm"
}

func (r Range) String() string {
	unit := r.Unit
	if unit != "" {
		unit = " " + unit
	}
	if r.Above {
		return fmt.Sprintf("above %s and at most %s%s", trim(r.Min), trim(r.Max), unit)
	}
	return fmt.Sprintf("from %s to %s%s", trim(r.Min), trim(r.Max), unit)
}

func (r Range) holds(x float64) bool {
	return x >= r.Min && x <= r.Max && (!r.Above || x > r.Min)
}

// number parses a plain decimal number. Not a number, infinity and
// hexadecimal floats, which strconv would take, are refused.
func number(text string) (float64, error) {
	text = strings.TrimSpace(text)
	if text == "" || strings.ContainsAny(text, "xXpPnN_") {
		return 0, fmt.Errorf("must be a number, not %q", text)
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
		return 0, fmt.Errorf("must be a number, not %q", text)
	}
	return x, nil
}

func trim(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// NewNumber is a setting with one number.
func NewNumber(name, holds, usage string, p *float64, r Range) Setting {
	return Setting{Name: name, Kind: Number, Holds: holds, Usage: usage, set: func(text string) error {
		x, err := number(text)
		if err != nil {
			return err
		}
		if !r.holds(x) {
			return fmt.Errorf("must be %v, not %s", r, strings.TrimSpace(text))
		}
		*p = x
		return nil
	}}
}

// NewCount is a setting with a whole number.
func NewCount(name, holds, usage string, p *int, least, most int) Setting {
	return Setting{Name: name, Kind: Count, Holds: holds, Usage: usage, set: func(text string) error {
		n, err := strconv.Atoi(strings.TrimSpace(text))
		if err != nil {
			return fmt.Errorf("must be a whole number, not %q", text)
		}
		if n < least || n > most {
			return fmt.Errorf("must be a whole number from %d to %d, not %d", least, most, n)
		}
		*p = n
		return nil
	}}
}

// NewChoice is a setting with one of a few words.
func NewChoice(name, usage string, p *string, words ...string) Setting {
	return Setting{Name: name, Kind: Text, Holds: "WORD", Usage: usage, set: func(text string) error {
		for _, w := range words {
			if text == w {
				*p = w
				return nil
			}
		}
		return fmt.Errorf("must be %s, not %q", strings.Join(words, " or "), text)
	}}
}

// NewText is a setting with any text that check, when not nil, accepts.
func NewText(name, holds, usage string, p *string, check func(string) error) Setting {
	return Setting{Name: name, Kind: Text, Holds: holds, Usage: usage, set: func(text string) error {
		if check != nil {
			if err := check(text); err != nil {
				return err
			}
		}
		*p = text
		return nil
	}}
}

// NewSwitch is a setting that is on or off.
func NewSwitch(name, usage string, p *bool) Setting {
	return Setting{Name: name, Kind: Switch, Usage: usage, set: func(text string) error {
		on, err := strconv.ParseBool(text)
		if err != nil {
			return fmt.Errorf("must be true or false, not %q", text)
		}
		*p = on
		return nil
	}}
}

// NewNumbers is a setting with a list of numbers; n is how many there must
// be, 0 for any number but none.
func NewNumbers(name, holds, usage string, p *[]float64, n int, r Range) Setting {
	return Setting{Name: name, Kind: Numbers, Holds: holds, Usage: usage, set: func(text string) error {
		parts := strings.Split(text, ",")
		if n > 0 && len(parts) != n {
			return fmt.Errorf("must be %d numbers between commas, not %q", n, text)
		}
		var list []float64
		for _, part := range parts {
			x, err := number(part)
			if err != nil {
				return err
			}
			if !r.holds(x) {
				return fmt.Errorf("must be %v, not %s", r, trim(x))
			}
			list = append(list, x)
		}
		*p = list
		return nil
	}}
}

// NewTriple is a setting with three numbers.
func NewTriple(name, holds, usage string, p *[3]float64, r Range) Setting {
	var list []float64
	s := NewNumbers(name, holds, usage, &list, 3, r)
	inner := s.set
	s.set = func(text string) error {
		if err := inner(text); err != nil {
			return err
		}
		copy(p[:], list)
		return nil
	}
	return s
}

// NewIDs is a setting with ceiling numbers.
func NewIDs(name, usage string, p *[]int) Setting {
	return Setting{Name: name, Kind: Numbers, Holds: "N,N,...", Usage: usage, set: func(text string) error {
		var ids []int
		for _, part := range strings.Split(text, ",") {
			n, err := strconv.Atoi(strings.TrimSpace(part))
			if err != nil || n < 1 {
				return fmt.Errorf("must be ceiling numbers between commas, as survey lists them, not %q", text)
			}
			ids = append(ids, n)
		}
		*p = ids
		return nil
	}}
}
