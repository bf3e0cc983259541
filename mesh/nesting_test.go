package mesh_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// onion is n cubes, each in the next, facing in and out by turns.
func onion(n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range n {
		r := float64(n - i)
		c := meshtest.Blocks(meshtest.Add(-r, -r, -r, r, r, r))
		if i%2 == 1 {
			c = meshtest.Flip(c)
		}
		extend(m, c)
	}
	return m
}

// foam is a plate with n x n bubbles, its top made of long strips.
func foam(n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	plate := strips(float64(2*n), 4*n)
	extend(m, plate)
	for i := range n {
		for j := range n {
			x, y := float64(2*i)+0.5, float64(2*j)+0.5
			extend(m, meshtest.Flip(meshtest.Blocks(meshtest.Add(x, y, 0.5, x+1, y+1, 1.5))))
		}
	}
	// Turned, the boxes of the strips all overlap.
	return meshtest.Turn(m, [3]float64{0, 0, 1}, 40)
}

// strips is a plate of the given width, 2 high, cut into n long strips from
// one side to the other.
func strips(width float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	add := func(p ...[3]float64) {
		for _, q := range p {
			m.Vertices = append(m.Vertices, [3]float32{float32(q[0]), float32(q[1]), float32(q[2])})
		}
	}
	// Points on two opposite sides, joined in turn; the corners close it.
	for i := range n + 1 {
		t := width * float64(i) / float64(n)
		for _, z := range []float64{0, 2} {
			add([3]float64{t, 0, z}, [3]float64{width - t, width, z})
		}
	}
	at := func(i, side, z int) int32 { return int32(4*i + 2*z + side) }
	for i := range n {
		for z := range 2 {
			a, b, c, d := at(i, 0, z), at(i+1, 0, z), at(n-i-1, 1, z), at(n-i, 1, z)
			// Opposite side counted from the other end: c lies across b.
			quad := [][3]int32{{a, b, c}, {a, c, d}}
			for _, t := range quad {
				if z == 0 {
					t[1], t[2] = t[2], t[1]
				}
				m.Triangles = append(m.Triangles, t)
			}
		}
		for side := range 2 {
			a, b, c, d := at(i, side, 0), at(i+1, side, 0), at(i+1, side, 1), at(i, side, 1)
			m.Triangles = append(m.Triangles, [3]int32{a, b, c}, [3]int32{a, c, d})
		}
	}
	for _, i := range []int{0, n} {
		j := n - i
		a, b, c, d := at(i, 0, 0), at(j, 1, 0), at(j, 1, 1), at(i, 0, 1)
		if i == 0 {
			a, b, c, d = b, a, d, c
		}
		m.Triangles = append(m.Triangles, [3]int32{a, b, c}, [3]int32{a, c, d})
	}
	return m
}

func extend(m, by *mesh.Mesh) {
	n := int32(len(m.Vertices))
	m.Vertices = append(m.Vertices, by.Vertices...)
	for _, t := range by.Triangles {
		m.Triangles = append(m.Triangles, [3]int32{t[0] + n, t[1] + n, t[2] + n})
	}
}

func TestStrips(t *testing.T) {
	m := strips(10, 7)
	meshtest.Check(t, m)
	if v := m.Volume(); v < 199.99 || v > 200.01 {
		t.Errorf("volume %g", v)
	}
}

func TestDeepNests(t *testing.T) {
	a, err := onion(101).Audit(bg)
	if err != nil {
		t.Fatal(err)
	}
	for id, s := range a.Shells {
		if s.Depth != id {
			t.Fatalf("shell %d of the onion at depth %d", id, s.Depth)
		}
	}
	if a, err = foam(8).Audit(bg); err != nil {
		t.Fatal(err)
	}
	for id, s := range a.Shells {
		if want := min(id, 1); s.Depth != want {
			t.Fatalf("shell %d of the foam at depth %d", id, s.Depth)
		}
	}
}

// Cubes thrown together without touching, in and beside each other, in any
// order: the depth is what counting boxes says.
func TestRandomNests(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for range 20 {
		type cube struct{ x, y, z, r float64 }
		var cubes []cube
		for len(cubes) < 40 {
			c := cube{float64(r.IntN(60)), float64(r.IntN(60)), float64(r.IntN(60)), 0.5 + float64(r.IntN(30))}
			apart := true
			for _, d := range cubes {
				gap := max(abs(c.x-d.x), abs(c.y-d.y), abs(c.z-d.z))
				apart = apart && (gap > c.r+d.r || gap < abs(c.r-d.r))
			}
			if apart {
				cubes = append(cubes, c)
			}
		}
		m := &mesh.Mesh{}
		for i, c := range cubes {
			b := meshtest.Blocks(meshtest.Add(c.x-c.r, c.y-c.r, c.z-c.r, c.x+c.r, c.y+c.r, c.z+c.r))
			if i%2 == 0 {
				b = meshtest.Flip(b)
			}
			extend(m, b)
		}
		a, err := m.Audit(bg)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range cubes {
			want := 0
			for j, d := range cubes {
				if i != j && d.r > c.r && max(abs(c.x-d.x), abs(c.y-d.y), abs(c.z-d.z)) < d.r-c.r {
					want++
				}
			}
			if a.Shells[i].Depth != want {
				t.Fatalf("cube %d of %v at depth %d, want %d", i, cubes, a.Shells[i].Depth, want)
			}
		}
	}
}

func abs(x float64) float64 { return max(x, -x) }

// The time must grow about as the number of triangles does.
func BenchmarkNesting(b *testing.B) {
	for _, n := range []int{2000, 8000, 32000} {
		b.Run(fmt.Sprintf("onion/%d", n), func(b *testing.B) { benchAudit(b, onion(n)) })
	}
	for _, n := range []int{40, 80, 160} {
		b.Run(fmt.Sprintf("foam/%d", n*n), func(b *testing.B) { benchAudit(b, foam(n)) })
	}
}

func benchAudit(b *testing.B, m *mesh.Mesh) {
	b.ReportMetric(float64(len(m.Triangles)), "triangles")
	for b.Loop() {
		if _, err := m.Audit(bg); err != nil {
			b.Fatal(err)
		}
	}
}
