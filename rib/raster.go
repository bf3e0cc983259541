package rib

import (
	"container/heap"
	"math"

	"falsework/mesh/section"
)

// A raster is the cells of a region of the plan, with their neighbours.
type raster struct {
	cell  float64
	cells []section.Point
	next  [][8]int32 // -1: none
}

// A grid is square cells over a region, so fine that at most about a hundred thousand
// cells lie in its box.
type grid struct {
	lo     section.Point
	cell   float64
	nx, ny int
}

func newGrid(p section.Polygons, cell float64) grid {
	lo, hi := box(p)
	cell = max(cell, math.Sqrt(float64((hi[0]-lo[0])*(hi[1]-lo[1]))/1e5))
	return grid{lo, cell, int((hi[0]-lo[0])/cell) + 2, int((hi[1]-lo[1])/cell) + 2}
}

// each visits the cells whose middles lie in a region, row by row.
func (g grid) each(p section.Polygons, visit func(i, j int, q section.Point)) {
	for j := 0; j < g.ny; j++ {
		y := g.lo[1] + float64((float64(j)+0.4931)*g.cell)
		for _, s := range clip(p, axis{section.Point{g.lo[0], y}, section.Point{1, 0}}) {
			for i := max(0, int(s.from/g.cell-0.4931)); i < g.nx; i++ {
				u := float64((float64(i) + 0.4931) * g.cell)
				if u >= s.to {
					break
				}
				if u >= s.from {
					visit(i, j, section.Point{g.lo[0] + u, y})
				}
			}
		}
	}
}

// middles returns the middles of the cells of a region, and the size of a
// cell, which is at least the one asked for.
func middles(p section.Polygons, cell float64) ([]section.Point, float64) {
	var out []section.Point
	g := newGrid(p, cell)
	g.each(p, func(_, _ int, q section.Point) { out = append(out, q) })
	return out, g.cell
}

// newRaster takes the cells whose middles lie in the region.
func newRaster(p section.Polygons, cell float64) *raster {
	b := newGrid(p, cell)
	nx, ny := b.nx, b.ny
	id := make([]int32, nx*ny)
	for i := range id {
		id[i] = -1
	}
	g := &raster{cell: b.cell}
	b.each(p, func(i, j int, q section.Point) {
		id[j*nx+i] = int32(len(g.cells))
		g.cells = append(g.cells, q)
	})
	g.next = make([][8]int32, len(g.cells))
	for j := 0; j < ny; j++ {
		for i := 0; i < nx; i++ {
			c := id[j*nx+i]
			if c < 0 {
				continue
			}
			for k, d := range steps {
				x, y := i+d[0], j+d[1]
				g.next[c][k] = -1
				if x >= 0 && y >= 0 && x < nx && y < ny {
					g.next[c][k] = id[y*nx+x]
				}
			}
		}
	}
	return g
}

var steps = [8][2]int{{1, 0}, {0, 1}, {-1, 0}, {0, -1}, {1, 1}, {-1, 1}, {-1, -1}, {1, -1}}

// A field is a distance inside a raster from one of its cells.
type field struct {
	dist []float64
	last int32 // the cell farthest away
	most float64
}

// far returns the distances from the farthest cell of another field, or from
// the first cell.
func (g *raster) far(of *field) *field {
	var from int32
	if of != nil {
		from = of.last
	}
	f := &field{dist: make([]float64, len(g.cells))}
	for i := range f.dist {
		f.dist[i] = math.Inf(1)
	}
	f.dist[from] = 0
	q := &frontier{{from, 0}}
	for q.Len() > 0 {
		x := heap.Pop(q).(reached)
		if x.dist > f.dist[x.cell] {
			continue
		}
		if x.dist > f.most {
			f.most, f.last = x.dist, x.cell
		}
		for k, n := range g.next[x.cell] {
			if n < 0 {
				continue
			}
			d := x.dist + g.cell
			if k >= 4 {
				d = x.dist + float64(math.Sqrt2*g.cell)
			}
			if d < f.dist[n] {
				f.dist[n] = d
				heap.Push(q, reached{n, d})
			}
		}
	}
	return f
}

type reached struct {
	cell int32
	dist float64
}

// frontier is a heap of cells, the nearest first, ties by number.
type frontier []reached

func (q frontier) Len() int { return len(q) }
func (q frontier) Less(i, j int) bool {
	return q[i].dist < q[j].dist || q[i].dist == q[j].dist && q[i].cell < q[j].cell
}
func (q frontier) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *frontier) Push(x any)   { *q = append(*q, x.(reached)) }
func (q *frontier) Pop() any {
	o := *q
	x := o[len(o)-1]
	*q = o[:len(o)-1]
	return x
}
