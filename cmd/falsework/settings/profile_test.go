package settings

import (
	"strings"
	"testing"
)

var profiles = []struct {
	text string
	want string // in the error; empty for none
}{
	{"", ""},
	{"limit = 60\n", ""},
	{"schema = \"falsework/profile/1\"\nmachine = \"workshop, left\"\nfilament = \"PETG, grey\"\nmade = 2026-03-01\nlimit = 62.5 # clean\nslope = 50\n", ""},
	{"bed = [220, 220, 250.5]\n", ""},
	{"bed = \"220,220,250\"\n", ""},
	{"crest = \"solid\"\nsealed = true\nbrace-layers = 3\n", ""},
	{"limit = 60\nlimmit = 70\n", `p.toml:2: unknown key "limmit"; did you mean "limit"?`},
	{"\n\nzzzzzzz = 1\n", `p.toml:3: unknown key "zzzzzzz"`},
	{"limit = 60\nslope = 95\n", "p.toml:2: slope must be from 10 to 80 degrees, not 95"},
	{"limit = \"60\"\n", "p.toml:1: limit must be a number"},
	{"limit = inf\n", "p.toml:1: limit must be a number"},
	{"limit = nan\n", "p.toml:1: limit must be a number"},
	{"limit = true\n", "p.toml:1: limit must be a number"},
	{"limit = [60]\n", "p.toml:1: limit must be a number"},
	{"brace-layers = 2.0\n", "p.toml:1: brace-layers must be a whole number"},
	{"sealed = 1\n", "p.toml:1: sealed must be true or false"},
	{"bed = [220, 220]\n", "p.toml:1: bed must be 3 numbers"},
	{"bed = [220, 220, \"x\"]\n", "p.toml:1: bed must be a list of numbers"},
	{"limit = 60\nlimit = 70\n", "p.toml:2: "},
	{"limit = \n", "p.toml:1: "},
	{"limit 60\n", "p.toml:1: "},
	{"limit = 60\n[ribs]\nspacing = 30\n", `p.toml:2: unknown key "ribs"`},
	{"ribs.spacing = 30\n", `p.toml:1: unknown key "ribs"`},
	{"[limit]\nx = 1\n", "p.toml:1: limit must be a number"},
	{"schema = \"falsework/profile/9\"\n", "p.toml:1: schema"},
	{"machine = 7\n", "p.toml:1: machine must be a text"},
	{"limit = 60\n\xff\n", "p.toml:2: "},
}

func TestProfiles(t *testing.T) {
	for _, c := range profiles {
		_, known := all()
		p, err := ReadProfile("p.toml", []byte(c.text), known)
		switch {
		case c.want == "" && err != nil:
			t.Errorf("%q: %v", c.text, err)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%q: got %v, want ...%s...", c.text, err, c.want)
		case err != nil && strings.Contains(err.Error(), "\n"):
			t.Errorf("%q: more than one line: %v", c.text, err)
		case err != nil && p != nil:
			t.Errorf("%q: a profile and an error", c.text)
		}
	}
}

func TestProfileTexts(t *testing.T) {
	_, known := all()
	p, err := ReadProfile("p.toml", []byte("machine = \"left\"\nlimit = 62.5\nbed = [220, 220.5, 250]\nsealed = false\n"), known)
	if err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]string{"limit": "62.5", "bed": "220,220.5,250", "sealed": "false"} {
		if got, ok := p.Text(key); !ok || got != want {
			t.Errorf("%s: got %q, want %q", key, got, want)
		}
	}
	if _, ok := p.Text("slope"); ok {
		t.Error("a key that is not in the file")
	}
	if p.About["machine"] != "left" {
		t.Errorf("about: %v", p.About)
	}
}

// Whatever the bytes, there is a profile or an error of one line that begins
// with the file's name; and every value kept is one that its setting takes.
func FuzzProfile(f *testing.F) {
	for _, c := range profiles {
		f.Add([]byte(c.text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		_, known := all()
		p, err := ReadProfile("p.toml", data, known)
		if err != nil {
			if !strings.HasPrefix(err.Error(), "p.toml:") || strings.ContainsAny(err.Error(), "\n\r") {
				t.Fatalf("message %q", err)
			}
			return
		}
		_, again := all()
		for _, s := range again {
			if text, ok := p.Text(s.Name); ok {
				if err := s.Set(text); err != nil {
					t.Fatalf("%s %v", s.Name, err)
				}
			}
		}
	})
}
