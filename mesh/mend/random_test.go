package mend_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"falsework/mesh"
	"falsework/mesh/mend"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
)

// wreck damages a soup in n random ways.
func wreck(s soup, r *rand.Rand, n int) soup {
	for range n {
		i := r.IntN(len(s))
		switch r.IntN(7) {
		case 0:
			s = slices.Delete(s, i, i+1)
		case 1:
			s = append(s, s[i])
		case 2:
			s[i] = reverse(s[i])
		case 3:
			s[i][r.IntN(3)][r.IntN(3)] += float32(tol * (r.Float64() - 0.5))
		case 4:
			s[i][r.IntN(3)] = s[r.IntN(len(s))][r.IntN(3)]
		case 5:
			t := s[i]
			w := mid(t[0], t[1])
			s[i] = [3][3]float32{t[0], w, t[2]}
			s = append(s, [3][3]float32{w, t[1], t[2]})
		case 6:
			s = append(s, [3][3]float32{s[i][0], s[i][1], s[i][0]})
		}
		if len(s) == 0 {
			return s
		}
	}
	return s
}

// Whatever is done to a surface: no panic; a refusal names a fault and a
// place; what comes back mended is sound, and mending it again does nothing.
func TestRandomDamage(t *testing.T) {
	bases := []*mesh.Mesh{base(), meshtest.RandomHouse(2).Mesh, meshtest.Blocks(meshtest.Add(0, 0, 0, 1, 1, 1)), meshtest.Sphere(4, 8)}
	mended, refused := 0, 0
	property.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		s := soupOf(bases[rapid.IntRange(0, len(bases)-1).Draw(t, "base")])
		m := wreck(s, r, rapid.IntRange(0, 12).Draw(t, "damages")).weld()
		res, err := mend.Surface(bg, m)
		if err != nil {
			refused++
			var f *mesh.Fault
			if res == nil || res.Mesh == nil || !errors.As(err, &f) || f.Kind == 0 || f.Triangle >= len(m.Triangles)+200 {
				t.Fatalf("refusal %v", err)
			}
			return
		}
		mended++
		for _, f := range meshtest.Faults(res.Mesh) {
			switch f.Kind {
			case meshtest.Crowded, meshtest.Pinched, meshtest.Degenerate:
			default:
				t.Fatalf("mended, but %v", f)
			}
		}
		if again, err := mend.Surface(bg, res.Mesh); err != nil || math.Abs(again.Audit.Volume-res.Audit.Volume) > 1e-9*res.Audit.Volume {
			t.Fatalf("mended again: error %v", err)
		}
	})
	if mended < 10 || refused < 10 {
		t.Errorf("%d mended, %d refused: the test says little", mended, refused)
	}
}

// The cost of mending one missing triangle in a large part, and of looking
// at a part that needs nothing.
func BenchmarkSurface(b *testing.B) {
	m := meshtest.Subdivide(meshtest.Turn(meshtest.Sphere(100, 300), [3]float64{1, 2, 3}, 1), 2)
	hole := meshtest.Clone(m)
	hole.Triangles = slices.Delete(hole.Triangles, 70000, 70001)
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
	}{{"sound", m}, {"hole", hole}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportMetric(float64(len(c.m.Triangles)), "triangles")
			for b.Loop() {
				if _, err := mend.Surface(bg, c.m); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
