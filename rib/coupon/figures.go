package coupon

import (
	"strconv"

	"falsework/mesh/section"
)

// A pen draws raised figures: straight strokes wide enough for two beads and
// more, on a cell of width by height. Its measures follow from the stroke.
// Lengths are millimetres.
type pen struct{ stroke, width, height, gap float64 }

// penFor is the pen for a nozzle: a stroke of 1.1 for the common 0.4 and
// finer, wider in proportion beyond.
func penFor(nozzle float64) pen {
	s := max(1.1, 2.75*nozzle)
	return pen{stroke: s, width: 3.6 * s, height: 6.4 * s, gap: 1.4 * s}
}

// A line is a stroke of a figure on a grid of 2 by 4 steps: x0, y0 to x1, y1,
// along one of the axes.
type line [4]float64

// figures are what labels are made of. The ring o stands for degrees; the
// portal n marks the opening carried by ribs.
var figures = map[rune][]line{
	'0': {{0, 0, 2, 0}, {2, 0, 2, 4}, {0, 4, 2, 4}, {0, 0, 0, 4}},
	'1': {{1, 0, 1, 4}, {0, 0, 2, 0}, {0, 4, 1, 4}},
	'2': {{0, 4, 2, 4}, {2, 2, 2, 4}, {0, 2, 2, 2}, {0, 0, 0, 2}, {0, 0, 2, 0}},
	'3': {{0, 4, 2, 4}, {0.5, 2, 2, 2}, {0, 0, 2, 0}, {2, 0, 2, 4}},
	'4': {{0, 1.5, 0, 4}, {0, 1.5, 2, 1.5}, {2, 0, 2, 4}},
	'5': {{0, 4, 2, 4}, {0, 2, 0, 4}, {0, 2, 2, 2}, {2, 0, 2, 2}, {0, 0, 2, 0}},
	'6': {{0, 4, 2, 4}, {0, 0, 0, 4}, {0, 2, 2, 2}, {2, 0, 2, 2}, {0, 0, 2, 0}},
	'7': {{0, 4, 2, 4}, {2, 0, 2, 4}},
	'8': {{0, 0, 2, 0}, {0, 2, 2, 2}, {0, 4, 2, 4}, {0, 0, 0, 4}, {2, 0, 2, 4}},
	'9': {{0, 4, 2, 4}, {0, 2, 0, 4}, {0, 2, 2, 2}, {2, 0, 2, 4}, {0, 0, 2, 0}},
	'.': {{0, 0, 0, 0}},
	'o': {{0, 4, 1.6, 4}, {0, 2.4, 1.6, 2.4}, {0, 2.4, 0, 4}, {1.6, 2.4, 1.6, 4}},
	'n': {{0, 0, 0, 3}, {2, 0, 2, 3}, {0, 3, 2, 3}},
}

// text writes a length or an angle as short as it is.
func text(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// advance is how far the next figure stands off.
func (p pen) advance(r rune) float64 {
	if r == '.' {
		return p.stroke + p.gap
	}
	return p.width + p.gap
}

// measure is the width of a label.
func (p pen) measure(s string) float64 {
	var w float64
	for _, r := range s {
		w += p.advance(r)
	}
	return w - p.gap
}

// draw returns the strokes of s with its lower left corner at (x, y), as one
// region, so that figures have no doubled walls.
func (p pen) draw(s string, x, y float64) section.Polygons {
	dx, dy := (p.width-p.stroke)/2, (p.height-p.stroke)/4
	var rings section.Polygons
	for _, r := range s {
		for _, l := range figures[r] {
			rings = append(rings, box(x+dx*l[0], y+dy*l[1], x+dx*l[2]+p.stroke, y+dy*l[3]+p.stroke))
		}
		x += p.advance(r)
	}
	return section.Nonzero(rings)
}

// box is a rectangle as a ring.
func box(x0, y0, x1, y1 float64) section.Path {
	return section.Path{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}
