package main

import (
	"strings"
	"testing"
)

func TestFlagsMayStandAnywhere(t *testing.T) {
	takesValue := func(name string) bool { return name == "limit" || name == "o" || name == "turn" }
	for _, c := range []struct{ in, want string }{
		{"part.stl", "-- part.stl"},
		{"part.stl --limit 60", "--limit 60 -- part.stl"},
		{"--limit 60 part.stl", "--limit 60 -- part.stl"},
		{"part.stl --limit=60 --json", "--limit=60 --json -- part.stl"},
		{"--json part.stl -o out.stl", "--json -o out.stl -- part.stl"},
		{"- -o -", "-o - -- -"},
		{"part.stl --turn -90,0,0", "--turn -90,0,0 -- part.stl"},
		{"--json -- --limit", "--json -- --limit"},
		{"--json -- -x.stl -- y", "--json -- -x.stl -- y"},
		{"part.stl --limit", "--limit needs a value"},
		{"", "--"},
	} {
		words, err := arrange(strings.Fields(c.in), takesValue)
		got := strings.Join(words, " ")
		if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%q: got %q, want %q", c.in, got, c.want)
		}
	}
}
