// Package property runs property tests on the same draws every time, so that
// a gate that passed yesterday does not fail today by luck. With
// FALSEWORK_LONG=1 the draws are fresh; what they find is then reported with
// its seed, and belongs into a test of its own.
//
// Start at [Check]. It stands apart from package meshtest so that packages
// below that one can use it too.
package property

import (
	"flag"
	"os"
	"sync"
	"testing"

	"pgregory.net/rapid"
)

// Long tells whether the long loops run, and draws are fresh: FALSEWORK_LONG
// is set to anything but nothing.
func Long() bool { return os.Getenv("FALSEWORK_LONG") != "" }

// seed is where draws begin by default.
const seed = "1"

var once sync.Once

// Check holds a property to some hundred draws. The command line's
// -rapid.seed goes before the default seed.
func Check(t *testing.T, holds func(*rapid.T)) {
	t.Helper()
	once.Do(func() {
		if f := flag.Lookup("rapid.seed"); !Long() && f.Value.String() == f.DefValue {
			if err := f.Value.Set(seed); err != nil {
				t.Fatal(err)
			}
		}
	})
	rapid.Check(t, holds)
}
