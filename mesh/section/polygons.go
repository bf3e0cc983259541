// Package section cuts meshes by planes into clean polygons and clips and
// offsets polygons. It is the one place that knows the clipping library.
package section

// A Point lies in a plane; millimetres. For horizontal cuts it is x and y, for
// vertical ones the run along the cutting line and z.
type Point = [2]float64

// A Path is a closed ring: the last point joins the first, and no two
// consecutive points are equal.
type Path []Point

// Polygons is a region of the plane: outer rings counter-clockwise, holes
// clockwise, no ring crossing another. The empty value is the empty region.
type Polygons []Path

// Area returns the signed area of the ring, positive when counter-clockwise;
// square millimetres.
func (p Path) Area() float64 {
	var a float64
	for i, q := range p {
		r := p[(i+1)%len(p)]
		a += float64(q[0]*r[1]) - float64(q[1]*r[0])
	}
	return a / 2
}

// Area returns the area of the region, holes taken off; square millimetres.
func (p Polygons) Area() float64 {
	var a float64
	for _, r := range p {
		a += r.Area()
	}
	return a
}
