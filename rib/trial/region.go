package trial

import (
	"fmt"
	"math"

	"falsework/mesh"
	"falsework/span"
)

// A Region is the box to keep, mm. A side that is infinite keeps everything
// on that side.
type Region struct{ Min, Max [3]float64 }

// everywhere keeps the whole part.
func everywhere() Region {
	inf := math.Inf(1)
	return Region{[3]float64{-inf, -inf, -inf}, [3]float64{inf, inf, inf}}
}

// Below keeps what lies below a height above the bed, on which the part's
// lowest point stands.
func Below(part mesh.Box, z float64) Region {
	r := everywhere()
	r.Max[2] = part.Min[2] + z
	return r
}

// Between keeps the slab between two heights above the bed.
func Between(part mesh.Box, z0, z1 float64) Region {
	r := everywhere()
	r.Min[2], r.Max[2] = part.Min[2]+z0, part.Min[2]+z1
	return r
}

// Around keeps a box round a ceiling whose bounds in plan and heights are
// given, margin mm larger on every side.
func Around(lo, hi, z [2]float64, margin float64) Region {
	return Region{
		[3]float64{lo[0] - margin, lo[1] - margin, z[0] - margin},
		[3]float64{hi[0] + margin, hi[1] + margin, z[1] + margin}}
}

// inset is how far inside its region a cut runs, as a share of a layer: faces
// of the part lie on the very heights at which a region ends, and what begins
// there is to be gone, not to stay as a skin.
const inset = 1.0 / 20

// layered moves the region's heights outwards to boundaries of layers, so that
// the layers of a piece that stands on the bed are those of the part.
func (r Region) layered(bed float64, s span.Settings) Region {
	const slack = 1e-6 // of a layer: a height on a boundary, but for rounding, stays there
	h := s.Layer
	if !math.IsInf(r.Min[2], 0) {
		r.Min[2] = bed + float64(h*math.Floor((r.Min[2]-bed)/h+slack))
	}
	if !math.IsInf(r.Max[2], 0) && r.Max[2] > bed {
		from := bed + s.FirstLayer
		r.Max[2] = from + float64(h*max(0, math.Ceil((r.Max[2]-from)/h-slack)))
	}
	return r
}

// clip makes the region finite and tells at how many sides it cuts. Sides that
// cut are moved in by d.
func (r Region) clip(b mesh.Box, d float64) (mesh.Box, int, error) {
	size := b.Diagonal()
	out, cuts := mesh.Box(r), 0
	for i := range 3 {
		if math.IsNaN(r.Min[i]) || math.IsNaN(r.Max[i]) || r.Min[i] >= r.Max[i] {
			return out, 0, &RegionError{fmt.Sprintf("the region is empty along %c: it runs from %.4g to %.4g mm", "xyz"[i], r.Min[i], r.Max[i])}
		}
		if r.Min[i] >= b.Max[i] || r.Max[i] <= b.Min[i] {
			return out, 0, &RegionError{fmt.Sprintf("the region misses the part, which lies between %.4g and %.4g mm along %c", b.Min[i], b.Max[i], "xyz"[i])}
		}
		if r.Min[i] <= b.Min[i] {
			out.Min[i] = b.Min[i] - size/20
		} else {
			out.Min[i] += d
			if i == 2 {
				out.Min[2] = math.Ceil(out.Min[2]*1024) / 1024 // see stand
			}
			cuts++
		}
		if r.Max[i] >= b.Max[i] {
			out.Max[i] = b.Max[i] + size/20
		} else {
			out.Max[i] -= d
			cuts++
		}
		if out.Min[i] >= out.Max[i] {
			return out, 0, &RegionError{fmt.Sprintf("the region is thinner along %c than a cut", "xyz"[i])}
		}
	}
	return out, cuts, nil
}

// blank is a box as a closed mesh.
func blank(b mesh.Box) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		p := [3]float32{float32(b.Min[0]), float32(b.Min[1]), float32(b.Min[2])}
		for a := range 3 {
			if i>>a&1 == 1 {
				p[a] = float32(b.Max[a])
			}
			p[a] += 0 // never -0
		}
		m.Vertices = append(m.Vertices, p)
	}
	m.Triangles = [][3]int32{
		{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, // bottom, top
		{0, 1, 4}, {1, 5, 4}, {2, 6, 3}, {3, 6, 7}, // front, back
		{0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}, // left, right
	}
	return m
}
