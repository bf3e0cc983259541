package web

import (
	"testing"

	"falsework/mesh/section"
)

// The first layer has a height of its own: a column on the bed stands on it,
// whether it is a third of the others or three times as high, and one that begins
// in the second layer, beside nothing, hangs.
func TestFirstLayerHasItsOwnHeight(t *testing.T) {
	for _, x := range []struct{ first, layer float64 }{{0.2, 0.2}, {0.2, 0.5}, {0.2, 0.6}, {0.3, 0.1}, {0.25, 0.3}} {
		site := &Site{Settings: DefaultSettings()}
		site.Settings.First, site.Settings.Layer = x.first, x.layer
		column := section.Polygons{{{0, 0}, {3, 0}, {3, 40}, {0, 40}}}
		if err := site.prints(column); err != nil {
			t.Errorf("first %g, others %g: %v", x.first, x.layer, err)
		}
		hanging := section.Polygons{{{0, x.first}, {3, x.first}, {3, 40}, {0, 40}}}
		if site.prints(hanging) == nil {
			t.Errorf("first %g, others %g: a column above the first layer does not hang", x.first, x.layer)
		}
	}
}
