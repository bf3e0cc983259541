package settings

import (
	"math"
	"strings"
	"testing"

	"falsework/rib"
)

// all returns fresh values and every setting of a part's commands.
func all() (*Values, []Setting) {
	v := New()
	list := append(v.ForReading(), v.ForSurvey()...)
	list = append(append(list, v.ForRibs()...), v.ForEstimates()...)
	return v, append(list, v.ForChoice()...)
}

// give sets values by name=text and finishes.
func give(t *testing.T, words ...string) (*Values, error) {
	t.Helper()
	v, list := all()
	for _, w := range words {
		name, text, _ := strings.Cut(w, "=")
		found := false
		for _, s := range list {
			if s.Name == name {
				found = true
				if err := s.Set(text); err != nil {
					return nil, err
				}
			}
		}
		if !found {
			t.Fatalf("no setting %q", name)
		}
	}
	return v, v.Finish()
}

// Facts of the trade (common practice, no published source): with 70 mm shown
// on the coupon ribs are set 40 mm apart; a 0.4 mm nozzle lays ribs of 0.5 mm.
func TestBuiltInValuesFollowFromEachOther(t *testing.T) {
	for _, c := range []struct {
		words                          string
		spacing, width, pitch, setback float64
	}{
		{"", 40, 0.5, 35, 0.4},
		{"limit=35", 20, 0.5, 35, 0.4},
		{"nozzle=0.6", 40, 0.75, 52.5, 0.6},
		{"nozzle=0.6 rib-width=0.7", 40, 0.7, 49, 0.6},
		{"slenderness=50", 40, 0.5, 25, 0.4},
		{"ledge=0.5", 40, 0.5, 35, 0.25},
		{"ledge=0.5 setback=0.4", 40, 0.5, 35, 0.4},
		{"limit=35 spacing=30 brace-pitch=12 setback=0", 30, 0.5, 12, 0},
	} {
		v, err := give(t, strings.Fields(c.words)...)
		if err != nil {
			t.Errorf("%q: %v", c.words, err)
			continue
		}
		r := v.Rib
		for i, p := range [][2]float64{{r.Spacing, c.spacing}, {r.Width, c.width}, {r.BracePitch, c.pitch}, {r.Setback, c.setback}} {
			if math.Abs(p[0]-p[1]) > 1e-12 {
				t.Errorf("%q: value %d is %g, want %g", c.words, i, p[0], p[1])
			}
		}
	}
}

func TestContradictionsAreRefused(t *testing.T) {
	for _, c := range []struct{ words, want string }{
		{"spacing=80", "spacing 80 is over the limit of 70"},
		{"rib-width=0.3", "rib-width 0.3 is below the nozzle of 0.4"},
		{"rib-width=9 spacing=10", "leaves no bay"},
		{"brace-layers=20 brace-pitch=1", "brace-pitch 1 is below the 20 layers"},
		{"layer=0.5", "layer 0.5 is higher than the nozzle"},
		{"first-layer=0.5", "first-layer 0.5 is higher than the nozzle"},
		{"limit=2 ledge=2", "ledge 2 is not below the limit of 2"},
		{"only=1 skip=2", "only and skip contradict"},
		{"limit=0", "from 1 to 1000 mm, not 0"},
		{"limit=nan", "must be a number"},
		{"limit=inf", "must be a number"},
		{"limit=0x10", "must be a number"},
		{"limit=", "must be a number"},
		{"layer=0", "above 0 and at most 2 mm"},
		{"layer=-0.2", "above 0 and at most 2 mm"},
		{"brace-layers=2.5", "must be a whole number"},
		{"brace-layers=0", "from 1 to 20"},
		{"bed=220,220", "must be 3 numbers"},
		{"bed=220,220,0", "above 0"},
		{"crest=sharp", "auto or solid or notched"},
		{"unit=yards", "mm or cm or m or in"},
		{"only=0", "ceiling numbers"},
		{"only=1,,2", "ceiling numbers"},
		{"sealed=perhaps", "true or false"},
	} {
		_, err := give(t, strings.Fields(c.words)...)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: got %v, want ...%s...", c.words, err, c.want)
		}
	}
}

func TestValuesArrive(t *testing.T) {
	v, err := give(t, "limit=60", "slope=50", "bed= 220, 230,250", "only=3,1", "crest=notched", "sealed=true", "unit=in", "turn=90,0,-90", "spool=180", "density=1.27")
	if err != nil {
		t.Fatal(err)
	}
	if v.Survey.Limit != 60 || v.Survey.Slope != 50 || v.Rib.Bed != [3]float64{220, 230, 250} || len(v.Rib.Only) != 2 || v.Rib.Only[0] != 3 ||
		v.Rib.Crest != rib.CrestNotched || !v.Rib.Sealed || v.Unit != "in" || v.Turn != [3]float64{90, 0, -90} || v.Rib.Material.Spool != 180 || v.Rib.Material.Density != 1.27 {
		t.Errorf("got %+v", v)
	}
	if !v.Given("limit") || v.Given("nozzle") {
		t.Error("what was given is not known")
	}
}
