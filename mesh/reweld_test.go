package mesh_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
)

// negate gives the zeros of the i-th number the other sign.
func negate(m *mesh.Mesh, v, i int) { m.Vertices[v][i] = float32(math.Copysign(0, -1)) }

// What is read back is what welding makes: the same triangles between the same
// places, and no place twice.
func TestRewelding(t *testing.T) {
	base := meshtest.Subdivide(meshtest.RandomHouse(3).Mesh, 1)
	property.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		m := meshtest.Clone(base)
		r.Shuffle(len(m.Triangles), func(i, j int) { m.Triangles[i], m.Triangles[j] = m.Triangles[j], m.Triangles[i] })
		recs := records(m)
		kind := rapid.IntRange(0, 6).Draw(t, "kind")
		v := r.IntN(len(m.Vertices))
		whole := false
		switch kind {
		case 0:
			whole = true
		case 1: // two vertices in one place
			m.Vertices[v] = m.Vertices[(v+1+r.IntN(len(m.Vertices)-1))%len(m.Vertices)]
			recs = records(m)
		case 2: // a vertex without a triangle
			m.Vertices = append(m.Vertices, [3]float32{1e6, 1, 1})
		case 3: // -0, which welding makes 0
			negate(m, v, r.IntN(3))
			recs = records(m)
		case 4: // a bit that fell over on the way
			recs[r.IntN(len(m.Triangles))*mesh.RecordSize+12+r.IntN(36)] ^= 1 << r.IntN(8)
		case 5: // triangles exchanged
			i, j := r.IntN(len(m.Triangles)), r.IntN(len(m.Triangles))
			m.Triangles[i], m.Triangles[j] = m.Triangles[j], m.Triangles[i]
		case 6: // one missing
			recs = recs[mesh.RecordSize:]
		}
		got, err := mesh.Reweld(bg, recs, m)
		if err != nil {
			t.Fatal(err)
		}
		if whole && got != m {
			t.Fatal("welds a sound mesh anew")
		}
		if kind != 5 && !whole && got == m {
			t.Fatalf("kind %d: takes for the mesh what is not", kind)
		}
		want := plainWeld(recs)
		if len(got.Vertices) != len(want.Vertices) || len(got.Triangles) != len(want.Triangles) {
			t.Fatalf("kind %d: %d vertices of %d triangles, want %d of %d", kind, len(got.Vertices), len(got.Triangles), len(want.Vertices), len(want.Triangles))
		}
		number := slices.Repeat([]int32{-1}, len(want.Vertices))
		for i := range want.Triangles {
			for c, u := range want.Triangles[i] {
				w := got.Triangles[i][c]
				if number[u] < 0 {
					number[u] = w
				}
				if number[u] != w || got.Vertices[w] != want.Vertices[u] {
					t.Fatalf("kind %d: corner %d of triangle %d differs", kind, c, i)
				}
			}
		}
	})
}

// BenchmarkReweld is to be held against BenchmarkWeld.
func BenchmarkReweld(b *testing.B) {
	m, err := mesh.Weld(bg, records(largeMesh()))
	if err != nil {
		b.Fatal(err)
	}
	recs := records(m)
	b.SetBytes(int64(len(recs)))
	for b.Loop() {
		if got, err := mesh.Reweld(bg, recs, m); err != nil || got != m {
			b.Fatal("welded anew")
		}
	}
}
