package union

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"falsework/mesh"
	"falsework/mesh/exact"
	"falsework/mesh/meshtest"
)

// A part's audit spares work and changes nothing: the same triangles, the same
// sources, the same refusals.
func TestUniteAudited(t *testing.T) {
	same := func(name string, part *mesh.Mesh, tools []*mesh.Mesh) {
		t.Helper()
		audit, err := part.Audit(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		want, wrong := Unite(part, tools)
		got, err := UniteAudited(part, audit.Brief(), tools)
		if wrong != nil {
			if err == nil || err.Error() != wrong.Error() {
				t.Errorf("%s: %v, without the audit %v", name, err, wrong)
			}
			return
		}
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		if !slices.Equal(got.Mesh.Vertices, want.Mesh.Vertices) || !slices.Equal(got.Mesh.Triangles, want.Mesh.Triangles) || !slices.Equal(got.Source, want.Source) {
			t.Errorf("%s: another mesh than without the audit", name)
		}
		a, b := got.Report, want.Report
		for _, v := range [][2]float64{{a.PartVolume, b.PartVolume}, {a.Volume, b.Volume}} {
			if math.Abs(v[0]-v[1]) > 1e-9*math.Abs(v[1]) {
				t.Errorf("%s: volume %v, without the audit %v", name, v[0], v[1])
			}
		}
	}
	for seed := range uint64(3) {
		tr := randomTrial(seed)
		same("trial", tr.part, tr.tools)
	}
	rib := []*mesh.Mesh{slab(4, -1, 2, 5, 11, 12)}
	open := slab(0, 0, 0, 10, 10, 10)
	open.Triangles = open.Triangles[1:]
	same("open at the rib", open, rib)
	far := slab(50, 0, 0, 60, 10, 10)
	far.Triangles = far.Triangles[2:]
	same("open away from the rib", meshtest.Join(slab(0, 0, 0, 10, 10, 10), far), rib)
	same("overlapping shells", meshtest.Join(slab(0, 0, 0, 10, 10, 10), slab(3, 3, 3, 13, 13, 13)), rib)
	same("no ribs", slab(0, 0, 0, 10, 10, 10), nil)
	bad := slab(0, 0, 0, 10, 10, 10)
	bad.Vertices[5][1] = float32(math.NaN())
	same("no number", bad, rib)
	var d *DefectError
	if _, err := UniteAudited(bad, &mesh.Audit{}, rib); !errors.As(err, &d) || d.Kind != NotFinite {
		t.Errorf("no number: %v", err)
	}
}

// Four points are cut in two as the clipper cuts them, ties and all.
func TestHalvesAsTheClipper(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	cut := 0
	for range 5000 {
		p := &polygon{rings: [][]int32{{0, 1, 2, 3}}}
		for i := range 4 {
			p.id = append(p.id, int32(i))
			p.at = append(p.at, [2]float64{float64(r.IntN(9)), float64(r.IntN(9))})
		}
		if p.near(p.rings[0], 0) || !p.halves(p.rings[0]) {
			continue
		}
		cut++
		want := newClipper(&polygon{at: p.at, id: p.id, rings: p.rings}, p.rings[0]).run()
		if !slices.Equal(p.out, want) {
			t.Fatalf("%v: %v, the clipper %v", p.at, p.out, want)
		}
	}
	if cut < 200 {
		t.Errorf("only %d of 5000 were convex", cut)
	}
}

// A box that is passed over has no point in the triangle.
func TestBoxesPassedOver(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	passed := 0
	for range 20000 {
		at := func() [2]float64 { return [2]float64{float64(r.IntN(7)), float64(r.IntN(7))} }
		tri := [3][2]float64{at(), at(), at()}
		if exact.Orient2D(tri[0], tri[1], tri[2]) <= 0 {
			continue
		}
		p, q := at(), at()
		d := &bluntNode{}
		for k := range 2 {
			d.lo[k], d.hi[k] = min(p[k], q[k]), max(p[k], q[k])
		}
		if !d.beside(&tri, 0) {
			continue
		}
		passed++
		for x := d.lo[0]; x <= d.hi[0]; x += 0.5 {
			for y := d.lo[1]; y <= d.hi[1]; y += 0.5 {
				in := true
				for e := range 3 {
					in = in && exact.Orient2D(tri[e], tri[(e+1)%3], [2]float64{x, y}) >= 0
				}
				if in {
					t.Fatalf("box %v to %v is passed over, (%g, %g) lies in %v", d.lo, d.hi, x, y, tri)
				}
			}
		}
	}
	if passed < 1000 {
		t.Errorf("only %d boxes passed over", passed)
	}
}

// What stays is found the same triangle by triangle, whatever the rest does.
func TestStretches(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 300 {
		n := 1 + r.IntN(40)
		c := &change{keepRest: r.IntN(2) == 0}
		stays := make([]bool, n)
		for i := range n {
			stays[i] = c.keepRest
			if r.IntN(3) == 0 {
				stays[i] = r.IntN(2) == 0
				c.touched, c.stay = append(c.touched, int32(i)), append(c.stay, stays[i])
			}
		}
		var want, got []int
		for i, s := range stays {
			if s {
				want = append(want, i)
			}
		}
		runs := c.staying(n)
		for from := 0; from < len(want); {
			to := min(from+1+r.IntN(7), len(want))
			share(runs, from, to, func(s stretch) {
				if s.at != len(got) {
					t.Fatalf("%v at %d, %d before", s, s.at, len(got))
				}
				for i := s.from; i < s.to; i++ {
					got = append(got, i)
				}
			})
			from = to
		}
		if !slices.Equal(got, want) {
			t.Fatalf("%v stay of %v, got %v", want, stays, got)
		}
	}
}
