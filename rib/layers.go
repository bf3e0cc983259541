package rib

import (
	"errors"
	"math"

	"falsework/mesh/section"
	"falsework/span"
)

// layers answer horizontal sections of the part on layer mid-planes: those of
// the survey, which knows some of them already.
type layers struct {
	of    func(layer int) section.Polygons
	bed   float64
	first float64
	layer float64
	boxes store[int, []section.Rect] // of the rings of a layer
}

func newLayers(s *span.Survey) *layers {
	of := func(layer int) section.Polygons {
		if s.Layers() == 0 {
			return nil
		}
		p, err := s.Section(layer)
		if err != nil {
			return nil
		}
		return p
	}
	return &layers{of: of, bed: s.Bounds.Min[2], first: s.Settings.FirstLayer, layer: s.Settings.Layer}
}

// ahead returns the stretches of an axis inside a layer, true from run 0 to the
// given one: beyond, what lies off that piece of the axis is left out. The end of a
// brace looks for a wall in dozens of directions, past all but a few of the posts
// that a part may have.
func (s *layers) ahead(layer int, a axis, far float64) []stretch {
	const slack = 1e-3 // more than rounding moves a crossing
	p := s.of(layer)
	boxes, _ := s.boxes.get(layer, func() ([]section.Rect, error) {
		out := make([]section.Rect, len(p))
		for i := range p {
			lo, hi := box(p[i : i+1])
			out[i] = section.Rect{Min: section.Point{lo[0] - slack, lo[1] - slack}, Max: section.Point{hi[0] + slack, hi[1] + slack}}
		}
		return out, nil
	})
	end := a.at(far)
	var us []float64
	for i, ring := range p {
		if passes(boxes[i], a.from, end) {
			us = appendCrossings(us, ring, a)
		}
	}
	return between(us)
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
