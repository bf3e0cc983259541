package web

import "math"

// A column is one upright strip of the raster on which a scheme is chosen. Its
// heights hold at its middle.
type column struct {
	u      float64 // middle
	under  float64 // underside of the crest
	floor  float64
	ground bool // the web may stand on the floor here
	steep  bool // the floor leans less than the slope limit from the vertical
	bed    bool
	block  float64 // what hangs here or in a neighbour: nothing may come down to it
}

// A raster is a profile cut into columns of equal width. Nodes lie between
// them: node i is the left side of column i.
type raster struct {
	d    *drawer
	cols []column
	g    float64 // width of a column
}

// newRaster cuts the profile into columns of half a millimetre, wider ones
// where that would make more than 400.
func newRaster(d *drawer) *raster {
	run := d.ends[1] - d.ends[0]
	return rasterOf(d, max(1, min(400, int(math.Ceil(run/0.5)))))
}

// rasterOf cuts the profile into n columns.
func rasterOf(d *drawer, n int) *raster {
	run := d.ends[1] - d.ends[0]
	r := &raster{d: d, g: run / float64(n), cols: make([]column, n)}
	s := &d.site.Settings
	limit := 1 / math.Tan(s.Slope*math.Pi/180) * (1 + 1e-6)
	for i := range r.cols {
		u := d.ends[0] + float64(r.g*(float64(i)+0.5))
		sl := d.p.slab(u)
		c := column{u: u, under: sl.lerp(d.under(sl), u), floor: sl.lerp(sl.floor, u), bed: sl.bed}
		c.ground = c.bed || d.site.stands(u, c.floor)
		c.steep = !c.bed && math.Abs(sl.floor[1]-sl.floor[0]) > limit*sl.width()
		r.cols[i] = c
	}
	for i := range r.cols {
		b := math.Inf(-1)
		for k := max(0, i-1); k < min(n, i+2); k++ {
			if !r.cols[k].ground {
				b = max(b, r.cols[k].floor)
			}
		}
		r.cols[i].block = b
	}
	return r
}

// node returns the run of a node.
func (r *raster) node(i int) float64 {
	if i == len(r.cols) {
		return r.d.ends[1]
	}
	return r.d.ends[0] + float64(r.g*float64(i))
}

// nodes returns how many columns a length fills, rounded up.
func (r *raster) nodes(length float64) int { return int(math.Ceil(length/r.g - 1e-9)) }

// piece returns the area between the crest and bottom in column i, and whether
// the column may be filled so far down; bottom is the height in the middle of
// the column.
func (r *raster) piece(i int, bottom float64) (area float64, ok bool) {
	c := &r.cols[i]
	if bottom-float64(r.d.rise*r.g/2) < c.block {
		return 0, false
	}
	lo := max(bottom, c.floor)
	if lo >= c.under {
		return 0, true
	}
	if r.d.site.forbidden(c.u-r.g/2, c.u+r.g/2, max(bottom-float64(r.d.rise*r.g/2), c.floor), c.under) {
		return 0, false
	}
	return float64(r.g * (c.under - lo)), true
}

// A flank is what lies over each possible run of a flank from one apex: entry j
// is for a support j columns away.
type flank struct {
	over   []laid
	landed float64 // of the longest: how much of it lies on the floor
}

// A laid is what lies over a flank of one run, side by side in memory: a search
// reads them all for every number of legs.
type laid struct {
	area   float64
	height float64 // of the underside at the support
	fee    float64 // see search.legFee
}

// flank appends the flanks from the apex at node a in direction dir (+1 or -1),
// as far as they may go, to those of other apexes.
func (q *search) flank(store []laid, a, dir int) (flank, []laid) {
	r, first := q.r, len(store)
	store = append(store, laid{height: math.Inf(1)})
	f, top, sum, landed := math.Inf(1), 0.0, 0.0, 0.0
	for i := a; ; i += dir {
		k := i
		if dir < 0 {
			k = i - 1
		}
		if k < 0 || k >= len(r.cols) {
			break
		}
		c := &r.cols[k]
		f = min(f, c.under)
		if i == a {
			top = f
		}
		mid := f - float64(r.d.rise*r.g/2)
		area, ok := r.piece(k, mid)
		if !ok {
			break
		}
		if mid < c.floor {
			landed += r.g
		}
		f -= float64(r.d.rise * r.g)
		sum += area
		fee := q.legFee(top-max(f, c.floor), len(store)-first)
		q.least = min(q.least, fee)
		store = append(store, laid{sum, f, fee})
	}
	return flank{store[first:len(store):len(store)], landed}, store
}

// A corbel is the area and the springing of a corbel with its apex at a node.
type corbel struct {
	area      float64
	springing float64 // contact length on the wall
	ok        bool
}

// root is the height of wall a corbel needs above its foot, toe below it.
const (
	root = 3.0
	toe  = 1.0
)

// corbels returns the corbel at an end for each apex node, counted from that
// end: the flanks that get so far, prolonged into the wall.
func (q *search) corbels(end int) []corbel {
	n := len(q.r.cols)
	out := make([]corbel, n+1)
	if !q.r.d.p.hold[end] {
		return out
	}
	for k := 1; k <= n; k++ {
		f := &q.left[k]
		if end == 1 {
			f = &q.right[n-k]
		}
		if len(f.over) > k {
			out[k] = q.r.corbel(end, f.over[k], f.landed)
		}
	}
	return out
}

// corbel is the corbel at an end whose flank comes to the end of the profile.
func (r *raster) corbel(end int, f laid, landed float64) corbel {
	c := corbel{area: f.area}
	edge := &r.cols[0]
	if end == 1 {
		edge = &r.cols[len(r.cols)-1]
	}
	if f.height < edge.floor && landed >= r.d.site.Settings.Setback+2*r.d.site.Settings.Width {
		// It stands on the floor before it reaches the wall.
		c.springing, c.ok = landed+legCost/cutCost, true // no better than a leg
		return c
	}
	return r.spring(c, r.d.faces[end], f.height, edge.under)
}

// spring follows the flank from height f at the profile's end into the wall,
// adds what lies under a wall that leans away, and asks whether the wall is
// there to spring from.
func (r *raster) spring(c corbel, face *face, f, top float64) corbel {
	firm, open := 0.0, 0.0
	z := f
	for i := range face.out {
		row := face.start - float64(face.step*(float64(i)+0.5))
		x, wall := face.out[i], face.wall[i]
		// Run of the flank beyond the end at this row.
		beyond := (f - row) / r.d.rise
		if row < f && (!wall || beyond >= x) {
			break
		}
		if !wall {
			open += face.step
			firm = 0
			continue
		}
		z = row
		if row < f {
			c.area += float64(face.step * (x - beyond))
		} else {
			c.area += float64(face.step * x)
		}
		if face.thick[i] {
			firm += face.step
		} else {
			firm = 0
		}
	}
	c.springing = top - z
	// The foot needs wall a little further down, to be pointed into it.
	c.ok = face.solid(z, z-toe) && firm >= min(root, top-z) && open <= (top-z)/2 && z > r.d.site.Settings.Bed
	c.area += open
	return c
}
