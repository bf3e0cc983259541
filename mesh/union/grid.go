package union

import (
	"math"
	"sync"

	"falsework/mesh"
)

// A grid of cells round solid B tells cheaply where B certainly is not. A
// cell is near when a triangle of B may pass through it; a cell from which
// the border of the grid can be reached without entering a near one lies
// outside of B, for no triangle of B is crossed on the way.
type grid struct {
	lo, size [3]float64
	per      [3]float64 // cells to a millimetre
	slack    [3]float64 // cells of reach, and a millionth more to be safe from rounding
	n        [3]int
	words    int      // of bits to a row along x
	bits     []uint64 // of cells that are not outside, row by row
	once     sync.Once
	sum      []int32 // of bits, over all cells below and before; only when asked
}

// cellsFor is about how many cells the grid for a part of n triangles has.
func cellsFor(n int) int { return min(max(64, n), 1<<17) }

// newGrid makes a grid of about the given number of cells, to be asked what is
// within reach of B.
func newGrid(b *mesh.Mesh, t *tree, cells int, reach float32) *grid {
	all := t.nodes[0].box
	g := &grid{}
	volume := 1.0
	var ext [3]float64
	for k := range 3 {
		ext[k] = float64(all.hi[k]) - float64(all.lo[k])
	}
	longest := max(ext[0], ext[1], ext[2])
	for k := range 3 {
		ext[k] = max(ext[k], longest/64)
		volume *= ext[k]
	}
	step := math.Cbrt(volume / float64(cells))
	for k := range 3 {
		g.n[k] = min(max(int(ext[k]/step), 1), 512)
		g.size[k] = ext[k] / float64(g.n[k])
		g.per[k] = float64(g.n[k]) / ext[k]
		g.lo[k] = float64(all.lo[k])
		g.slack[k] = 1e-6 + float64(float64(reach)*g.per[k])
	}
	state := g.mark(b, t)
	g.flood(state)
	g.pack(state)
	return g
}

const (
	unknown = iota
	near
	outside
)

// span returns the cells that the interval from lo to hi along axis k may
// come within reach of, clamped to the grid.
func (g *grid) span(k int, lo, hi float32) (int, int) {
	return g.index(k, float64((float64(lo)-g.lo[k])*g.per[k])-g.slack[k]), g.index(k, float64((float64(hi)-g.lo[k])*g.per[k])+g.slack[k])
}

// index is the floor of x, clamped to the cells along axis k.
func (g *grid) index(k int, x float64) int {
	if x < 0 {
		return 0
	} else if n := g.n[k] - 1; x < float64(n) {
		return int(x)
	} else {
		return n
	}
}

func (g *grid) mark(b *mesh.Mesh, t *tree) []uint8 {
	state := make([]uint8, g.n[0]*g.n[1]*g.n[2])
	for i, c := range b.Triangles {
		bx := t.boxes[i]
		p := planeOf(b.Vertices[c[0]], b.Vertices[c[1]], b.Vertices[c[2]])
		x0, x1 := g.span(0, bx.lo[0], bx.hi[0])
		y0, y1 := g.span(1, bx.lo[1], bx.hi[1])
		z0, z1 := g.span(2, bx.lo[2], bx.hi[2])
		for z := z0; z <= z1; z++ {
			for y := y0; y <= y1; y++ {
				for x := x0; x <= x1; x++ {
					s := &state[(z*g.n[1]+y)*g.n[0]+x]
					if *s != near && !p.misses(g.cell(x, y, z)) {
						*s = near
					}
				}
			}
		}
	}
	return state
}

// cell returns the box of a cell, a little larger than it is.
func (g *grid) cell(x, y, z int) (b box) {
	for k, i := range [3]int{x, y, z} {
		lo, hi := g.lo[k]+float64(float64(i)*g.size[k]), g.lo[k]+float64(float64(i+1)*g.size[k])
		e := float64(1e-5*g.size[k]) + float64(1e-7*max(abs(lo), abs(hi)))
		b.lo[k], b.hi[k] = float32(lo-e), float32(hi+e)
	}
	return b
}

// flood marks as outside what can be reached from the border of the grid. It
// works on a copy with a layer of near cells round it, so that a cell finds its
// neighbours by its number alone.
func (g *grid) flood(state []uint8) {
	nx, ny, nz := g.n[0]+2, g.n[1]+2, g.n[2]+2
	cells := make([]uint8, nx*ny*nz)
	for i := range cells {
		cells[i] = near
	}
	row := func(y, z int) []uint8 {
		from := ((z+1)*ny+y+1)*nx + 1
		return cells[from : from+g.n[0]]
	}
	for z := range g.n[2] {
		for y := range g.n[1] {
			copy(row(y, z), state[(z*g.n[1]+y)*g.n[0]:])
		}
	}
	var todo []int32
	visit := func(i int32) {
		if cells[i] == unknown {
			cells[i] = outside
			todo = append(todo, i)
		}
	}
	for z := range g.n[2] {
		for y := range g.n[1] {
			first := int32(((z+1)*ny+y+1)*nx + 1)
			step := g.n[0] - 1 // from one end of a row to the other
			if y == 0 || z == 0 || y == g.n[1]-1 || z == g.n[2]-1 {
				step = 1
			}
			for x := 0; x < g.n[0]; x += max(step, 1) {
				visit(first + int32(x))
			}
		}
	}
	stepY, stepZ := int32(nx), int32(nx*ny)
	for len(todo) > 0 {
		i := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		visit(i - 1)
		visit(i + 1)
		visit(i - stepY)
		visit(i + stepY)
		visit(i - stepZ)
		visit(i + stepZ)
	}
	for z := range g.n[2] {
		for y := range g.n[1] {
			copy(state[(z*g.n[1]+y)*g.n[0]:], row(y, z))
		}
	}
}

// pack turns the states into bits.
func (g *grid) pack(state []uint8) {
	g.words = (g.n[0] + 63) / 64
	g.bits = make([]uint64, g.words*g.n[1]*g.n[2])
	for row := range g.n[1] * g.n[2] {
		bits := g.bits[row*g.words : (row+1)*g.words]
		for x, s := range state[row*g.n[0] : (row+1)*g.n[0]] {
			if s != outside {
				bits[x>>6] |= 1 << (x & 63)
			}
		}
	}
}

// add makes sums of the bits, so that any block of cells is one look-up at its
// eight corners.
func (g *grid) add() {
	nx, ny, nz := g.n[0]+1, g.n[1]+1, g.n[2]+1
	g.sum = make([]int32, nx*ny*nz)
	for z := 1; z < nz; z++ {
		for y := 1; y < ny; y++ {
			bits := g.bits[((z-1)*g.n[1]+y-1)*g.words:]
			row := int32(0)
			for x := 1; x < nx; x++ {
				row += int32(bits[(x-1)>>6] >> ((x - 1) & 63) & 1)
				// Sums of the rows before in this layer, then of the layers below.
				g.sum[(z*ny+y)*nx+x] = row + g.sum[(z*ny+y-1)*nx+x] +
					g.sum[((z-1)*ny+y)*nx+x] - g.sum[((z-1)*ny+y-1)*nx+x]
			}
		}
	}
}

// rowsByBits is up to how many rows of cells are looked at bit by bit: nearly
// all triangles of a dense part pass few.
const rowsByBits = 32

// clear tells whether a box within reach of that of B certainly lies outside of
// B, and out of reach of every triangle of it.
func (g *grid) clear(b *box) bool {
	x0, x1 := g.span(0, b.lo[0], b.hi[0])
	y0, y1 := g.span(1, b.lo[1], b.hi[1])
	z0, z1 := g.span(2, b.lo[2], b.hi[2])
	if (y1-y0+1)*(z1-z0+1) > rowsByBits {
		return g.none(x0, x1, y0, y1, z0, z1)
	}
	first, last := ^uint64(0)<<(x0&63), ^uint64(0)>>(63-x1&63)
	w0, w1 := x0>>6, x1>>6
	if w0 == w1 {
		first &= last
	}
	for z := z0; z <= z1; z++ {
		for y := y0; y <= y1; y++ {
			row := (z*g.n[1] + y) * g.words
			if g.bits[row+w0]&first != 0 {
				return false
			}
			if w0 == w1 {
				continue
			}
			for _, w := range g.bits[row+w0+1 : row+w1] {
				if w != 0 {
					return false
				}
			}
			if g.bits[row+w1]&last != 0 {
				return false
			}
		}
	}
	return true
}

// none tells whether no cell of a block has its bit set.
func (g *grid) none(x0, x1, y0, y1, z0, z1 int) bool {
	g.once.Do(g.add)
	nx, ny := g.n[0]+1, g.n[1]+1
	at := func(x, y, z int) int32 { return g.sum[(z*ny+y)*nx+x] }
	x1, y1, z1 = x1+1, y1+1, z1+1
	n := at(x1, y1, z1) - at(x0, y1, z1) - at(x1, y0, z1) - at(x1, y1, z0) +
		at(x0, y0, z1) + at(x0, y1, z0) + at(x1, y0, z0) - at(x0, y0, z0)
	return n == 0
}
