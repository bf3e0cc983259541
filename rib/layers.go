package rib

import (
	"errors"
	"math"

	"falsework/mesh/section"
)

// layers answer horizontal sections of the part on layer mid-planes and
// remember them.
type layers struct {
	at    *section.Slicer
	bed   float64
	first float64
	layer float64
	known map[int]section.Polygons
}

// asSurveyed takes a section whose border does not close as it was closed: the
// survey reads the part in the same way, and the union refuses a rib that meets
// the opening itself.
func asSurveyed(p section.Polygons, err error) (section.Polygons, error) {
	var open *section.OpenError
	if errors.As(err, &open) {
		err = nil
	}
	return p, err
}

func (s *layers) of(layer int) section.Polygons {
	if p, ok := s.known[layer]; ok {
		return p
	}
	p, err := asSurveyed(s.at.At(s.mid(layer)))
	if err != nil {
		p = nil
	}
	s.known[layer] = p
	return p
}

// bottom is the lower boundary of a layer, mid its middle.
func (s *layers) bottom(layer int) float64 {
	if layer <= 0 {
		return s.bed
	}
	return s.bed + s.first + float64(float64(layer-1)*s.layer)
}

func (s *layers) mid(layer int) float64 { return (s.bottom(layer) + s.bottom(layer+1)) / 2 }

// layer is the layer whose lower boundary is nearest to z.
func (s *layers) nearest(z float64) int {
	if z < s.bed+s.first/2 {
		return 0
	}
	return 1 + int(math.Round((z-s.bed-s.first)/s.layer))
}
