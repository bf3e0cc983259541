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
	known store[int, *rings]
}

// Rings are a layer's section with the boxes of its rings.
type rings struct {
	of    section.Polygons
	boxes []section.Rect // a little larger than they are
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
	l := s.rings(layer)
	end := a.at(far)
	var us []float64
	for i, ring := range l.of {
		if passes(l.boxes[i], a.from, end) {
			us = appendCrossings(us, ring, a)
		}
	}
	return between(us)
}

// rings returns a layer's section and the boxes of its rings.
func (s *layers) rings(layer int) *rings {
	const slack = 1e-3 // more than rounding moves a crossing
	l, _ := s.known.get(layer, func() (*rings, error) {
		l := &rings{of: s.of(layer)}
		for i := range l.of {
			lo, hi := box(l.of[i : i+1])
			l.boxes = append(l.boxes, section.Rect{Min: section.Point{lo[0] - slack, lo[1] - slack}, Max: section.Point{hi[0] + slack, hi[1] + slack}})
		}
		return l, nil
	})
	return l
}

// cut cuts the layers of a brace and the one below, side by side where one of
// them is new: that takes longer than all else about a brace on a part of many
// facets.
func (s *layers) cut(layer, thick int) {
	for k := layer - 1; k < layer+thick; k++ {
		if !s.known.has(k) {
			each(thick+1, func(i int) bool {
				s.rings(layer - 1 + i)
				return true
			})
			return
		}
	}
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
