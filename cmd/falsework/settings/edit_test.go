package settings

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"falsework/mesh/meshtest/property"
)

func TestEditProfile(t *testing.T) {
	limit := Change{Key: "limit", Text: "62.5", Why: "mm, calibrated"}
	cases := []struct{ name, before, want string }{
		{"keeps remarks and order",
			"# the left machine\nlimit = 70 # guessed\n\n# for the big roofs\nspacing = 30\n",
			"# the left machine\nlimit = 62.5 # mm, calibrated\n\n# for the big roofs\nspacing = 30\n"},
		{"adds at the end", "spacing = 30\n", "spacing = 30\nlimit = 62.5 # mm, calibrated\n"},
		{"without a last line feed", "spacing = 30", "spacing = 30\nlimit = 62.5 # mm, calibrated\n"},
		{"line feeds of another system", "spacing = 30\r\nlimit = 50\r\nfoot = 3\r\n", "spacing = 30\r\nlimit = 62.5 # mm, calibrated\r\nfoot = 3\r\n"},
		{"a key in quotes", "\"limit\"   =   70\n", "limit = 62.5 # mm, calibrated\n"},
		{"a remark like a key", "# limit = 1\nnote = \"\"\"\nlimit = 2\n\"\"\"\nlimit = 3\n", "# limit = 1\nnote = \"\"\"\nlimit = 2\n\"\"\"\nlimit = 62.5 # mm, calibrated\n"},
		{"a list on several lines", "spans = [\n 20,\n 30,\n]\nlimit = 3", "spans = [\n 20,\n 30,\n]\nlimit = 62.5 # mm, calibrated\n"},
	}
	for _, c := range cases {
		if got := string(EditProfile([]byte(c.before), []Change{limit})); got != c.want {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, got, c.want)
		}
	}
	began := string(EditProfile(nil, []Change{limit}))
	if !strings.HasPrefix(began, "# ") || !strings.Contains(began, "\nschema = \""+Schema+"\"\nlimit = 62.5") {
		t.Errorf("begun:\n%s", began)
	}
}

// Whatever the machine is called, the profile reads back with that name, and
// editing twice changes nothing more.
func TestEditProfileReadsBack(t *testing.T) {
	property.Check(t, func(t *rapid.T) {
		name := strings.ToValidUTF8(rapid.String().Draw(t, "name"), "?")
		limit := rapid.Float64Range(1, 1000).Draw(t, "limit")
		v := New()
		changes := []Change{{Key: "machine", Text: Quote(name)}, {Key: "limit", Text: trim(limit), Why: "a\nremark"}}
		data := EditProfile([]byte("foot = 3 # as ever\n"), changes)
		p, err := ReadProfile("p.toml", data, v.All())
		if err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		if p.About["machine"] != name || v.Survey.Limit != limit || v.Rib.Foot != 3 {
			t.Fatalf("machine %q limit %v foot %v from\n%s", p.About["machine"], v.Survey.Limit, v.Rib.Foot, data)
		}
		if again := EditProfile(data, changes); string(again) != string(data) {
			t.Fatalf("edited again:\n%s\nwas\n%s", again, data)
		}
		if kept := p.Others(changes); len(kept) != 1 || kept[0] != "foot" {
			t.Fatalf("kept %v", kept)
		}
	})
}
