package meshtest

import (
	"math"
	"math/rand/v2"
	"testing"

	"falsework/mesh"
)

func TestSoundSolidsMeetThemselvesNowhere(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{
		"frame": Blocks(Add(0, 0, 0, 3, 1, 3), Cut(1, 0, 1, 2, 1, 2)), "sphere": Turn(Sphere(10, 32), [3]float64{1, 2, 3}, 40),
		"ring": Ring(10, 3, 24), "prism": Prism(0, 1, Rectangle(0, 0, 9, 9), Circle(4, 4, 2, 11)),
	} {
		t.Run(name, func(t *testing.T) { CheckEmbedded(t, m, -1) })
	}
}

func TestContactsAreSeen(t *testing.T) {
	for _, c := range []struct {
		name  string
		m     *mesh.Mesh
		want  Kind
		depth float64 // of the deepest
	}{
		// The lid of the first and the y face of the second share a segment 0.6
		// from the lid's side; its point as far from the diagonal is deepest.
		{"crossing cubes", Join(cube(), Move(cube(), 0.75, 0.4, 0.3)), Pierce, 0.6 * (math.Sqrt2 - 1)},
		{"cube on a cube", Join(cube(), Move(cube(), 0.25, 0.25, 1)), Overlap, math.Sqrt(0.5)},
		{"tip on a face", Join(Blocks(Add(-9, -9, -1, 9, 9, 0)), Move(Mirror(Cone(1, 3, 5), 2), 1, 2, 3)), Touch, 0},
	} {
		got := Contacts(c.m)
		deepest, seen := 0.0, false
		for _, g := range got {
			seen = seen || g.Kind == c.want
			deepest = max(deepest, g.Depth)
		}
		if !seen {
			t.Errorf("%s: %v, want one that %s", c.name, got, c.want)
		}
		if math.Abs(deepest-c.depth) > 1e-6 {
			t.Errorf("%s: depth %g, want %g", c.name, deepest, c.depth)
		}
	}
}

func TestFoldedTriangleIsSeen(t *testing.T) {
	// A flat plate whose one inner vertex is moved beyond the outline of its fan, in its plane.
	m := Subdivide(Blocks(Add(0, 0, 0, 8, 8, 1)), 1)
	if len(Contacts(m)) != 0 {
		t.Fatal("the plate meets itself before it is folded")
	}
	for i, p := range m.Vertices {
		if p == [3]float32{4, 4, 1} {
			m.Vertices[i] = [3]float32{7.5, 3, 1}
		}
	}
	Check(t, m) // still a combinatorial manifold
	if len(Contacts(m)) == 0 {
		t.Error("fold not seen")
	}
}

// The tree finds what the test of all pairs finds.
func TestTreeAgainstAllPairs(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	m := &mesh.Mesh{}
	for i := range 150 {
		for range 3 {
			m.Vertices = append(m.Vertices, [3]float32{r.Float32(), r.Float32(), r.Float32()})
		}
		n := int32(3 * i)
		m.Triangles = append(m.Triangles, [3]int32{n, n + 1, n + 2})
	}
	want := 0
	for a := range m.Triangles {
		for b := a + 1; b < len(m.Triangles); b++ {
			if _, ok := contact(m, a, b); ok {
				want++
			}
		}
	}
	if got := len(Contacts(m)); got != want || want == 0 {
		t.Errorf("tree finds %d contacts, all pairs %d", got, want)
	}
}

func TestOrientIdentities(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 2000 {
		var p [4][3]float64
		for i := range p {
			for j := range 3 {
				p[i][j] = float64(float32(r.IntN(4)) + float32(r.IntN(2))*1e-6)
			}
		}
		o := orient(p[0], p[1], p[2], p[3])
		if o != orient(p[1], p[2], p[0], p[3]) || o != -orient(p[1], p[0], p[2], p[3]) || o != -orient(p[0], p[1], p[3], p[2]) {
			t.Fatalf("orient is not antisymmetric at %v", p)
		}
		if o != orientExact(p[0], p[1], p[2], p[3]) {
			t.Fatalf("filter and exact sign differ at %v", p)
		}
	}
}

func TestRandomHouses(t *testing.T) {
	front, behind, holes := 0, 0, 0
	for seed := range uint64(40) {
		h := RandomHouse(seed)
		CheckEmbedded(t, h.Mesh, -1)
		if v := Volume(h.Mesh); v <= 0 || v > h.Width*h.Depth*h.Tall {
			t.Errorf("house %d: volume %g", seed, v)
		}
		front += len(h.Front)
		behind += len(h.Behind)
		holes += len(h.Holes)
	}
	if front < 40 || behind < 8 || holes < 8 {
		t.Errorf("40 houses with %d front openings, %d open backs, %d roof holes: too few", front, behind, holes)
	}
	a, b := RandomHouse(7), RandomHouse(7)
	if Volume(a.Mesh) != Volume(b.Mesh) || len(a.Mesh.Triangles) != len(b.Mesh.Triangles) {
		t.Error("the same seed makes two housings")
	}
}
