package union

import (
	"math"
	"math/rand/v2"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// A sheet folded on itself is seen, from either side and however it is cut
// into triangles; what stays clear of it by more than thin is not.
func TestSkinsAreSeen(t *testing.T) {
	a := [3]vec{{0, 0, 0}, {10, 0, 0}, {0, 10, 0}}
	for _, c := range []struct {
		name string
		b    [3]vec
		want bool
	}{
		{"the same corners", [3]vec{a[0], a[2], a[1]}, true},
		{"across", [3]vec{{-3, 4, 0}, {4, 4, 0}, {4, -3, 0}}, true},
		{"inside", [3]vec{{1, 1, 0}, {1, 2, 0}, {2, 1, 0}}, true},
		{"folded along a side", [3]vec{a[1], a[0], {3, 3, 0}}, true},
		{"less than thin above", [3]vec{{1, 1, 5e-7}, {1, 2, 0}, {2, 1, -5e-7}}, true},
		{"facing the same way", [3]vec{{1, 1, 0}, {2, 1, 0}, {1, 2, 0}}, false},
		{"more than thin above", [3]vec{{1, 1, 1e-4}, {1, 2, 1e-4}, {2, 1, 1e-4}}, false},
		{"beside", [3]vec{{11, 1, 0}, {11, 2, 0}, {12, 1, 0}}, false},
		{"along a side, beyond it", [3]vec{{0, 0, 0}, {10, 0, 0}, {5, -5, 0}}, false},
		{"narrow", [3]vec{{1, 1, 0}, {1.00001, 2, 0}, {1.00001, 1, 0}}, false},
		{"a wedge", [3]vec{{0, 0, 0}, {0, 10, 1}, {10, 0, 0}}, false},
	} {
		for _, order := range []bool{false, true} {
			s := &scene{thin: 1e-6, least: 1e-6}
			x, y := a, c.b
			if order {
				x, y = y, x
			}
			f := facetOf(x[0], x[1], x[2])
			s.add(f)
			s.add(facetOf(y[0], y[1], y[2]))
			s.plant()
			if _, got := s.first([]facet{f}); got != c.want {
				t.Errorf("%s, order %v: %v", c.name, order, got)
			}
		}
		m := meshtest.Join(soup(a), soup(c.b))
		if got := len(meshtest.Skins(m, 1e-6, 64e-6)) > 0; got != c.want {
			t.Errorf("%s by the validator: %v", c.name, got)
		}
	}
}

// Where a tool was moved by some microns, a skin is held to its own thickness:
// a narrow one that is thinner still is one, a narrow one as thick is none.
func TestSkinsAreHeldToTheirThickness(t *testing.T) {
	f := facetOf(vec{0, 0, 0}, vec{10, 0, 0}, vec{0, 10, 0})
	for _, c := range []struct {
		high float32
		want bool
	}{{0, true}, {1e-6, true}, {2e-5, true}, {5e-5, false}, {1.5e-4, false}, {3e-4, false}} {
		s := &scene{thin: 2e-4, least: 1e-6}
		s.add(facetOf(vec{1, 1, c.high}, vec{1, 9, c.high}, vec{1.002, 1, c.high}))
		s.plant()
		if _, got := s.first([]facet{f}); got != c.want {
			t.Errorf("0.002 wide and %g thick: %v", c.high, got)
		}
	}
}

// Sorting facets by how they face loses none that may make a skin.
func TestSidesThatFaceAgainst(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	unit := func() (n [3]float64) {
		for k := range 3 {
			n[k] = r.NormFloat64()
		}
		l := math.Sqrt(dot(n, n))
		for k := range 3 {
			n[k] /= l
		}
		return n
	}
	met := 0
	for range 20000 {
		n, m := unit(), unit()
		for k := range 3 { // nearly the other way
			m[k] = -n[k] + 0.12*m[k]
		}
		l := math.Sqrt(dot(m, m))
		for k := range 3 {
			m[k] /= l
		}
		if dot(n, m) > opposite {
			continue
		}
		met++
		s := &scene{}
		s.add(facet{n: m})
		if d := direction(m); !s.sides[d].faces(n) {
			t.Fatalf("%v does not face against %v", m, n)
		}
	}
	if met < 1000 {
		t.Errorf("only %d pairs", met)
	}
}

// A result whose faces came to lie on one another is refused by the solver.
func TestSolverLooksForSkins(t *testing.T) {
	a, b := slab(0, 0, 0, 10, 10, 10), slab(10, 0, 0, 20, 10, 10)
	// Drawn together for cutting, b shrinks away from a and leaves no skin;
	// united in the same way it leaves a slit all over the face.
	op := combine
	op.swell = -1
	if c, err := solve(a, nil, b, op); err == nil && len(c.added) > 0 {
		t.Errorf("a slit of nothing between two slabs passed: %d triangles", len(c.added))
	}
	if _, err := solve(a, nil, b, combine); err != nil {
		t.Error(err)
	}
}

func soup(c [3]vec) *mesh.Mesh {
	return &mesh.Mesh{Vertices: c[:], Triangles: [][3]int32{{0, 1, 2}}}
}
