package settings

import (
	"fmt"
	"strings"

	"falsework/span"
)

// mostSeen bounds how many places one command line tells of.
const mostSeen = 200

// ParseSeen reads what was seen on a test piece: places between commas, each
// with =clean, =sagging, =failed or a sag in mm. A place without one shares
// what is said of the next that has one:
//
//	20,30,70=clean,100=sagging
//	20=0.05,40=0.12,60=0.31
func ParseSeen(text string) ([]span.Observation, error) {
	var out []span.Observation
	open := 0 // observations still without a word
	for _, part := range strings.Split(text, ",") {
		place, word, said := strings.Cut(part, "=")
		at, err := number(place)
		if err != nil {
			return nil, fmt.Errorf("must be places between commas with what was seen, like 30,70=clean,100=sagging or 30=0.1; %q has no number before the =", strings.TrimSpace(part))
		}
		if len(out) == mostSeen {
			return nil, fmt.Errorf("must be at most %d places", mostSeen)
		}
		out = append(out, span.Observation{At: at})
		if !said {
			open++
			continue
		}
		seen, sag, err := parseWord(strings.TrimSpace(word))
		if err != nil {
			return nil, err
		}
		if seen == span.Measured && open > 0 {
			return nil, fmt.Errorf("must give %s a sag of its own, or say clean, sagging or failed", trim(out[len(out)-2].At))
		}
		for i := len(out) - 1 - open; i < len(out); i++ {
			out[i].Seen, out[i].Sag = seen, sag
		}
		open = 0
	}
	if open > 0 {
		return nil, fmt.Errorf("must say what was seen at %s: =clean, =sagging, =failed or a sag in mm", trim(out[len(out)-1].At))
	}
	return out, nil
}

func parseWord(word string) (span.Seen, float64, error) {
	for s := span.Clean; s <= span.Failed; s++ {
		if word == s.String() {
			return s, 0, nil
		}
	}
	sag, err := number(word)
	if err != nil {
		return 0, 0, fmt.Errorf("must say clean, sagging, failed or a sag in mm, not %q", word)
	}
	if sag < 0 || sag > 1000 {
		return 0, 0, fmt.Errorf("cannot have a sag of %s mm", trim(sag))
	}
	return span.Measured, sag, nil
}
