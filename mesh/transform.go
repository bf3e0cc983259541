package mesh

import (
	"falsework/mesh/internal/angle"
	"fmt"
)

// A Transform is a turn about the origin followed by a scaling.
type Transform struct {
	Rows  [3][3]float64 // of the rotation matrix
	Scale float64
}

// Turn returns the rotation by x degrees about the x axis, then by y about
// the y axis, then by z about the z axis; the axes stay where they are, and a
// positive angle is counter-clockwise seen from the axis' tip. Multiples of
// 90 degrees are exact.
func Turn(x, y, z float64) Transform {
	sx, cx := angle.Sincos(x)
	sy, cy := angle.Sincos(y)
	sz, cz := angle.Sincos(z)
	// Z * Y * X, multiplied out.
	return Transform{Scale: 1, Rows: [3][3]float64{
		{float64(cz * cy), float64(float64(cz*sy)*sx) - float64(sz*cx), float64(float64(cz*sy)*cx) + float64(sz*sx)},
		{float64(sz * cy), float64(float64(sz*sy)*sx) + float64(cz*cx), float64(float64(sz*sy)*cx) - float64(cz*sx)},
		{-sy, float64(cy * sx), float64(cy * cx)},
	}}
}

// Scaled returns the transform that scales by a factor, greater than zero,
// after t.
func (t Transform) Scaled(factor float64) Transform {
	t.Scale *= factor
	return t
}

// Then returns the transform that does t first and u after it.
func (t Transform) Then(u Transform) Transform {
	out := Transform{Scale: t.Scale * u.Scale}
	for i := range 3 {
		for j := range 3 {
			out.Rows[i][j] = float64(u.Rows[i][0]*t.Rows[0][j]) + float64(u.Rows[i][1]*t.Rows[1][j]) + float64(u.Rows[i][2]*t.Rows[2][j]) + 0
		}
	}
	return out
}

// Unit returns the length of a unit in millimetres: mm, cm, m or in.
func Unit(name string) (float64, error) {
	switch name {
	case "mm":
		return 1, nil
	case "cm":
		return 10, nil
	case "m":
		return 1000, nil
	case "in":
		return 25.4, nil
	}
	return 0, fmt.Errorf("unit %q is not known; use mm, cm, m or in", name)
}

// Identity tells whether t changes nothing.
func (t Transform) Identity() bool {
	return t.Scale == 1 && t.Rows == [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
}

// Apply returns m transformed. Vertices that rounding makes equal become one,
// so that the result is welded as m was; triangles keep their order, and one
// may then name a vertex twice. Where nothing changes m itself comes back.
func (t Transform) Apply(m *Mesh) *Mesh {
	if t.Identity() {
		return m
	}
	out := &Mesh{Vertices: make([][3]float32, len(m.Vertices)), Triangles: m.Triangles}
	for v, p := range m.Vertices {
		w := wide(p)
		for i, r := range t.Rows {
			x := float64(r[0]*w[0]) + float64(r[1]*w[1]) + float64(r[2]*w[2])
			out.Vertices[v][i] = float32(x*t.Scale) + 0 // -0 becomes 0
		}
	}
	return out.merged()
}

// merged returns the mesh with vertices of equal coordinates made one, or m
// itself when there are none.
func (m *Mesh) merged() *Mesh {
	at := make(map[[3]float32]int32, len(m.Vertices))
	to := make([]int32, len(m.Vertices))
	out := &Mesh{}
	for v, p := range m.Vertices {
		w, ok := at[p]
		if !ok {
			w = int32(len(out.Vertices))
			at[p] = w
			out.Vertices = append(out.Vertices, p)
		}
		to[v] = w
	}
	if len(out.Vertices) == len(m.Vertices) {
		return m
	}
	out.Triangles = make([][3]int32, len(m.Triangles))
	for t, tri := range m.Triangles {
		out.Triangles[t] = [3]int32{to[tri[0]], to[tri[1]], to[tri[2]]}
	}
	return out
}
