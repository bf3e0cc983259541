package web

import (
	"errors"
	"testing"
)

// Where the lowest brace finds no place there is no set that holds the web; what
// lies above is braced all the same, and the error names a place below.
func TestSomeBraces(t *testing.T) {
	seen, braced := 0, 0
	for _, sc := range scenes() {
		w, err := Shape(sc.site)
		if err != nil || w.column || len(w.Braces) < 2 {
			continue
		}
		low := w.Braces[0].Z[0]
		above := func(_, z float64) bool { return z > low+0.1 }
		all, err := w.Brace(above)
		if err == nil {
			continue // others hold it
		}
		if !errors.Is(err, ErrSteady) || all != nil {
			t.Errorf("%s: %d braces and %v", sc.name, len(all), err)
		}
		seen++
		some, err := w.Walk().Some(nil, above)
		var e *PlaceError
		if !errors.As(err, &e) || !errors.Is(err, ErrSteady) {
			t.Errorf("%s: %v", sc.name, err)
			continue
		}
		braced += len(some)
		for _, b := range some {
			if !above(b.U, b.Z[0]) || b.On == "" {
				t.Errorf("%s: %+v was not offered", sc.name, b)
			}
		}
		before, _, _ := w.Slack(nil)
		after, _, _ := w.Slack(some)
		if after < before || after >= 0 {
			t.Errorf("%s: slack %.1f without, %.1f with", sc.name, before, after)
		}
	}
	if seen == 0 || braced == 0 {
		t.Errorf("%d scenes need their lowest brace, %d braces in them", seen, braced)
	}
}

// A web that can be made steady gets from Some what it gets from Brace.
func TestSomeIsBraceWhereThatIs(t *testing.T) {
	for _, sc := range scenes() {
		w, err := Shape(sc.site)
		if err != nil {
			continue
		}
		all, err := w.Brace(nil)
		if err != nil {
			continue
		}
		some, err := w.Walk().Some(nil, nil)
		if err != nil || len(some) != len(all) {
			t.Fatalf("%s: %v, %d and %d braces", sc.name, err, len(some), len(all))
		}
		for i := range all {
			if all[i] != some[i] {
				t.Errorf("%s: %+v, %+v", sc.name, all[i], some[i])
			}
		}
	}
}
