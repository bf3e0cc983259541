package meshtest

import (
	"errors"
	"slices"

	"falsework/mesh"
)

// A Block is a box that is added to or cut from what the blocks before it
// made.
type Block struct {
	Box mesh.Box
	Cut bool
}

// Add is a block of material from one corner to the opposite one.
func Add(x0, y0, z0, x1, y1, z1 float64) Block { return block(x0, y0, z0, x1, y1, z1, false) }

// Cut is a block of air from one corner to the opposite one.
func Cut(x0, y0, z0, x1, y1, z1 float64) Block { return block(x0, y0, z0, x1, y1, z1, true) }

func block(x0, y0, z0, x1, y1, z1 float64, cut bool) Block {
	return Block{mesh.Box{
		Min: [3]float64{min(x0, x1), min(y0, y1), min(z0, z1)},
		Max: [3]float64{max(x0, x1), max(y0, y1), max(z0, z1)},
	}, cut}
}

// Blocks returns the solid that the blocks make in turn, meshed on the grid
// of all their coordinates. It panics when that is no manifold: when material
// meets itself along an edge or at a corner only.
func Blocks(blocks ...Block) *mesh.Mesh {
	m, err := TryBlocks(blocks...)
	if err != nil {
		panic("meshtest: " + err.Error())
	}
	return m
}

// TryBlocks is [Blocks] with an error in place of a panic.
func TryBlocks(blocks ...Block) (*mesh.Mesh, error) {
	var at [3][]float64
	for _, b := range blocks {
		for i := range at {
			at[i] = append(at[i], b.Box.Min[i], b.Box.Max[i])
		}
	}
	for i := range at {
		slices.Sort(at[i])
		at[i] = slices.Compact(at[i])
	}
	n := [3]int{len(at[0]) - 1, len(at[1]) - 1, len(at[2]) - 1}
	if len(blocks) == 0 || min(n[0], n[1], n[2]) < 1 {
		return nil, errors.New("blocks without a volume")
	}
	full := make([]bool, n[0]*n[1]*n[2])
	filled := func(c [3]int) bool {
		for i := range c {
			if c[i] < 0 || c[i] >= n[i] {
				return false
			}
		}
		return full[(c[2]*n[1]+c[1])*n[0]+c[0]]
	}
	for _, b := range blocks {
		var lo, hi [3]int
		for i := range lo {
			lo[i], _ = slices.BinarySearch(at[i], b.Box.Min[i])
			hi[i], _ = slices.BinarySearch(at[i], b.Box.Max[i])
		}
		for z := lo[2]; z < hi[2]; z++ {
			for y := lo[1]; y < hi[1]; y++ {
				for x := lo[0]; x < hi[0]; x++ {
					full[(z*n[1]+y)*n[0]+x] = !b.Cut
				}
			}
		}
	}
	b := newBuilder()
	for z := range n[2] {
		for y := range n[1] {
			for x := range n[0] {
				if c := [3]int{x, y, z}; filled(c) {
					b.cell(at, c, filled)
				}
			}
		}
	}
	if f := Faults(&b.m); len(f) > 0 {
		return nil, errors.New("blocks are no sound solid: " + f[0].String())
	}
	return &b.m, nil
}

// cell adds the faces of a filled cell whose neighbour is empty.
func (b *builder) cell(at [3][]float64, c [3]int, filled func([3]int) bool) {
	for i := range 3 {
		j, k := (i+1)%3, (i+2)%3
		for side := range 2 {
			next := c
			next[i] += 2*side - 1
			if filled(next) {
				continue
			}
			corner := func(dj, dk int) (p [3]float64) {
				p[i], p[j], p[k] = at[i][c[i]+side], at[j][c[j]+dj], at[k][c[k]+dk]
				return p
			}
			if side == 1 {
				b.quad(corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1))
			} else {
				b.quad(corner(0, 0), corner(0, 1), corner(1, 1), corner(1, 0))
			}
		}
	}
}
