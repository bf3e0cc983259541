package span

import (
	"context"
	"math"

	"falsework/mesh"
	"falsework/mesh/section"
)

// A stack is the grid of layers a part is printed in, counted from its lowest
// point.
type stack struct {
	z0, first, height float64
	n                 int // layers whose mid-plane lies below the top
}

func newStack(b mesh.Box, s Settings) stack {
	k := stack{z0: b.Min[2], first: s.FirstLayer, height: s.Layer}
	if top := b.Max[2] - b.Min[2]; top > s.FirstLayer/2 {
		k.n = 1
		if rest := top - s.FirstLayer - s.Layer/2; rest > 0 {
			k.n += int(math.Ceil(rest / s.Layer))
		}
	}
	return k
}

// lower returns the lower boundary of layer k; lower(n) is the top of the
// last.
func (s stack) lower(k int) float64 {
	if k <= 0 {
		return s.z0
	}
	return s.z0 + s.first + float64(float64(k-1)*s.height)
}

// mid returns the mid-plane of layer k.
func (s stack) mid(k int) float64 {
	if k <= 0 {
		return s.z0 + s.first/2
	}
	return s.z0 + s.first + float64((float64(k)-0.5)*s.height)
}

// of returns the layer that holds height z, clamped to the stack.
func (s stack) of(z float64) int {
	k := int(math.Floor((z-s.z0-s.first)/s.height)) + 1
	return min(max(k, 0), max(s.n-1, 0))
}

// above returns the first layer whose mid-plane is not below z: the first
// section that a vertex at z is below or on.
func (s stack) above(z float64) int {
	return s.layerFrom(z, func(mid float64) bool { return mid >= z })
}

// past returns the first layer whose mid-plane is above z.
func (s stack) past(z float64) int {
	return s.layerFrom(z, func(mid float64) bool { return mid > z })
}

// layerFrom returns the first layer whose mid-plane passes, about height z. The
// layer is guessed, then put right by the planes themselves.
func (s stack) layerFrom(z float64, passes func(mid float64) bool) int {
	k := 0
	if g := (z-s.z0-s.first)/s.height + 1; g > 0 {
		k = int(min(g, float64(s.n)))
	}
	for k > 0 && passes(s.mid(k-1)) {
		k--
	}
	for k < s.n && !passes(s.mid(k)) {
		k++
	}
	return k
}

// activity tells what may happen between the mid-planes of layer k-1 and k.
// It is found from facets alone and errs on the side of yes.
type activity struct {
	hang  []bool          // something may be left in the air
	lean  []bool          // the underside of something grows
	birth []bool          // something may begin in mid-air
	down  [halves][]int32 // the facets that look down, in order
}

// findActivity looks at every facet once, and again at those beside an edge that
// may be a keel.
func findActivity(ctx context.Context, m *mesh.Mesh, box mesh.Box, st stack, slope float64) (activity, error) {
	c := newCarry(box, st, slope)
	a := activity{hang: make([]bool, st.n), lean: make([]bool, st.n), birth: make([]bool, st.n)}
	if st.n == 0 {
		return a, nil
	}
	var looks [halves]glance
	err := forEach(ctx, halves, nil, func(i int) error {
		looks[i].facets(m, st, c, i)
		return nil
	})
	if err != nil {
		return a, err
	}
	vertex := looks[0].vertex
	for _, l := range looks[1:] {
		for v, f := range l.vertex {
			vertex[v] |= f
		}
	}
	hang, lean, birth := newTally(st), newTally(st), newTally(st)
	for v, f := range vertex {
		if z := float64(m.Vertices[v][2]); f == isUsed && z > st.z0 {
			hang.mark(z, z)
			birth.mark(z, z)
			lean.mark(z, z)
		}
	}
	keels := keelSearch{m: m, carry: c, vertex: vertex}
	for i := range looks {
		keels.down = append(keels.down, looks[i].steep...)
		a.down[i] = looks[i].down
	}
	keels.amongDown(hang.mark)
	if keels.edges > 0 {
		err = forEach(ctx, halves, nil, func(i int) error {
			keels.beside(i, looks[i].hang.mark)
			return nil
		})
	}
	for i := range looks {
		hang.add(&looks[i].hang)
		lean.add(&looks[i].lean)
	}
	hang.read(a.hang)
	lean.read(a.lean)
	birth.read(a.birth)
	return a, err
}

// A carry tells what one layer carries of the next.
type carry struct {
	rise float64 // least distance between two mid-planes
	far  float64 // how far out of the layer below still prints over that
	run  float64 // per millimetre of rise: what surely does, rounding and all
}

func newCarry(b mesh.Box, st stack, slope float64) carry {
	var far float64
	for i := range 3 {
		far = max(far, math.Abs(b.Min[i]), math.Abs(b.Max[i]))
	}
	// The border of a section is drawn to within its precision, on either layer.
	s := carry{rise: min(st.height, (st.first+st.height)/2)}
	s.far = float64(s.rise*math.Tan((slope+tolerance)*math.Pi/180)) - 4*section.Precision(far)
	// What leans by the limit itself is carried by the tolerance.
	s.run = max(math.Tan(slope*math.Pi/180), s.far/s.rise)
	return s
}

// spare is how much further a surface of this lean might stand out, over a layer.
func (s carry) spare(run float64) float64 { return s.far - float64(s.rise*run) }

// speck is how far above its lowest point a tip may still be too small for the
// grid that sections are rounded to.
const speck = 1e-4

// A tally marks rows of layers by their ends, so that a facet as tall as the
// part costs no more than a small one.
type tally struct {
	st       stack
	step     []int32 // by layer: rows that begin there, less those that end
	lo, hi   float64 // of the row marked last,
	from, to int     // and the layers it took
}

func newTally(st stack) tally {
	return tally{st: st, step: make([]int32, st.n+1), lo: math.NaN()}
}

// mark sets the layers between whose mid-plane and the one before something
// from lo to hi lies; both ends count.
func (t *tally) mark(lo, hi float64) {
	// The facets of one level ceiling follow one another.
	if lo != t.lo || hi != t.hi {
		t.lo, t.hi = lo, hi
		t.from, t.to = max(t.st.above(lo-speck), 1), min(t.st.past(hi+speck)+1, t.st.n)
	}
	if t.from < t.to {
		t.step[t.from]++
		t.step[t.to]--
	}
}

func (t *tally) add(o *tally) {
	for k, n := range o.step {
		t.step[k] += n
	}
}

// read writes the layers out.
func (t *tally) read(row []bool) {
	on := int32(0)
	for k := range row {
		on += t.step[k]
		row[k] = on > 0
	}
}

// A glance is what one run of facets shows.
type glance struct {
	hang, lean tally
	vertex     []uint8 // isUsed, isHigher
	down       []int32 // faces that look down
	steep      []int32 // and are steep enough to print
}

// Flags of vertices.
const (
	isUsed   = 1 // by some facet
	isHigher = 2 // than another corner of its facet
	isKeel   = 4 // end of an edge that may be a keel
)

func (l *glance) facets(m *mesh.Mesh, st stack, c carry, part int) {
	l.hang, l.lean = newTally(st), newTally(st)
	l.vertex = make([]uint8, len(m.Vertices))
	steep := c.run / math.Sqrt(1+float64(c.run*c.run))
	from, to := half(len(m.Triangles), part)
	for t := from; t < to; t++ {
		p := corners(m, int32(t))
		lo := min(p[0][2], p[1][2], p[2][2])
		for c, v := range m.Triangles[t] {
			f := uint8(isUsed)
			if p[c][2] > lo {
				f |= isHigher
			}
			l.vertex[v] |= f
		}
		if !looksDown(&p) {
			continue // most do not: they cost no root
		}
		hi := max(p[0][2], p[1][2], p[2][2])
		nz := unitNormal(p)[2]
		if nz < -upright {
			l.lean.mark(lo, hi)
		}
		if nz >= -1e-6 {
			continue
		}
		l.down = append(l.down, int32(t))
		if nz < -steep+1e-6 {
			l.hang.mark(lo, hi)
		} else {
			l.steep = append(l.steep, int32(t))
		}
	}
}

// looksDown reports whether the normal of a facet points down at all.
func looksDown(p *[3][3]float64) bool {
	return float64((p[1][0]-p[0][0])*(p[2][1]-p[0][1]))-float64((p[1][1]-p[0][1])*(p[2][0]-p[0][0])) < 0
}

// unitNormal returns the outward normal of a facet, zero for one without area.
func unitNormal(p [3][3]float64) [3]float64 {
	u := [3]float64{p[1][0] - p[0][0], p[1][1] - p[0][1], p[1][2] - p[0][2]}
	v := [3]float64{p[2][0] - p[0][0], p[2][1] - p[0][1], p[2][2] - p[0][2]}
	n := [3]float64{
		float64(u[1]*v[2]) - float64(u[2]*v[1]),
		float64(u[2]*v[0]) - float64(u[0]*v[2]),
		float64(u[0]*v[1]) - float64(u[1]*v[0]),
	}
	l := math.Sqrt(float64(n[0]*n[0]) + float64(n[1]*n[1]) + float64(n[2]*n[2]))
	if l == 0 {
		return [3]float64{}
	}
	return [3]float64{n[0] / l, n[1] / l, n[2] / l}
}
