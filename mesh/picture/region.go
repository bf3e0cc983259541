package picture

import (
	"math"

	"falsework/mesh/section"
)

// An area answers which points lie in a region in plan. Its edges are sorted
// into rows by y, so that a question meets few of them.
type area struct {
	min, max [2]float64
	rows     [][]edge
	scale    float64 // rows per millimetre
}

type edge struct{ a, b section.Point }

func newArea(p section.Polygons) *area {
	a := &area{min: [2]float64{math.Inf(1), math.Inf(1)}, max: [2]float64{math.Inf(-1), math.Inf(-1)}}
	n := 0
	for _, ring := range p {
		for _, q := range ring {
			for i := range q {
				a.min[i], a.max[i] = math.Min(a.min[i], q[i]), math.Max(a.max[i], q[i])
			}
			n++
		}
	}
	if n == 0 {
		return a
	}
	count := min(n/2+1, 4096)
	a.rows = make([][]edge, count)
	a.scale = float64(count) / math.Max(a.max[1]-a.min[1], 1e-9)
	for _, ring := range p {
		for i, q := range ring {
			r := ring[(i+1)%len(ring)]
			for k := a.row(math.Min(q[1], r[1])); k <= a.row(math.Max(q[1], r[1])); k++ {
				a.rows[k] = append(a.rows[k], edge{q, r})
			}
		}
	}
	return a
}

func (a *area) row(y float64) int {
	return max(0, min(int((y-a.min[1])*a.scale), len(a.rows)-1))
}

// holds reports whether the winding number at (x, y) is not zero.
func (a *area) holds(x, y float64) bool {
	if x < a.min[0] || x > a.max[0] || y < a.min[1] || y > a.max[1] || len(a.rows) == 0 {
		return false
	}
	winding := 0
	for _, e := range a.rows[a.row(y)] {
		if (e.a[1] <= y) == (e.b[1] <= y) {
			continue
		}
		if e.a[0]+(y-e.a[1])*(e.b[0]-e.a[0])/(e.b[1]-e.a[1]) > x {
			if e.a[1] < e.b[1] {
				winding++
			} else {
				winding--
			}
		}
	}
	return winding != 0
}

const (
	slack = 0.02 // heights of regions and surfaces agree within this, mm
	lean  = 0.02 // cosine from which a surface looks down
)

// A marked region is one of a body's regions with its index.
type marked struct {
	*area
	low, high float64
	class     int
	number    int // counted through all bodies
}

// inside reports whether a point of an underside is in the region.
func (r *marked) inside(p vec) bool {
	return p[2] >= r.low-slack && p[2] <= r.high+slack && r.holds(p[0], p[1])
}
