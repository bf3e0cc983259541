package meshtest

import (
	"cmp"
	"math"
	"slices"

	"falsework/mesh"
)

// A Bitmap is a horizontal cut of a mesh as cells, found by scan lines and
// winding numbers alone: a second way to what package section answers, for
// checks that must not depend on it.
type Bitmap struct {
	X0, Y0, Cell float64
	W, H         int
	Solid        []bool // row by row
}

// Centre returns the middle of a cell.
func (b *Bitmap) Centre(x, y int) (float64, float64) {
	return b.X0 + (float64(x)+0.5)*b.Cell, b.Y0 + (float64(y)+0.5)*b.Cell
}

// Scan returns the cut at height z over a box in plan. A cell is solid when
// the winding number at its centre is not zero; a vertex on the plane or on a
// scan line counts as above it.
func Scan(m *mesh.Mesh, z float64, box mesh.Box, cell float64) *Bitmap {
	b := &Bitmap{X0: box.Min[0], Y0: box.Min[1], Cell: cell,
		W: int(math.Ceil((box.Max[0] - box.Min[0]) / cell)), H: int(math.Ceil((box.Max[1] - box.Min[1]) / cell))}
	b.Solid = make([]bool, b.W*b.H)
	type crossing struct {
		x    float64
		turn int
	}
	rows := make([][]crossing, b.H)
	for t := range m.Triangles {
		p, q, ok := cutTriangle(m, t, z)
		if !ok {
			continue
		}
		turn := 1
		if p[1] > q[1] {
			p, q, turn = q, p, -1
		}
		first := max(0, int(math.Floor((p[1]-b.Y0)/cell-0.5)))
		for y := first; y < b.H; y++ {
			_, line := b.Centre(0, y)
			if line > q[1] {
				break
			}
			if (p[1] >= line) != (q[1] >= line) {
				rows[y] = append(rows[y], crossing{p[0] + (line-p[1])*(q[0]-p[0])/(q[1]-p[1]), turn})
			}
		}
	}
	for y, row := range rows {
		slices.SortFunc(row, func(a, b crossing) int { return cmp.Compare(a.x, b.x) })
		winding, k := 0, 0
		for x := range b.W {
			at, _ := b.Centre(x, y)
			for k < len(row) && row[k].x <= at {
				winding += row[k].turn
				k++
			}
			b.Solid[y*b.W+x] = winding != 0
		}
	}
	return b
}

// cutTriangle returns where a plane cuts a triangle, with the solid to the
// left of the way from p to q.
func cutTriangle(m *mesh.Mesh, t int, z float64) (p, q [2]float64, ok bool) {
	var c [3][3]float64
	var above [3]bool
	for i := range 3 {
		for k, x := range m.Corner(t, i) {
			c[i][k] = float64(x)
		}
		above[i] = c[i][2] >= z
	}
	for i := range 3 {
		a, b := c[i], c[(i+1)%3]
		if above[i] == above[(i+1)%3] {
			continue
		}
		s := (z - a[2]) / (b[2] - a[2])
		at := [2]float64{a[0] + s*(b[0]-a[0]), a[1] + s*(b[1]-a[1])}
		if above[i] { // going down
			q = at
		} else {
			p = at
		}
		ok = true
	}
	return q, p, ok
}

// Distance returns for every cell how far its centre is from the nearest
// solid centre (Felzenszwalb and Huttenlocher, Distance Transforms of Sampled
// Functions, 2012); infinite where nothing is solid.
func (b *Bitmap) Distance() []float64 {
	d := make([]float64, len(b.Solid))
	for i, s := range b.Solid {
		if !s {
			d[i] = math.Inf(1)
		}
	}
	column := make([]float64, b.H)
	for x := range b.W {
		for y := range b.H {
			column[y] = d[y*b.W+x]
		}
		for y, v := range lowest(column) {
			d[y*b.W+x] = v
		}
	}
	for y := range b.H {
		copy(d[y*b.W:], lowest(d[y*b.W:(y+1)*b.W]))
	}
	for i := range d {
		d[i] = math.Sqrt(d[i]) * b.Cell
	}
	return d
}

// lowest returns at each place the least of f(i) + (i - place) squared.
func lowest(f []float64) []float64 {
	var at []int        // parabolas of the lower envelope
	var start []float64 // where each begins
	for i, v := range f {
		if math.IsInf(v, 1) {
			continue
		}
		from := math.Inf(-1)
		for len(at) > 0 {
			j := at[len(at)-1]
			from = (v + float64(i*i) - f[j] - float64(j*j)) / float64(2*(i-j))
			if from > start[len(start)-1] {
				break
			}
			at, start = at[:len(at)-1], start[:len(start)-1]
			from = math.Inf(-1)
		}
		at, start = append(at, i), append(start, from)
	}
	out := make([]float64, len(f))
	k := 0
	for i := range out {
		if len(at) == 0 {
			out[i] = math.Inf(1)
			continue
		}
		for k+1 < len(at) && start[k+1] < float64(i) {
			k++
		}
		out[i] = f[at[k]] + float64((i-at[k])*(i-at[k]))
	}
	return out
}

// Chords returns the stretches of a straight line that lie inside a mesh, as
// distances from p along the unit direction d, by asking every triangle.
func Chords(m *mesh.Mesh, p, d [3]float64) [][2]float64 {
	type crossing struct {
		at   float64
		turn int
	}
	var cs []crossing
	for t := range m.Triangles {
		var c [3][3]float64
		for i := range 3 {
			for k, x := range m.Corner(t, i) {
				c[i][k] = float64(x) - p[k]
			}
		}
		// Volumes spanned by the line and each edge; on an edge both
		// neighbours count half open.
		var s [3]bool
		for i := range 3 {
			s[i] = det3(d, c[i], c[(i+1)%3]) > 0
		}
		if s[0] != s[1] || s[1] != s[2] {
			continue
		}
		n := cross3(sub3(c[1], c[0]), sub3(c[2], c[0]))
		turn := 1 // going in
		if s[0] {
			turn = -1
		}
		cs = append(cs, crossing{dot3(c[0], n) / dot3(d, n), turn})
	}
	slices.SortFunc(cs, func(a, b crossing) int { return cmp.Compare(a.at, b.at) })
	var out [][2]float64
	winding, from := 0, 0.0
	for _, c := range cs {
		if winding == 0 {
			from = c.at
		}
		winding += c.turn
		if winding == 0 && c.at > from {
			out = append(out, [2]float64{from, c.at})
		}
	}
	return out
}

func dot3(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func sub3(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

func cross3(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func det3(a, b, c [3]float64) float64 { return dot3(a, cross3(b, c)) }
