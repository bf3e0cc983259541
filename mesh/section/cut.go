package section

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"falsework/mesh"
)

// Hairline is the widest gap in a cut border that is closed without a word;
// millimetres. It is far below what any printer lays and above what the
// rounding of float32 coordinates tears open in parts up to a metre.
const Hairline = 0.001

// An OpenError says that the border of a section does not close, because the
// mesh is open or its triangles disagree there. The region that comes with it
// has every gap closed by the shortest straight way.
type OpenError struct {
	Gaps  int        // gaps wider than Hairline
	Width float64    // widest of them; millimetres
	At    [3]float64 // middle of the widest
}

func (e *OpenError) Error() string {
	return fmt.Sprintf("the surface is open: %d gaps in the section, the widest %.3g mm at (%.2f, %.2f, %.2f); mend the part first",
		e.Gaps, e.Width, e.At[0], e.At[1], e.At[2])
}

// A plane measures and projects: height is the signed distance of a vertex from
// the plane, at is the place of a space point in the plane.
type plane interface {
	height(v [3]float32) float64
	at(v [3]float32) Point
	space(p Point) [3]float64
}

// A level is the horizontal plane at a height.
type level float64

func (l level) height(v [3]float32) float64 { return float64(v[2]) - float64(l) }
func (l level) at(v [3]float32) Point       { return Point{float64(v[0]), float64(v[1])} }
func (l level) space(p Point) [3]float64    { return [3]float64{p[0], p[1], float64(l)} }

// height is positive to the right of the line: with z up and the run to the
// right, the plane is then seen from the side its normal points to.
func (l Line) height(v [3]float32) float64 {
	return float64(l.Dir[1]*(float64(v[0])-l.From[0])) - float64(l.Dir[0]*(float64(v[1])-l.From[1]))
}

func (l Line) at(v [3]float32) Point {
	return Point{float64(l.Dir[0]*(float64(v[0])-l.From[0])) + float64(l.Dir[1]*(float64(v[1])-l.From[1])), float64(v[2])}
}

func (l Line) space(p Point) [3]float64 {
	return [3]float64{l.From[0] + float64(l.Dir[0]*p[0]), l.From[1] + float64(l.Dir[1]*p[0]), p[1]}
}

// A piece is what one triangle leaves in the plane: a directed segment, material
// on its left, from where the triangle's border goes below the plane to where it
// comes up again. Its ends lie on mesh edges, named by their two vertices, the
// lower number in the upper half. Only the first end is worked out: the other is
// the first of the piece that follows, unless the surface is open there.
type piece struct {
	from, to uint64
	p        Point
}

// end returns the far end of a piece of m.
func (s *piece) end(m *mesh.Mesh, pl plane) Point {
	return edgePoint(m, int32(s.to>>32), int32(uint32(s.to)), pl)
}

func edgeKey(a, b int32) uint64 {
	if a > b {
		a, b = b, a
	}
	return uint64(uint32(a))<<32 | uint64(uint32(b))
}

// cutTriangle appends the piece of triangle t, if the plane parts its vertices.
// A vertex on the plane is above it.
func cutTriangle(out []piece, m *mesh.Mesh, t int, pl plane) []piece {
	tri := m.Triangles[t]
	var up [3]bool
	for c, v := range tri {
		up[c] = pl.height(m.Vertices[v]) >= 0
	}
	if up[0] == up[1] && up[1] == up[2] {
		return out
	}
	var s piece
	for c := range 3 {
		d := (c + 1) % 3
		switch {
		case up[c] == up[d]:
		case up[c]:
			s.from, s.p = edgeKey(tri[c], tri[d]), edgePoint(m, tri[c], tri[d], pl)
		default:
			s.to = edgeKey(tri[c], tri[d])
		}
	}
	return append(out, s)
}

// cutLevel is cutTriangle for a triangle that level z is known to part: sections
// of a whole survey spend a good part of their time here.
func cutLevel(m *mesh.Mesh, t int32, z float64) piece {
	tri := &m.Triangles[t]
	a, b, c := tri[0], tri[1], tri[2]
	ua, ub, uc := float64(m.Vertices[a][2]) >= z, float64(m.Vertices[b][2]) >= z, float64(m.Vertices[c][2]) >= z
	// Turn it so that a is alone on its side.
	switch {
	case ua == uc:
		a, b, c, ua = b, c, a, ub
	case ua == ub:
		a, b, c, ua = c, a, b, uc
	}
	if ua {
		return piece{edgeKey(a, b), edgeKey(c, a), level(z).edgePoint(m, a, b)}
	}
	return piece{edgeKey(c, a), edgeKey(a, b), level(z).edgePoint(m, c, a)}
}

// edgePoint returns where the plane meets the mesh edge between a and b: the
// same bits for every triangle at the edge.
func edgePoint(m *mesh.Mesh, a, b int32, pl plane) Point {
	if a > b {
		a, b = b, a
	}
	va, vb := m.Vertices[a], m.Vertices[b]
	ha, hb := pl.height(va), pl.height(vb)
	pa, pb := pl.at(va), pl.at(vb)
	t := ha / (ha - hb)
	return Point{between(pa[0], pb[0], t), between(pa[1], pb[1], t)}
}

// edgePoint is the general one without the calls over an interface.
func (l level) edgePoint(m *mesh.Mesh, a, b int32) Point {
	if a > b {
		a, b = b, a
	}
	va, vb := &m.Vertices[a], &m.Vertices[b]
	ha, hb := l.height(*va), l.height(*vb)
	t := ha / (ha - hb)
	return Point{between(float64(va[0]), float64(vb[0]), t), between(float64(va[1]), float64(vb[1]), t)}
}

// cutTriangle is the general one without the calls over an interface, every
// height worked out once: a plan asks for thousands of vertical cuts.
func (l Line) cutTriangle(out []piece, m *mesh.Mesh, t int32) []piece {
	tri := &m.Triangles[t]
	a, b, c := tri[0], tri[1], tri[2]
	ha, hb, hc := l.height(m.Vertices[a]), l.height(m.Vertices[b]), l.height(m.Vertices[c])
	ua, ub, uc := ha >= 0, hb >= 0, hc >= 0
	switch { // turn it so that a is alone on its side
	case ua == uc:
		if ua == ub {
			return out
		}
		a, b, c, ha, hb, hc, ua = b, c, a, hb, hc, ha, ub
	case ua == ub:
		a, b, c, ha, hb, hc, ua = c, a, b, hc, ha, hb, uc
	}
	if ua {
		return append(out, piece{edgeKey(a, b), edgeKey(c, a), l.edgePoint(m, a, b, ha, hb)})
	}
	return append(out, piece{edgeKey(c, a), edgeKey(a, b), l.edgePoint(m, c, a, hc, ha)})
}

// edgePoint is the general one where the heights of a and b are known.
func (l Line) edgePoint(m *mesh.Mesh, a, b int32, ha, hb float64) Point {
	if a > b {
		a, b, ha, hb = b, a, hb, ha
	}
	pa, pb := l.at(m.Vertices[a]), l.at(m.Vertices[b])
	t := ha / (ha - hb)
	return Point{between(pa[0], pb[0], t), between(pa[1], pb[1], t)}
}

// between returns a + t (b-a), from the nearer end and never outside a and b.
func between(a, b, t float64) float64 {
	var x float64
	if t <= 0.5 {
		x = a + float64(t*(b-a))
	} else {
		x = b - float64((1-t)*(b-a))
	}
	return max(min(a, b), min(max(a, b), x))
}

// assemble joins the pieces to rings over the mesh edges they share, closes
// what is open and returns the region by nonzero winding. Pieces come in the
// order of their triangles, so the result does not depend on anything else.
func assemble(m *mesh.Mesh, ps []piece, pl plane, tol float64) (Polygons, error) {
	l := newLinks(ps)
	defer allLinks.Put(l)
	err := l.closeGaps(m, pl)
	return l.region(m, pl, tol), err
}

// Precision returns how well the vertices of a mesh that reaches far from the
// origin know their place: four steps of its float32 coordinates, 0.00006 mm
// for 250. The border of a section is not drawn finer than that. Millimetres.
func Precision(far float64) float64 {
	_, e := math.Frexp(far)
	return math.Ldexp(1, e-22)
}

// links tell which piece follows which. Their memory is used again: a survey and a
// plan make thousands.
type links struct {
	ps     []piece
	follow []int32 // the piece after this one, or -1
	taken  []bool  // has a piece before it
	loose  int     // pieces that none follows
	forked bool    // some mesh edge is shared by more than two triangles
	slot   []int32 // of the table of pieces
	done   []bool
	ring   Path
}

var allLinks = sync.Pool{New: func() any { return new(links) }}

// newLinks chains the pieces; what it returns is to be put back. Where a mesh edge is shared by more than two
// triangles any pairing gives the same winding numbers, so the first is taken.
func newLinks(ps []piece) *links {
	l := allLinks.Get().(*links)
	l.ps, l.loose, l.follow, l.taken = ps, 0, room(&l.follow, len(ps)), zeroes(&l.taken, len(ps))
	var table keyTable
	table, l.forked = l.table()
	for i := range ps {
		f := table.take(ps, ps[i].to)
		l.follow[i] = f
		if f >= 0 {
			l.taken[f] = true
		} else {
			l.loose++
		}
	}
	return l
}

// region walks the chains, all gaps closed. Points that stand out from the line
// between others by no more than tol are dropped first: on a finely divided
// mesh most of them.
func (l *links) region(m *mesh.Mesh, pl plane, tol float64) Polygons {
	var rings Polygons
	done, r := zeroes(&l.done, len(l.ps)), l.ring
	s := simplifiers.Get().(*simplifier)
	defer s.free()
	for i := range l.ps {
		if done[i] {
			continue
		}
		r = r[:0]
		for j := int32(i); !done[j]; {
			done[j] = true
			p, next := &l.ps[j], l.follow[j]
			r = appendNew(r, p.p)
			if p.to != l.ps[next].from {
				r = appendNew(r, p.end(m, pl)) // a gap was closed here
			}
			j = next
		}
		for len(r) > 1 && r[0] == r[len(r)-1] {
			r = r[:len(r)-1]
		}
		if len(r) > 2 {
			if q := s.ring(r, tol); len(q) > 2 {
				rings = append(rings, q)
			}
		}
	}
	l.ring = r
	if len(rings) == 0 {
		return nil
	}
	return Nonzero(rings)
}

func appendNew(r Path, q Point) Path {
	if len(r) > 0 && r[len(r)-1] == q {
		return r
	}
	return append(r, q)
}

// closeGaps gives every piece without a follower one without a forerunner, the
// nearest pairs first. There are as many of the one as of the other.
func (l *links) closeGaps(m *mesh.Mesh, pl plane) error {
	if l.loose == 0 {
		return nil
	}
	ps, follow, taken := l.ps, l.follow, l.taken
	var ends, starts []int32
	for i := range ps {
		if follow[i] < 0 {
			ends = append(ends, int32(i))
		}
		if !taken[i] {
			starts = append(starts, int32(i))
		}
	}
	fault := &OpenError{}
	join := func(e, s int32) {
		follow[e] = s
		taken[s] = true
		p, q := ps[e].end(m, pl), ps[s].p
		w := math.Hypot(q[0]-p[0], q[1]-p[1])
		if w > Hairline {
			fault.Gaps++
			if w > fault.Width {
				fault.Width = w
				fault.At = pl.space(Point{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2})
			}
		}
	}
	for _, g := range gaps(m, ps, ends, starts, pl) {
		if follow[g.end] < 0 && !taken[g.start] {
			join(g.end, g.start)
		}
	}
	// More loose ends than were compared: first come, first served.
	k := 0
	for _, e := range ends {
		if follow[e] >= 0 {
			continue
		}
		for taken[starts[k]] {
			k++
		}
		join(e, starts[k])
	}
	if fault.Gaps == 0 {
		return nil
	}
	return fault
}

// A keyTable finds pieces by the edge they start on: open addressing, each
// piece in the first free slot after its hash, taken pieces struck out.
type keyTable struct {
	slot []int32 // piece + 1, 0 free, -1 taken
	mask uint64
}

// table files the pieces, and also tells whether two start on one edge.
func (l *links) table() (t keyTable, forked bool) {
	n, ps := 16, l.ps
	for n < 2*len(ps) {
		n *= 2
	}
	t = keyTable{zeroes(&l.slot, n), uint64(n - 1)}
	for i := range ps {
		h := t.hash(ps[i].from)
		for t.slot[h] != 0 {
			forked = forked || ps[t.slot[h]-1].from == ps[i].from
			h = (h + 1) & t.mask
		}
		t.slot[h] = int32(i + 1)
	}
	return t, forked
}

func (t keyTable) hash(k uint64) uint64 {
	k *= 0x9e3779b97f4a7c15
	return (k ^ k>>32) & t.mask
}

// take returns the first piece that starts on edge key and strikes it out; -1
// when there is none left.
func (t keyTable) take(ps []piece, key uint64) int32 {
	for h := t.hash(key); t.slot[h] != 0; h = (h + 1) & t.mask {
		if i := t.slot[h] - 1; i >= 0 && ps[i].from == key {
			t.slot[h] = -1
			return i
		}
	}
	return -1
}

type gap struct {
	end, start int32
	width      float64
}

// gaps returns pairs of loose ends and starts, nearest first. A soup of
// triangles has so many that only near neighbours in one coordinate are
// compared: those within a window of starts sorted by x.
func gaps(m *mesh.Mesh, ps []piece, ends, starts []int32, pl plane) []gap {
	const window = 200
	byX := slices.Clone(starts)
	slices.SortFunc(byX, func(i, j int32) int {
		if a, b := ps[i].p[0], ps[j].p[0]; a != b {
			if a < b {
				return -1
			}
			return 1
		}
		return int(i - j)
	})
	var out []gap
	for _, e := range ends {
		q := ps[e].end(m, pl)
		k, _ := slices.BinarySearchFunc(byX, q[0], func(j int32, x float64) int {
			if ps[j].p[0] < x {
				return -1
			}
			return 1
		})
		for _, s := range byX[max(0, k-window):min(len(byX), k+window)] {
			p := ps[s].p
			out = append(out, gap{e, s, math.Hypot(q[0]-p[0], q[1]-p[1])})
		}
	}
	slices.SortFunc(out, func(a, b gap) int {
		switch {
		case a.width < b.width:
			return -1
		case a.width > b.width:
			return 1
		case a.end != b.end:
			return int(a.end - b.end)
		}
		return int(a.start - b.start)
	})
	return out
}
