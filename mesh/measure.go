package mesh

import (
	"context"
	"math"

	"falsework/mesh/exact"
	"falsework/mesh/par"
)

// measureGrain is how many triangles are summed on their own before sums are
// added, in order: the result is the same on any number of processors.
const measureGrain = 1 << 14

// A sum is what triangles contribute to volume and area.
type sum struct{ volume, area float64 }

// Volume returns the volume inside a closed surface, cubic millimetres,
// negative when the surface is inside out. Where shells overlap the overlap
// counts as often. For an open surface the number means nothing.
//
// It is the sum of tetrahedra over all triangles (divergence theorem), taken
// from the middle of the part, where the terms are smallest.
func (m *Mesh) Volume() float64 { return m.sums().volume }

// Area returns the area of the surface, square millimetres.
func (m *Mesh) Area() float64 { return m.sums().area }

func (m *Mesh) sums() sum {
	s, _ := m.sum(context.Background(), m.Bounds().Middle(), func(int, bool) {})
	return s
}

// sum adds up volume (from o) and area of all triangles, and calls visit for
// each triangle, from several goroutines, with what measure says of it.
func (m *Mesh) sum(ctx context.Context, o [3]float64, visit func(t int, solid bool)) (sum, error) {
	parts := make([]sum, (len(m.Triangles)+measureGrain-1)/measureGrain)
	err := par.Range(ctx, len(m.Triangles), measureGrain, func(lo, hi int) {
		s := &parts[lo/measureGrain]
		for t := lo; t < hi; t++ {
			v, a, solid := m.measure(t, o)
			s.volume += v
			s.area += a
			visit(t, solid)
		}
	})
	var s sum
	for _, p := range parts {
		s.volume += p.volume
		s.area += p.area
	}
	return s, err
}

// measure returns the signed volume of the tetrahedron over triangle t from
// o, the triangle's area, and whether it is certain from these numbers alone
// that it has an area.
func (m *Mesh) measure(t int, o [3]float64) (volume, area float64, solid bool) {
	k := &m.Triangles[t]
	p, q, r := &m.Vertices[k[0]], &m.Vertices[k[1]], &m.Vertices[k[2]]
	// Written out: this is most of what an audit does.
	ax, ay, az := float64(p[0]), float64(p[1]), float64(p[2])
	bx, by, bz := float64(q[0])-ax, float64(q[1])-ay, float64(q[2])-az
	cx, cy, cz := float64(r[0])-ax, float64(r[1])-ay, float64(r[2])-az
	xl, xr := float64(by*cz), float64(bz*cy)
	yl, yr := float64(bz*cx), float64(bx*cz)
	zl, zr := float64(bx*cy), float64(by*cx)
	nx, ny, nz := xl-xr, yl-yr, zl-zr
	// Four roundings at most, each of 2^-53: the bound of exact.Orient2D, with room.
	solid = math.Abs(nx) > 0x1p-50*(math.Abs(xl)+math.Abs(xr)) ||
		math.Abs(ny) > 0x1p-50*(math.Abs(yl)+math.Abs(yr)) ||
		math.Abs(nz) > 0x1p-50*(math.Abs(zl)+math.Abs(zr))
	volume = (float64((ax-o[0])*nx) + float64((ay-o[1])*ny) + float64((az-o[2])*nz)) / 6
	area = math.Sqrt(float64(nx*nx)+float64(ny*ny)+float64(nz*nz)) / 2
	return volume, area, solid
}

// degenerate tells exactly whether triangle t has no area; solid is what
// measure found.
func (m *Mesh) degenerate(t int, solid bool) bool {
	return !solid && exact.Collinear(m.Corner(t, 0), m.Corner(t, 1), m.Corner(t, 2))
}

// point is Corner in float64.
func (m *Mesh) point(t, c int) [3]float64 { return wide(m.Corner(t, c)) }

func wide(p [3]float32) [3]float64 {
	return [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}
}

// middle returns the middle of triangle t.
func (m *Mesh) middle(t int) (p [3]float64) {
	for c := range 3 {
		q := m.point(t, c)
		for i := range p {
			p[i] += q[i] / 3
		}
	}
	return p
}

// edgeMiddle returns the middle of a half-edge.
func (m *Mesh) edgeMiddle(half int32) (p [3]float64) {
	a, b := m.point(int(half/3), int(half%3)), m.point(int(half/3), next(int(half%3)))
	for i := range p {
		p[i] = (a[i] + b[i]) / 2
	}
	return p
}

// Middle returns the middle of the box.
func (b Box) Middle() (p [3]float64) {
	for i := range p {
		p[i] = (b.Min[i] + b.Max[i]) / 2
	}
	return p
}

// Size returns the lengths of the box along the axes.
func (b Box) Size() (s [3]float64) {
	for i := range s {
		s[i] = b.Max[i] - b.Min[i]
	}
	return s
}

// Diagonal returns the length of the box from corner to corner.
func (b Box) Diagonal() float64 {
	s := b.Size()
	return math.Sqrt(float64(s[0]*s[0]) + float64(s[1]*s[1]) + float64(s[2]*s[2]))
}
