package rib_test

import (
	"container/heap"
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/section"
	"falsework/rib"
	"falsework/span"
)

// A second way to the verdict on a ribbed ceiling, for the file as written:
// layers as cells from scan lines, distances by lines of sight between cells,
// strands as rays. It shares with the survey only the definitions, and with the
// plan only where to look.

// A patch is a ceiling as cells: which of them hang, and from what they are
// held.
type patch struct {
	w, h  int
	cell  float64
	at    func(c int) [2]float64
	hangs []bool    // hanging in some layer of the ceiling
	held  []bool    // carried by the layer below, beside what hangs
	z     []float64 // of the layer in which a cell begins to hang, or holds last
	level bool      // all in one layer
	reach []float64 // shortest way inside what hangs to what is held
}

// patchOf reads a ceiling of the part off the ribbed mesh, layer by layer.
func patchOf(ribbed *mesh.Mesh, sv *span.Survey, c *span.Ceiling, cell float64) *patch {
	const margin = 3.0
	s := sv.Settings
	box := mesh.Box{Min: [3]float64{c.Min[0] - margin, c.Min[1] - margin}, Max: [3]float64{c.Max[0] + margin, c.Max[1] + margin}}
	mid := func(k int) float64 {
		if k <= 0 {
			return sv.Bounds.Min[2] + s.FirstLayer/2
		}
		return sv.Bounds.Min[2] + s.FirstLayer + (float64(k)-0.5)*s.Layer
	}
	layers := map[int]*meshtest.Bitmap{}
	scan := func(k int) *meshtest.Bitmap {
		if layers[k] == nil {
			layers[k] = meshtest.Scan(ribbed, mid(k), box, cell)
		}
		return layers[k]
	}
	last := len(c.Strips) - 1
	first := scan(c.Strips[last].Layer)
	p := &patch{w: first.W, h: first.H, cell: cell, hangs: make([]bool, first.W*first.H), held: make([]bool, first.W*first.H),
		z: make([]float64, first.W*first.H), level: last == 0}
	p.at = func(k int) [2]float64 { x, y := first.Centre(k%p.w, k/p.w); return [2]float64{x, y} }
	near := make([]bool, p.w*p.h) // over the ceiling's own footprint
	grown := section.Offset(c.Footprint, 2*cell, section.Miter)
	for i := range near {
		near[i] = grown.Contains(section.Point(p.at(i)))
	}
	for k := c.Strips[0].Layer; k <= c.Strips[last].Layer; k++ {
		over, under, below := scan(k), scan(k-1), scan(k-2)
		d := (mid(k) - mid(k-1)) * math.Tan((s.Slope+0.5)*math.Pi/180)
		away := under.Distance()
		open := meshtest.Bitmap{W: p.w, H: p.h, Cell: cell, Solid: make([]bool, p.w*p.h)}
		for i := range open.Solid {
			// Centres of cells on both sides of an edge are a cell apart.
			open.Solid[i] = near[i] && over.Solid[i] && !under.Solid[i] && away[i] > d+cell/2
		}
		from := open.Distance()
		for i, solid := range over.Solid {
			if near[i] && solid && !under.Solid[i] && !below.Solid[i] && from[i] <= d+cell {
				p.hangs[i], p.z[i] = true, mid(k)
			}
		}
		for i := range p.held {
			if (under.Solid[i] || below.Solid[i]) && !p.hangs[i] {
				p.held[i], p.z[i] = true, mid(k)
			}
		}
		delete(layers, k-2)
	}
	for i := range p.held {
		p.held[i] = p.held[i] && !p.hangs[i]
	}
	p.measure()
	return p
}

// measure finds the reach of every cell: by the straight line to where the way
// last turned, if that line stays inside what hangs.
func (p *patch) measure() {
	p.reach = make([]float64, len(p.hangs))
	pivot := make([]int, len(p.hangs))
	base := make([]float64, len(p.hangs))
	q := &cells{}
	for i := range p.reach {
		p.reach[i] = math.Inf(1)
		if p.held[i] {
			p.reach[i], pivot[i] = 0, i
			heap.Push(q, ranked{i, 0})
		}
	}
	for q.Len() > 0 {
		x := heap.Pop(q).(ranked)
		if x.d > p.reach[x.i] {
			continue
		}
		p.around(x.i, func(n int) {
			if !p.hangs[n] {
				return
			}
			v, b := pivot[x.i], base[x.i]
			if !p.sees(v, n) {
				v, b = x.i, x.d
			}
			if d := b + p.gap(v, n); d < p.reach[n]-1e-9 {
				p.reach[n], pivot[n], base[n] = d, v, b
				heap.Push(q, ranked{n, d})
			}
		})
	}
}

// around calls visit for the eight neighbours of a cell.
func (p *patch) around(i int, visit func(n int)) {
	x, y := i%p.w, i/p.w
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if a, b := x+dx, y+dy; (dx != 0 || dy != 0) && a >= 0 && b >= 0 && a < p.w && b < p.h {
				visit(b*p.w + a)
			}
		}
	}
}

func (p *patch) gap(a, b int) float64 {
	return p.cell * math.Hypot(float64(a%p.w-b%p.w), float64(a/p.w-b/p.w))
}

// sees tells whether the line between two cells lies in what hangs, but for its
// ends.
func (p *patch) sees(a, b int) bool {
	dx, dy := float64(b%p.w-a%p.w), float64(b/p.w-a/p.w)
	n := math.Max(math.Abs(dx), math.Abs(dy))
	for k := 1.0; k < n; k++ {
		x, y := float64(a%p.w)+dx*k/n, float64(a/p.w)+dy*k/n
		if !p.hangs[int(math.Round(y))*p.w+int(math.Round(x))] {
			return false
		}
	}
	return true
}

// lips returns the deepest lip: how far any cell is from what is held or
// carried by a strand, straight or bent once by no more than 65 degrees, within
// the spacing. Not every cell is looked at.
func (p *patch) lips(spacing float64) (deepest float64, at [2]float64) {
	stride := max(1, int(math.Round(0.8/p.cell)))
	good := meshtest.Bitmap{W: p.w, H: p.h, Cell: p.cell, Solid: append([]bool(nil), p.held...)}
	var looked []int
	for y := 0; y < p.h; y += stride {
		for x := 0; x < p.w; x += stride {
			if i := y*p.w + x; p.hangs[i] {
				looked = append(looked, i)
			}
		}
	}
	rays := 360 // a bay 3 mm wide is seen in some four degrees
	if len(looked) > 3000 {
		rays = 72
	}
	for _, i := range looked {
		good.Solid[i] = p.carried(i, rays, spacing)
	}
	if !p.level {
		return p.beyondCone(looked, good.Solid)
	}
	away := good.Distance()
	for _, i := range looked {
		if away[i] > deepest {
			deepest, at = away[i], p.at(i)
		}
	}
	return deepest, at
}

// beyondCone is the deepest lip under a slope: what rises from a place that is
// carried counts only as far as it lies beyond 45 degrees from there.
func (p *patch) beyondCone(looked []int, good []bool) (deepest float64, at [2]float64) {
	const far = 12.0
	r := int(far / p.cell)
	for _, i := range looked {
		x, y := i%p.w, i/p.w
		best := far
		for v := max(0, y-r); v <= min(p.h-1, y+r); v++ {
			for u := max(0, x-r); u <= min(p.w-1, x+r); u++ {
				if n := v*p.w + u; good[n] {
					best = math.Min(best, p.gap(i, n)-math.Max(0, p.z[i]-p.z[n]))
				}
			}
		}
		if best > deepest {
			deepest, at = best, p.at(i)
		}
	}
	return deepest, at
}

// carried looks along rays from a cell for two held ends: straight through, or
// bent once where the two do not belong to one straight wall.
func (p *patch) carried(i, rays int, spacing float64) bool {
	d := make([]float64, rays)
	behind := make([][2]float64, rays) // a little inside what holds
	for k := range d {
		a := 2 * math.Pi * float64(k) / float64(rays)
		dx, dy := math.Cos(a), math.Sin(a)
		d[k] = math.Inf(1)
		for s := 1.0; s*p.cell <= spacing; s++ {
			x, y := int(math.Round(float64(i%p.w)+dx*s)), int(math.Round(float64(i/p.w)+dy*s))
			if x < 0 || y < 0 || x >= p.w || y >= p.h {
				break
			}
			if n := y*p.w + x; !p.hangs[n] {
				if p.held[n] {
					d[k] = s*p.cell - p.cell/2
					behind[k] = [2]float64{float64(i%p.w) + dx*(s+1.5), float64(i/p.w) + dy*(s+1.5)}
				}
				break
			}
		}
	}
	for a := range d {
		for n := rays * 115 / 360; n <= rays/2; n++ {
			b := (a + n) % rays
			if d[a]+d[b] <= spacing+p.cell && (n >= rays/2-rays/90 || !p.wall(behind[a], behind[b])) {
				return true
			}
		}
	}
	return false
}

// wall tells whether most of a line between two places is held.
func (p *patch) wall(a, b [2]float64) bool {
	n := max(1, int(math.Hypot(b[0]-a[0], b[1]-a[1])))
	held := 0
	for k := range n {
		f := (float64(k) + 0.5) / float64(n)
		x, y := int(math.Round(a[0]+f*(b[0]-a[0]))), int(math.Round(a[1]+f*(b[1]-a[1])))
		if x >= 0 && y >= 0 && x < p.w && y < p.h && p.held[y*p.w+x] {
			held++
		}
	}
	return 2*held > n
}

// Cells by distance.
type ranked struct {
	i int
	d float64
}
type cells []ranked

func (q cells) Len() int           { return len(q) }
func (q cells) Less(a, b int) bool { return q[a].d < q[b].d }
func (q cells) Swap(a, b int)      { q[a], q[b] = q[b], q[a] }
func (q *cells) Push(x any)        { *q = append(*q, x.(ranked)) }
func (q *cells) Pop() any {
	o := *q
	x := o[len(o)-1]
	*q = o[:len(o)-1]
	return x
}

// carriedInLayers holds the ribbed ceilings of a plan to the promise: no point
// further than half the spacing and 0.3 mm from what holds it, no lip deeper
// than the ledge.
func carriedInLayers(t testing.TB, p *rib.Plan, ribbed *mesh.Mesh) {
	t.Helper()
	for i, c := range p.Ceilings {
		if !c.Ribbed() {
			continue
		}
		of := &p.Survey.Ceilings[i]
		cell := grain(of)
		g := patchOf(ribbed, p.Survey, of, cell)
		reach, where, hanging := 0.0, [2]float64{}, 0
		for k, h := range g.hangs {
			if !h {
				continue
			}
			hanging++
			if d := g.reach[k] - cell/2; d > reach {
				reach, where = d, g.at(k)
			}
		}
		lip, at := g.lips(p.Settings.Spacing)
		t.Logf("ceiling %d in layers: %.0f mm2 hang, reach %.2f, deepest lip %.2f", c.ID, float64(hanging)*cell*cell, reach, lip)
		if most := p.Settings.Spacing/2 + 0.3; reach > most {
			t.Errorf("ceiling %d: the point (%.1f, %.1f) is %.2f mm from what holds it, more than %.2f", c.ID, where[0], where[1], reach, most)
		}
		if lip > p.Survey.Settings.Ledge+cell {
			t.Errorf("ceiling %d: a lip of %.2f mm hangs at (%.1f, %.1f), more than %.2f", c.ID, lip, at[0], at[1], p.Survey.Settings.Ledge)
		}
	}
}

// grain is the size of cells for a ceiling: no finer than is needed.
func grain(c *span.Ceiling) float64 {
	area := (c.Max[0] - c.Min[0]) * (c.Max[1] - c.Min[1])
	if c.Z[1]-c.Z[0] > 0.3 { // layers overlap by less than a layer height
		return math.Max(0.1, math.Sqrt(area/2.5e5))
	}
	return math.Min(0.4, math.Max(0.1, math.Sqrt(area/6e4)))
}

// A rib left out, or a rib that stands back from the free edge of a shelf, is
// seen by these layers.
func TestLayersSeeWhatHangs(t *testing.T) {
	part := meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 4, 40), meshtest.Add(0, 4, 30, 100, 44, 34))
	s := surveyed(t, part)
	for _, x := range []struct {
		name       string
		from       float64 // of a rib along the shelf
		reach, lip float64
	}{
		{"none", -1, 40, 40},
		{"half way", 24, 19.5, 19.5}, // reach alone would pass
		{"at the lip", 43.2, 19.6, 0.3},
	} {
		m := part
		if x.from > 0 {
			m = meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 4, 40), meshtest.Add(0, 4, 30, 100, 44, 34), meshtest.Add(0, x.from, 0, 100, x.from+0.5, 30))
		}
		g := patchOf(m, s, &s.Ceilings[0], 0.25)
		reach := 0.0
		for k, h := range g.hangs {
			if h {
				reach = math.Max(reach, g.reach[k]-0.1)
			}
		}
		lip, _ := g.lips(40)
		if math.Abs(reach-x.reach) > 0.3 || math.Abs(lip-x.lip) > 0.7 {
			t.Errorf("%s: reach %.2f, want %.2f; lip %.2f, want %.2f", x.name, reach, x.reach, lip, x.lip)
		}
	}
}
