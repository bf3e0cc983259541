package rib

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/span"
)

// plainSealed answers what sealed answers on cubes one by one: distances to
// material by looking at every cube in reach, and a flood from outside.
func plainSealed(s *space, c *span.Ceiling) bool {
	full := make([]bool, s.nx*s.ny*s.nz)
	at := func(x, y, z int) int { return (z*s.ny+y)*s.nx + x }
	for y := range s.ny {
		for x := range s.nx {
			for z := range s.nz {
				full[at(x, y, z)] = s.material(y*s.nx+x, 0)[z/64]>>(z%64)&1 != 0
			}
		}
	}
	reach := int(s.body()/0.8) + 2
	near := func(x, y, z int) float64 {
		d := 3 * reach
		for k := max(0, z-reach); k < min(s.nz, z+reach+1); k++ {
			for j := max(0, y-reach); j < min(s.ny, y+reach+1); j++ {
				for i := max(0, x-reach); i < min(s.nx, x+reach+1); i++ {
					if full[at(i, j, k)] {
						d = min(d, chamfer(i-x, j-y, k-z))
					}
				}
			}
		}
		return float64(d) / 3
	}
	spots := make([]bool, len(full))
	best, some := 0.0, false
	for _, p := range s.under(c) {
		for z := range s.nz {
			if p.cubes[z/64]>>(z%64)&1 != 0 {
				some = true
				spots[at(p.column%s.nx, p.column/s.nx, z)] = true
				best = max(best, near(p.column%s.nx, p.column/s.nx, z))
			}
		}
	}
	radius := max(0.5, min(0.8*best, s.body()))
	seen := make([]bool, len(full))
	var queue [][3]int
	push := func(x, y, z int) {
		if x >= 0 && y >= 0 && z >= 0 && x < s.nx && y < s.ny && z < s.nz && !seen[at(x, y, z)] {
			seen[at(x, y, z)] = true
			if near(x, y, z) >= radius {
				queue = append(queue, [3]int{x, y, z})
			}
		}
	}
	for x := range s.nx { // the foot is open; the other edges are air and joined to it
		for y := range s.ny {
			push(x, y, 0)
		}
	}
	for len(queue) > 0 {
		q := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if spots[at(q[0], q[1], q[2])] {
			return false
		}
		for d := range 3 {
			for _, by := range []int{-1, 1} {
				n := q
				n[d] += by
				push(n[0], n[1], n[2])
			}
		}
	}
	return some
}

// Boxes with a hole somewhere, by words and cube by cube.
func TestSealedAgainstPlainFlood(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	closed := 0
	for n := range 12 {
		size := 100 + 20*r.Float64()
		tall := 20 + 30*r.Float64()
		wall := 4 + 3*r.Float64()
		blocks := []meshtest.Block{meshtest.Add(0, 0, 0, size, size, tall), meshtest.Cut(wall, wall, wall, size-wall, size-wall, tall-wall)}
		hole := 3 + 14*r.Float64()
		x := 10 + 60*r.Float64()
		switch n % 3 {
		case 0:
			blocks = append(blocks, meshtest.Cut(x, -1, wall, x+hole, wall+1, min(wall+hole, tall-wall)))
		case 1:
			blocks = append(blocks, meshtest.Cut(x, x, -1, x+hole, x+hole, wall+1))
		}
		part := meshtest.Blocks(blocks...)
		s := surveyOf(t, part)
		m := &maker{part: part, plan: &Plan{Survey: s}, reading: &reading{probes: newProbes(part, 3)}}
		for i := range s.Ceilings {
			c := &s.Ceilings[i]
			if !c.NeedsRibs {
				continue
			}
			got, want := m.sealed(c), plainSealed(newSpace(m.probes), c)
			if got != want {
				t.Errorf("box %d with a hole of %.1f: sealed is %v, the plain flood says %v", n, hole, got, want)
			}
			if want {
				closed++
			}
		}
	}
	if closed == 0 || closed == 12 {
		t.Errorf("%d of the boxes are closed: this compares nothing", closed)
	}
}

func BenchmarkSealed(b *testing.B) {
	for _, x := range []struct {
		name string
		part *mesh.Mesh
	}{
		{"open foot", meshtest.Blocks(meshtest.Add(0, 0, 0, 200, 150, 150), meshtest.Cut(3, 3, -1, 197, 147, 147))},
		{"closed", meshtest.Blocks(meshtest.Add(0, 0, 0, 200, 150, 150), meshtest.Cut(3, 3, 3, 197, 147, 147))},
		{"closed, small", meshtest.Blocks(meshtest.Add(0, 0, 0, 90, 80, 40), meshtest.Cut(3, 3, 3, 87, 77, 37))},
	} {
		b.Run(x.name, func(b *testing.B) {
			s, err := span.Run(context.Background(), x.part, span.Defaults(), span.Options{})
			if err != nil {
				b.Fatal(err)
			}
			size := math.Max(float64(x.part.Bounds().Max[0]), float64(x.part.Bounds().Max[1]))
			probes := newProbes(x.part, min(max(size/400, 0.25), 1))
			for b.Loop() {
				m := &maker{part: x.part, plan: &Plan{Survey: s}, reading: &reading{probes: probes}}
				m.sealed(&s.Ceilings[0])
			}
		})
	}
}

func BenchmarkProbes(b *testing.B) {
	part := meshtest.Blocks(meshtest.Add(0, 0, 0, 200, 150, 150), meshtest.Cut(3, 3, -1, 197, 147, 147))
	for _, x := range []struct {
		name string
		part *mesh.Mesh
	}{{"coarse", part}, {"fine", meshtest.SubdivideTo(part, 3)}} {
		b.Run(x.name, func(b *testing.B) {
			for b.Loop() {
				newProbes(x.part, 0.5)
			}
			b.ReportMetric(float64(len(x.part.Triangles)), "triangles")
		})
	}
}
