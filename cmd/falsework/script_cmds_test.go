package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"

	"falsework/mesh/atomicfile"
	"falsework/mesh/meshfile"
	"falsework/mesh/meshtest"
)

var ctx = context.Background()

// statusCommand runs a program and checks its exit status:
//
//	status 4 falsework survey missing.stl
func statusCommand(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N command...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	var exit *exec.ExitError
	switch {
	case errors.As(err, &exit):
		got = exit.ExitCode()
	case err != nil:
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// jsonCommand looks values up in a JSON file (or stdout):
//
//	json stdout ceilings.0.span 120
func jsonCommand(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 3 {
		ts.Fatalf("usage: json file path value")
	}
	var v any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile(args[0])), &v))
	for _, key := range strings.Split(args[1], ".") {
		switch x := v.(type) {
		case map[string]any:
			if key == "len" {
				v = len(x)
				continue
			}
			var ok bool
			if v, ok = x[key]; !ok {
				v = "absent"
			}
		case []any:
			if key == "len" {
				v = len(x)
				continue
			}
			n, err := strconv.Atoi(key)
			if err != nil || n >= len(x) {
				ts.Fatalf("no %q in %s", key, args[1])
			}
			v = x[n]
		default:
			ts.Fatalf("%s: nothing under %q", args[1], key)
		}
	}
	got := fmt.Sprint(v)
	if v == nil {
		got = "null"
	}
	if (got == args[2]) == neg {
		ts.Fatalf("%s is %s, want %s", args[1], got, args[2])
	}
}

// wholeCommand checks that files are whole, closed and sound solids:
//
//	whole doorway-ribbed.stl
func wholeCommand(ts *testscript.TestScript, neg bool, args []string) {
	for _, name := range args {
		f, err := meshfile.ReadFile(ctx, ts.MkAbs(name))
		ts.Check(err)
		if faults := meshtest.Faults(f.Mesh); (len(faults) > 0) != neg {
			ts.Fatalf("%s: %v", name, faults)
		}
	}
}

// noworkCommand checks that no folder or file of unfinished work is left:
//
//	nowork out
func noworkCommand(ts *testscript.TestScript, neg bool, args []string) {
	for _, dir := range args {
		ts.Check(filepath.WalkDir(ts.MkAbs(dir), func(path string, d fs.DirEntry, err error) error {
			if err == nil && (strings.HasPrefix(d.Name(), atomicfile.Prefix) || strings.HasPrefix(d.Name(), "work-")) {
				err = fmt.Errorf("%s is left", path)
			}
			return err
		}))
	}
}
