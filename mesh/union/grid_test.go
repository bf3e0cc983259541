package union

import (
	"errors"
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
)

// On a grid of few coordinates everything is degenerate: faces flush, edges
// crossing, corners touching. The volumes are counts of cells.

const gridSize = 4

// gridBlocks reads blocks on the grid from bytes: six coordinates each.
func gridBlocks(b []byte) []meshtest.Block {
	var out []meshtest.Block
	for ; len(b) >= 3 && len(out) < 4; b = b[3:] {
		var lo, hi [3]float64
		for k := range 3 {
			lo[k], hi[k] = float64(b[k]%gridSize), float64(b[k]/gridSize%gridSize)
			if lo[k] == hi[k] {
				hi[k]++
			}
		}
		if b[0]&128 != 0 && len(out) > 0 {
			out = append(out, meshtest.Cut(lo[0], lo[1], lo[2], hi[0], hi[1], hi[2]))
		} else {
			out = append(out, meshtest.Add(lo[0], lo[1], lo[2], hi[0], hi[1], hi[2]))
		}
	}
	return out
}

// cells tells which cells of the grid the blocks fill.
func cells(blocks []meshtest.Block) (full [gridSize + 1][gridSize + 1][gridSize + 1]bool) {
	for _, b := range blocks {
		for x := range full {
			for y := range full {
				for z := range full {
					in := true
					for k, c := range [3]int{x, y, z} {
						in = in && b.Box.Min[k] <= float64(c) && float64(c) < b.Box.Max[k]
					}
					if in {
						full[x][y][z] = !b.Cut
					}
				}
			}
		}
	}
	return full
}

// gridCase tries all operations and tells how many were refused for a skin.
func gridCase(t *testing.T, data []byte) (refused int) {
	if len(data) < 6 {
		return 0
	}
	half := min(len(data)/2, 12)
	ab, bb := gridBlocks(data[:half]), gridBlocks(data[half:])
	a, err := meshtest.TryBlocks(ab...)
	if err != nil {
		return 0
	}
	b, err := meshtest.TryBlocks(bb...)
	if err != nil {
		return 0
	}
	ca, cb := cells(ab), cells(bb)
	var na, nb, both float64
	for x := range ca {
		for y := range ca {
			for z := range ca {
				if ca[x][y][z] {
					na++
				}
				if cb[x][y][z] {
					nb++
				}
				if ca[x][y][z] && cb[x][y][z] {
					both++
				}
			}
		}
	}
	for _, c := range []struct {
		name string
		f    func() (*Result, error)
		want float64
	}{
		{"unite", func() (*Result, error) { return Unite(a, []*mesh.Mesh{b}) }, na + nb - both},
		{"subtract", func() (*Result, error) { return Subtract(a, b) }, na - both},
		{"intersect", func() (*Result, error) { return Intersect(a, b) }, both},
		{"combine", func() (*Result, error) {
			m, err := Combine([]*mesh.Mesh{a, b})
			return &Result{Mesh: m}, err
		}, na + nb - both},
	} {
		r, err := c.f()
		if s := (skinned{}); errors.As(err, &s) {
			refused++ // with its place
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if len(r.Mesh.Triangles) == 0 {
			if c.want != 0 {
				t.Errorf("%s: nothing left of %g", c.name, c.want)
			}
			continue
		}
		for _, f := range meshtest.Faults(r.Mesh) {
			if f.Kind != meshtest.InsideOut {
				t.Errorf("%s: %v", c.name, f)
			}
		}
		for _, s := range meshtest.Skins(r.Mesh, 1e-6, 1e-3) {
			if len(r.Report.Notes) == 0 {
				t.Errorf("%s: %v", c.name, s)
			}
		}
		// Where nothing is flush the volume is exact to rounding; a shift of
		// at most 0.0002 changes it by as much for each unit of area.
		if v := meshtest.Volume(r.Mesh); math.Abs(v-c.want) > 0.02 {
			t.Errorf("%s: volume %g, %g cells", c.name, v, c.want)
		}
	}
	return refused
}

func FuzzGrid(f *testing.F) {
	f.Add([]byte{4, 4, 4, 4, 4, 4})
	f.Add([]byte{8, 8, 8, 12, 12, 12})
	f.Add([]byte{12, 12, 12, 128 + 9, 9, 9, 9, 9, 9})
	f.Add([]byte{12, 12, 12, 128 + 9, 9, 9, 9, 12, 9, 8, 13, 4})
	f.Fuzz(func(t *testing.T, data []byte) { gridCase(t, data) })
}

// None of the drawn ones may be refused.
func TestGridSeeds(t *testing.T) {
	t.Parallel()
	n, refused := 100, 0
	if property.Long() {
		n = 50000
	}
	seed := uint64(1)
	for range n {
		data := make([]byte, 6+mix(&seed)%15)
		for i := range data {
			data[i] = byte(mix(&seed))
		}
		refused += gridCase(t, data)
		if t.Failed() {
			t.Fatalf("data %v", data)
		}
	}
	if refused > n/1000 {
		t.Errorf("%d of %d refused for a skin", refused, 4*n)
	}
}
