package rib

import (
	"errors"
	"testing"

	"falsework/mesh/section"
	"falsework/rib/web"
)

// The place of a fault is given on the part, not along the rib.
func TestFaultsNameAPlaceOnThePart(t *testing.T) {
	r := ribLine{axis: axis{from: section.Point{10, 20}, dir: section.Point{0, 1}}}
	fault := &web.PlaceError{U: 5, Z: -4, Err: web.ErrStand}
	if got, want := r.inWords(fault, -30), "nothing to stand on or spring from at x 10.0, y 25.0, 26.0 mm above the bed"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := r.inWords(errors.New("no section"), 0); got != "no section" {
		t.Errorf("%q", got)
	}
}
