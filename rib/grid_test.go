package rib_test

import (
	"fmt"
	"testing"

	"falsework/mesh"
	mt "falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/rib"
	"falsework/span"
)

// A machine is settings that somebody would give, as they differ from the
// built-in ones. Zero is the built-in value.
type machine struct {
	limit, slope, ledge, nozzle, layer, width, slenderness float64
}

func (x machine) String() string {
	out := ""
	for _, f := range []struct {
		name string
		v    float64
	}{{"limit", x.limit}, {"slope", x.slope}, {"ledge", x.ledge}, {"nozzle", x.nozzle}, {"layer", x.layer}, {"width", x.width}, {"slenderness", x.slenderness}} {
		if f.v != 0 {
			out += fmt.Sprintf(" %s %g", f.name, f.v)
		}
	}
	return out[min(1, len(out)):]
}

func (x machine) settings() (span.Settings, rib.Settings) {
	sv := span.Defaults()
	or := func(to *float64, v float64) {
		if v != 0 {
			*to = v
		}
	}
	or(&sv.Limit, x.limit)
	or(&sv.Slope, x.slope)
	or(&sv.Ledge, x.ledge)
	or(&sv.Nozzle, x.nozzle)
	or(&sv.Layer, x.layer)
	or(&sv.FirstLayer, x.layer)
	s := rib.DefaultSettings(sv)
	or(&s.Width, x.width)
	or(&s.Slenderness, x.slenderness)
	s.BracePitch = s.Slenderness * s.Width
	return sv, s
}

// holds fails the test unless every ceiling that needs ribs gets steady ones.
func (x machine) holds(t *testing.T, m *mesh.Mesh) *rib.Plan {
	sv, s := x.settings()
	p, _ := ribbedWith(t, m, sv, s)
	if p.Ribbed() == 0 {
		t.Error("nothing is ribbed")
	}
	for _, c := range p.Ceilings {
		if c.Fault {
			t.Errorf("ceiling %d is left: %s", c.ID, c.Left)
		}
		if len(c.Unsteady) > 0 {
			t.Errorf("ceiling %d: %d of %d ribs are unsteady", c.ID, len(c.Unsteady), len(c.Ribs))
		}
	}
	return p
}

// openCase is a case 110 x 60, 90 high with walls of 3, open behind, with a
// window in front that reaches near the roof: no corbel springs from there.
func openCase() *mesh.Mesh {
	return mt.Blocks(mt.Add(0, 0, 0, 110, 60, 90), mt.Cut(3, 3, 3, 107, 60, 87), mt.Cut(20, 0, 10, 90, 3, 75))
}

// holedCase is a case 90 x 60, 80 high, open behind, with a hole in its roof: at
// its rim a lip hangs where equal bays fall badly.
func holedCase() *mesh.Mesh {
	return mt.Blocks(mt.Add(0, 0, 0, 90, 60, 80), mt.Cut(3, 3, 3, 87, 60, 77), mt.Cut(33, 22, 70, 62, 44, 80))
}

// The plan holds over settings that makers give, not only the built-in ones.
func TestMachines(t *testing.T) {
	cases := []struct {
		name string
		make func() *mesh.Mesh
		with []machine // the first of them by default, all with FALSEWORK_LONG
	}{
		{"open case", openCase, []machine{{limit: 20}, {limit: 30}, {limit: 50}, {limit: 30, nozzle: 0.25, layer: 0.1}}},
		{"holed case", holedCase, []machine{{limit: 30}, {limit: 20}, {limit: 40, nozzle: 0.6, layer: 0.3}}},
	}
	for _, c := range cases {
		for i, x := range c.with {
			if i > 0 && !property.Long() {
				break
			}
			t.Run(c.name+" "+x.String(), func(t *testing.T) { x.holds(t, c.make()) })
		}
	}
}
