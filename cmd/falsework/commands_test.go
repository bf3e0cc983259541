package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
)

// Every command that reads a part takes its unit and pose, and those that make
// a mesh of it say where parts may be kept apart.
func TestCommandsThatReadAPartTakeUnitAndPose(t *testing.T) {
	want := map[string][]string{
		"survey": {"unit", "turn", "pose"}, "check": {"unit", "turn", "pose"}, "poses": {"unit", "turn"}, "trial": {"unit", "turn"},
		"batch": {"unit", "turn", "separate"}, "rib": {"unit", "turn", "pose", "separate", "keep-out-gap"},
	}
	for _, d := range commands() {
		var names []string
		for _, s := range d.settings {
			names = append(names, s.Name)
		}
		for _, name := range want[d.name] {
			if !slices.Contains(names, name) {
				t.Errorf("%s takes no --%s", d.name, name)
			}
		}
		delete(want, d.name)
	}
	if len(want) > 0 {
		t.Errorf("no such commands: %v", want)
	}
}

// All flags but those that name files, and the profile itself, are keys of a
// profile: what a command takes as a flag it takes from there.
func TestFlagsAreKeysOfAProfile(t *testing.T) {
	notKeys := map[string]bool{profileFlag: true}
	for _, d := range commands() {
		for _, f := range d.files {
			notKeys[f.Names()[0]] = true
		}
	}
	values := map[string]string{"unit": `"in"`, "turn": "[0, 0, 90]", "bed": "[250, 250, 300]", "crest": `"solid"`, "only": "[1]", "skip": "[2]"}
	for _, d := range commands() {
		if d.bare {
			continue
		}
		for _, f := range d.flags() {
			name := f.Names()[0]
			if notKeys[name] {
				continue
			}
			value, listed := values[name]
			if _, isSwitch := f.(*cli.BoolFlag); isSwitch {
				value, listed = "true", true
			} else if !listed {
				value = "0.35" // of the right kind or not, the key must be known
			}
			path := filepath.Join(t.TempDir(), "p.toml")
			if err := os.WriteFile(path, []byte(name+" = "+value+"\n"), 0o666); err != nil {
				t.Fatal(err)
			}
			p, err := readProfile(path)
			if err != nil && !listed && !strings.Contains(err.Error(), "unknown key") {
				continue
			}
			if err != nil {
				t.Errorf("%s: --%s is no key of a profile: %v", d.name, name, err)
				continue
			}
			if _, ok := p.Text(name); !ok {
				t.Errorf("%s: the profile's %s does not arrive", d.name, name)
			}
		}
	}
}
