package settings

import (
	"reflect"
	"strings"
	"testing"

	"falsework/span"
)

func TestParseSeen(t *testing.T) {
	cases := []struct {
		text string
		want []span.Observation
	}{
		{"30=clean", []span.Observation{{At: 30}}},
		{"30,70=clean, 100=sagging", []span.Observation{{At: 30}, {At: 70}, {At: 100, Seen: span.Sagging}}},
		{"20=0.05,40.5=0", []span.Observation{{At: 20, Seen: span.Measured, Sag: 0.05}, {At: 40.5, Seen: span.Measured}}},
		{"50=failed,60=0.4", []span.Observation{{At: 50, Seen: span.Failed}, {At: 60, Seen: span.Measured, Sag: 0.4}}},
	}
	for _, c := range cases {
		got, err := ParseSeen(c.text)
		if err != nil || !reflect.DeepEqual(got, c.want) {
			t.Errorf("%q: %v, %v; want %v", c.text, got, err, c.want)
		}
	}
	for text, want := range map[string]string{
		"":                              "no number",
		"clean":                         "no number",
		"30":                            "must say what was seen at 30",
		"30=clean,40":                   "must say what was seen at 40",
		"30=droopy":                     `not "droopy"`,
		"30=-1":                         "cannot have a sag",
		"30=NaN":                        `not "NaN"`,
		"30,40=0.1":                     "must give 30 a sag of its own",
		"=clean":                        "no number",
		"30=clean,":                     "no number",
		strings.Repeat("1=clean,", 300): "at most 200",
		"1e999=clean":                   "no number",
		"30=clean=sagging":              `not "clean=sagging"`,
	} {
		if got, err := ParseSeen(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.40q: %v, %v; want an error with %q", text, got, err, want)
		}
	}
}

// What was seen, written out and read again, is the same; nothing panics.
func FuzzParseSeen(f *testing.F) {
	for _, s := range []string{"30,70=clean,100=sagging", "20=0.05,40=0.12", "1=failed", "=,=", "30=clean,,40"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		seen, err := ParseSeen(text)
		if err != nil {
			if strings.Contains(err.Error(), "\n") && !strings.Contains(text, "\n") {
				t.Fatalf("an error of several lines: %q", err)
			}
			return
		}
		var parts []string
		for _, o := range seen {
			word := o.Seen.String()
			if o.Seen == span.Measured {
				word = trim(o.Sag)
			}
			parts = append(parts, trim(o.At)+"="+word)
		}
		again, err := ParseSeen(strings.Join(parts, ","))
		if err != nil || !reflect.DeepEqual(seen, again) {
			t.Fatalf("%q: %v, read again %v (%v)", text, seen, again, err)
		}
	})
}
