package rib

import (
	"context"
	"fmt"
	"math"

	"falsework/mesh"
	"falsework/mesh/section"
	"falsework/span"
)

// A KeepOut is the air under the ribbed ceilings as closed bodies, for marking
// where the slicing program shall add no support of its own. The bodies stay
// at least Gap from the part and from each other's faces; they may overlap
// the ribs.
type KeepOut struct {
	Mesh   *mesh.Mesh // closed shells, none touching another; no triangle where there is no room
	Bodies int
	Gap    float64 // mm
	Volume float64 // of the bodies, mm3
	Air    float64 // under the ribbed ceilings, down to the first material, mm3
}

// DefaultGap is the gap kept unless told otherwise: a quarter of a layer, so
// that the last layer under a ceiling is marked, too.
func DefaultGap(s span.Settings) float64 { return s.Layer / 4 }

// keepSlack is added to the gap in plan: the border may be simplified by
// keepEase and is rounded to microns after it was set off.
const (
	keepEase  = 0.01
	keepSlack = keepEase + 0.005
)

// keepShare is the share of the air that bodies may lose where layers are
// taken together.
const keepShare = 0.02

// KeepOut fills the air under the plan's ribbed ceilings. Part is the mesh that
// the plan was made for.
//
// Columns of air are followed from the ceilings down, layer by layer, until
// they meet material. Where nothing changes over many layers they are taken
// as one. What a range of layers holds of the part, seen from above, is its
// section at one height and the shadows of the facets within the range: the
// body there is what lies further than the gap from that.
func (p *Plan) KeepOut(ctx context.Context, part *mesh.Mesh, gap float64) (*KeepOut, error) {
	k := &keeper{ctx: ctx, survey: p.Survey, gap: gap, tight: p.Survey.Settings.Nozzle}
	k.trim = min(gap, p.Survey.Settings.Layer/4, p.Survey.Settings.FirstLayer/4)
	k.stretch = gap - k.trim
	below := map[int]section.Polygons{} // what begins under a layer's strips
	top := -1
	for i := range p.Ceilings {
		if !p.Ceilings[i].Ribbed() {
			continue
		}
		for _, s := range p.Survey.Ceilings[i].Strips {
			below[s.Layer] = append(below[s.Layer], s.Footprint...)
			top = max(top, s.Layer)
		}
	}
	if top < 0 {
		return &KeepOut{Mesh: &mesh.Mesh{}, Gap: gap}, nil
	}
	k.gather(part, below)
	var columns section.Polygons
	for hi := top - 1; hi >= 0; {
		columns = section.Union(columns, below[hi+1])
		lo := hi
		for lo > 0 && len(below[lo]) == 0 {
			lo--
		}
		var err error
		if columns, err = k.fill(lo, hi, columns); err != nil {
			return nil, err
		}
		hi = lo - 1
	}
	return k.solids()
}

// A keeper builds the bodies.
type keeper struct {
	ctx     context.Context
	survey  *span.Survey
	gap     float64
	trim    float64 // taken off the ends of a body in height
	stretch float64 // the rest of the gap in height: how far a range looks beyond itself
	tight   float64 // narrowest body worth having

	facets []shadow
	layers [][]int32 // facets by the layers they reach into
	call   int32
	slabs  []keptSlab
	air    float64
}

// A shadow is a facet that is not upright, and may be met.
type shadow struct {
	corner [3][3]float64
	z      [2]float64
	call   int32 // of held that met it last
}

// A keptSlab is a body over a range of layers.
type keptSlab struct {
	lo, hi int
	plan   section.Polygons
	volume float64 // of what it stands for
}

// gather keeps the facets near the ceilings that cast a shadow.
func (k *keeper) gather(part *mesh.Mesh, below map[int]section.Polygons) {
	box := section.Rect{Min: section.Point{math.Inf(1), math.Inf(1)}, Max: section.Point{math.Inf(-1), math.Inf(-1)}}
	for _, p := range below {
		if r, ok := p.Bounds(); ok {
			for i := range 2 {
				box.Min[i], box.Max[i] = min(box.Min[i], r.Min[i]), max(box.Max[i], r.Max[i])
			}
		}
	}
	k.layers = make([][]int32, k.survey.Layers())
	pad := section.MiterLimit * (k.gap + keepSlack)
	for t := range part.Triangles {
		var f shadow
		for c := range 3 {
			for i, x := range part.Corner(t, c) {
				f.corner[c][i] = float64(x)
			}
		}
		a, b, c := f.corner[0], f.corner[1], f.corner[2]
		r := section.Rect{
			Min: section.Point{min(a[0], b[0], c[0]), min(a[1], b[1], c[1])},
			Max: section.Point{max(a[0], b[0], c[0]), max(a[1], b[1], c[1])}}
		turn := float64((b[0]-a[0])*(c[1]-a[1])) - float64((b[1]-a[1])*(c[0]-a[0]))
		if turn == 0 || !r.Overlaps(box, pad) {
			continue // seen from above it is a line, and borders what the section shows
		}
		if turn < 0 {
			f.corner[1], f.corner[2] = c, b
		}
		f.z = [2]float64{min(a[2], b[2], c[2]), max(a[2], b[2], c[2])}
		for l := k.survey.LayerOf(f.z[0]); l <= k.survey.LayerOf(f.z[1]); l++ {
			k.layers[l] = append(k.layers[l], int32(len(k.facets)))
		}
		k.facets = append(k.facets, f)
	}
}

// fill makes bodies of the columns of air that enter layers lo to hi from
// above, and returns those that leave below.
func (k *keeper) fill(lo, hi int, columns section.Polygons) (section.Polygons, error) {
	if err := k.ctx.Err(); err != nil {
		return nil, err
	}
	whole := columns.Area()
	if whole == 0 {
		return nil, nil
	}
	slack := float64(0.002*whole) + 0.05
	least, most := math.Inf(1), 0.0
	for _, l := range [3]int{lo, (lo + hi) / 2, hi} {
		s, err := k.survey.Section(l)
		if err != nil {
			return nil, err
		}
		a := section.Intersect(columns, s).Area()
		least, most = min(least, a), max(most, a)
	}
	middle, err := k.survey.Section((lo + hi) / 2)
	if err != nil {
		return nil, err
	}
	var held section.Polygons
	steady := lo == hi
	if lo == hi || most-least <= slack {
		held = k.held(lo, hi, middle)
		steady = steady || section.Intersect(columns, held).Area() <= least+slack
	}
	if !steady {
		m := (lo + hi) / 2
		if columns, err = k.fill(m+1, hi, columns); err != nil {
			return nil, err
		}
		return k.fill(lo, m, columns)
	}
	// A single layer may hold undersides that dip into it; columns pass them.
	left := section.Subtract(columns, middle)
	if lo < hi {
		left = section.Subtract(columns, held)
	}
	thick := k.survey.LayerZ(hi+1) - k.survey.LayerZ(lo)
	k.air += float64(left.Area() * thick)
	for _, c := range k.tidy(section.Beyond(columns, held, k.gap+keepSlack)).Components() {
		k.add(keptSlab{lo, hi, c, float64(c.Area() * thick)})
	}
	return left, nil
}

// held is what layers lo to hi hold of the part, seen from above: the section
// at one height, and the facets within. It looks beyond the range by the part
// of the gap that bodies are not trimmed by.
func (k *keeper) held(lo, hi int, section0 section.Polygons) section.Polygons {
	z := [2]float64{k.survey.LayerZ(lo) - k.stretch, k.survey.LayerZ(hi+1) + k.stretch}
	shadows := section.Polygons{}
	k.call++
	for l := k.survey.LayerOf(z[0]); l <= k.survey.LayerOf(z[1]); l++ {
		for _, i := range k.layers[l] {
			f := &k.facets[i]
			if f.call == k.call || f.z[0] >= z[1] || f.z[1] <= z[0] {
				continue
			}
			f.call = k.call
			if r := f.between(z); len(r) > 2 {
				shadows = append(shadows, r)
			}
		}
	}
	return section.Union(section0, shadows)
}

// between returns what of a facet lies between two heights, seen from above.
func (f *shadow) between(z [2]float64) section.Path {
	ring := f.corner[:]
	for side := range 2 {
		in := func(p [3]float64) bool { return side == 0 && p[2] >= z[0] || side == 1 && p[2] <= z[1] }
		var out [][3]float64
		for i, q := range ring {
			p := ring[(i+len(ring)-1)%len(ring)]
			if in(p) != in(q) {
				t := (z[side] - p[2]) / (q[2] - p[2])
				out = append(out, [3]float64{p[0] + float64(t*(q[0]-p[0])), p[1] + float64(t*(q[1]-p[1])), z[side]})
			}
			if in(q) {
				out = append(out, q)
			}
		}
		ring = out
	}
	path := make(section.Path, len(ring))
	for i, q := range ring {
		path[i] = section.Point{q[0], q[1]}
	}
	return path
}

// tidy drops what is narrower than a bead, and points that carry no shape.
// Nothing of it lies outside the region, but for keepEase.
func (k *keeper) tidy(p section.Polygons) section.Polygons {
	core := section.Offset(section.Simplify(p, keepEase), -k.tight/2, section.Miter)
	if len(core) == 0 {
		return nil
	}
	return section.Simplify(section.Intersect(section.Offset(core, k.tight/2, section.Miter), p), keepEase/2)
}

// add puts a slab to the one above it where both are nearly alike, and beside
// the others otherwise.
func (k *keeper) add(s keptSlab) {
	for i := range k.slabs {
		above := &k.slabs[i]
		if above.lo != s.hi+1 {
			continue
		}
		both := section.Intersect(above.plan, s.plan)
		thick := k.survey.LayerZ(above.hi+1) - k.survey.LayerZ(s.lo)
		if len(both.Components()) == 1 && both.Area()*thick >= (1-keepShare)*(above.volume+s.volume) {
			above.lo, above.plan = s.lo, both
			above.volume += s.volume
			return
		}
	}
	k.slabs = append(k.slabs, s)
}

// solids makes prisms of the slabs.
func (k *keeper) solids() (*KeepOut, error) {
	out := &KeepOut{Mesh: &mesh.Mesh{}, Gap: k.gap, Air: k.air}
	for _, s := range k.slabs {
		z := [2]float64{k.survey.LayerZ(s.lo) + k.trim, k.survey.LayerZ(s.hi+1) - k.trim}
		if s.lo == 0 {
			z[0] = k.survey.LayerZ(0) // on the bed there is no part below
		}
		m, err := section.Prism(s.plan, section.Level(0), z[0], z[1])
		if err != nil {
			continue // thinner than coordinates can hold
		}
		base := int32(len(out.Mesh.Vertices))
		out.Mesh.Vertices = append(out.Mesh.Vertices, m.Vertices...)
		for _, t := range m.Triangles {
			out.Mesh.Triangles = append(out.Mesh.Triangles, [3]int32{base + t[0], base + t[1], base + t[2]})
		}
		out.Bodies++
	}
	if out.Bodies == 0 {
		return out, nil
	}
	a, err := out.Mesh.Audit(k.ctx)
	if err != nil {
		return nil, err
	}
	if len(a.Faults) > 0 {
		return nil, fmt.Errorf("the bodies of --keep-out are no closed solids (%w)", &a.Faults[0])
	}
	out.Volume = a.Volume
	return out, nil
}
