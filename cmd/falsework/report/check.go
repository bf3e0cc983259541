package report

import (
	"fmt"
	"strings"

	"falsework/span"
)

// CheckSchema is the version of the JSON form of a check.
const CheckSchema = "falsework/check/1"

// Check is the answer of a check: what keeps the part from being printed as
// it stands.
type Check struct {
	Schema   string   `json:"schema"`
	Part     string   `json:"part"`
	Closed   bool     `json:"closed"`
	Notes    []string `json:"notes,omitempty"`
	Settings Settings `json:"settings"`
	NeedRibs []int    `json:"need_ribs"` // ceiling numbers
	Why      []string `json:"why"`       // the reason of each
}

// NewCheck judges a survey.
func NewCheck(p Part, s *span.Survey) Check {
	c := Check{Schema: CheckSchema, Part: p.Name, Closed: p.Closed, Notes: p.Notes, Settings: settingsOf(s.Settings), NeedRibs: []int{}, Why: []string{}}
	for _, x := range s.Ceilings {
		if x.NeedsRibs && !x.Low && !x.Small {
			c.NeedRibs = append(c.NeedRibs, x.ID)
			c.Why = append(c.Why, x.Why)
		}
	}
	return c
}

// OK tells whether the part prints as it stands.
func (c Check) OK() bool { return c.Closed && len(c.NeedRibs) == 0 }

// Words says the answer, a line for each thing.
func (c Check) Words() string {
	var lines []string
	if !c.Closed {
		lines = append(lines, c.Part+": the surface is not closed as it stands")
		for _, n := range c.Notes {
			lines = append(lines, wrap("  ", n, reading))
		}
	}
	switch {
	case len(c.NeedRibs) == 0 && c.Closed:
		lines = append(lines, fmt.Sprintf("%s: closed, and no ceiling needs ribs at a bridge limit of %s mm", c.Part, plain(c.Settings.Limit)))
	case len(c.NeedRibs) > 0:
		lines = append(lines, fmt.Sprintf("%s: %s at a bridge limit of %s mm:", c.Part, needCeilings(len(c.NeedRibs)), plain(c.Settings.Limit)))
		for i, id := range c.NeedRibs {
			lines = append(lines, fmt.Sprintf("  ceiling %d: %s", id, c.Why[i]))
		}
	}
	return strings.Join(lines, "\n")
}

func needCeilings(n int) string {
	if n == 1 {
		return "1 ceiling needs ribs"
	}
	return thousands(n) + " ceilings need ribs"
}
