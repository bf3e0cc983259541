package union

import (
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// The work depends on the cut, not on the part. What is counted here does not
// depend on the machine.

// counted runs the stages up to the pairs and counts the triangles gathered,
// the pairs looked at closely and the pairs that cut each other.
func counted(t *testing.T, part, tool *mesh.Mesh) (gathered, near, cut int) {
	t.Helper()
	tr := newTree(tool)
	g := newGrid(tool, tr, cellsFor(len(part.Triangles)), 0)
	oa := gather(part, nil, nil, tr, g, 0, nil).operand
	ob := local(tool, sequence(len(tool.Triangles)))
	prisms := make([]prism, len(ob.t))
	for i := range ob.t {
		prisms[i] = prismOf(ob.corners(int32(i)))
	}
	s := search{t: tr, prisms: prisms}
	for i := range oa.t {
		if i%flock == 0 {
			s.gather(oa, i, min(i+flock, len(oa.t)))
		}
		near += len(s.near(boxOf(oa.corners(int32(i)))))
	}
	pairs, err := meetings(oa, ob, nil, tr)
	if err != nil {
		t.Fatal(err)
	}
	return len(oa.t), near, len(pairs)
}

// The box of a tilted rib holds most of a part, and each of its two great
// triangles all of it: neither may make every small triangle of the part a
// candidate.
func TestTiltedRibOverDenseMesh(t *testing.T) {
	rib := meshtest.Turn(slab(-90, -90, -0.25, 90, 90, 0.25), [3]float64{1, 2, 0.3}, 41)
	last := 0
	for _, times := range []int{3, 4, 5} {
		part := meshtest.Subdivide(meshtest.Blocks(meshtest.Add(-50, -50, -50, 50, 50, 50), meshtest.Cut(-45, -50, -45, 45, 45, 45)), times)
		gathered, near, cut := counted(t, part, rib)
		t.Logf("%d triangles: %d gathered, %d pairs near, %d cut", len(part.Triangles), gathered, near, cut)
		if cut == 0 || 2*near > 3*cut {
			t.Errorf("%d triangles: %d pairs looked at for %d that cut", len(part.Triangles), near, cut)
		}
		// A cut is a line: twice as fine a mesh has twice as many triangles at
		// it, and four times as many in all.
		if last > 0 && float64(cut) > 2.3*float64(last) {
			t.Errorf("%d triangles: %d pairs cut, %d at half the fineness", len(part.Triangles), cut, last)
		}
		if part := len(part.Triangles); times == 5 && gathered > part/8 {
			t.Errorf("%d of %d triangles gathered", gathered, part)
		}
		last = cut
	}
}

// A triangle that a box is said to miss has no point in it. On a small grid
// most of them touch, or nearly do.
func TestTrianglesMissed(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	missed, byPlane, meets := 0, 0, 0
	for range 30000 {
		at := func() vec { return vec{float32(r.IntN(7)), float32(r.IntN(7)), float32(r.IntN(7))} }
		a, b, c := at(), at(), at()
		w := prismOf(a, b, c)
		p := at()
		bx := box{p, vec{p[0] + float32(r.IntN(2)), p[1] + float32(r.IntN(2)), p[2] + float32(r.IntN(2))}}
		if w.plane.misses(bx) {
			byPlane++
		}
		in := false
		for i := range 13 {
			for j := range 13 - i {
				u, v := float64(i)/12, float64(j)/12
				hit := true
				for k := range 3 {
					x := float64(a[k]) + u*float64(b[k]-a[k]) + v*float64(c[k]-a[k])
					hit = hit && x >= float64(bx.lo[k]) && x <= float64(bx.hi[k])
				}
				in = in || hit
			}
		}
		if w.misses(&bx) {
			if missed++; in {
				t.Fatalf("triangle %v %v %v has points in %v", a, b, c, bx)
			}
		}
		if in {
			meets++
		}
	}
	t.Logf("%d missed, %d by the plane alone, %d meet", missed, byPlane, meets)
	if missed < byPlane+3000 || meets < 1000 {
		t.Errorf("%d missed, %d by the plane alone, %d meet", missed, byPlane, meets)
	}
}

// Asked for flock by flock, whether they lie together or not, triangles find
// what each would find by looking at all.
func TestFlocksAgainstEach(t *testing.T) {
	rib := meshtest.Turn(slab(-90, -90, -0.25, 90, 90, 0.25), [3]float64{1, 2, 0.3}, 41)
	rib = meshtest.Subdivide(rib, 2)
	part := meshtest.Subdivide(slab(-50, -50, -50, 50, 50, 50), 4)
	tr := newTree(rib)
	ob := local(rib, sequence(len(rib.Triangles)))
	var prisms []prism
	for i := range ob.t {
		prisms = append(prisms, prismOf(ob.corners(int32(i))))
	}
	r := rand.New(rand.NewPCG(13, 14))
	together, apart, found := 0, 0, 0
	for _, shuffled := range []bool{false, true} {
		oa := local(part, sequence(len(part.Triangles)))
		if shuffled {
			r.Shuffle(len(oa.t), func(i, j int) { oa.t[i], oa.t[j] = oa.t[j], oa.t[i] })
		}
		s := search{t: tr, prisms: prisms}
		for i := range oa.t {
			if i%flock == 0 {
				s.gather(oa, i, min(i+flock, len(oa.t)))
				if s.apart {
					apart++
				} else {
					together++
				}
			}
			bx := boxOf(oa.corners(int32(i)))
			var want []int32
			for b := range ob.t {
				if !tr.boxes[b].beside(&bx) && !prisms[b].misses(&bx) {
					want = append(want, int32(b))
				}
			}
			found += len(want)
			if got := s.near(bx); !slices.Equal(got, want) {
				t.Fatalf("triangle %d, shuffled %v: %v, want %v", i, shuffled, got, want)
			}
		}
	}
	if together == 0 || apart == 0 || found == 0 {
		t.Errorf("%d flocks together, %d apart, %d found", together, apart, found)
	}
}

// Memory for a union grows with the cut alone: a dense ornament far from the
// ribs takes no more than the grid round them does, which stops to grow at
// 131,072 triangles.
func TestMemoryAwayFromTheRibs(t *testing.T) {
	frame := meshtest.Blocks(meshtest.Add(0, 0, 0, 100, 3, 80), meshtest.Cut(10, 0, 10, 90, 3, 70))
	rib := slab(30, 0.4, 9.9, 30.5, 2.6, 70.1)
	taken := func(n int) (bytes, triangles float64) {
		part := meshtest.Join(frame, meshtest.Move(meshtest.Sphere(30, n), 300, 0, 40))
		var before, after runtime.MemStats
		least := 0.0
		for range 3 {
			runtime.GC()
			runtime.ReadMemStats(&before)
			c, err := solve(part, nil, rib, unite)
			runtime.ReadMemStats(&after)
			if err != nil || c.cuts == 0 {
				t.Fatal(c, err)
			}
			if b := float64(after.TotalAlloc - before.TotalAlloc); least == 0 || b < least {
				least = b
			}
		}
		return least, float64(len(part.Triangles))
	}
	small, fewer := taken(64)
	medium, some := taken(364)
	large, many := taken(int(few(500, 1265))) // 250,000 or 1.6 million
	t.Logf("%.0f triangles: %.0f kB; %.0f: %.0f kB; %.0f: %.0f kB", fewer, small/1e3, some, medium/1e3, many, large/1e3)
	// What grows is the grid round the ribs, of a cell of six bytes for each
	// triangle, rounded up, up to what cellsFor allows.
	if medium > small+6*1.5*some {
		t.Errorf("%.0f bytes for %.0f triangles, %.0f for %.0f", medium, some, small, fewer)
	}
	// There is a sum for every 16,384 triangles besides.
	if cellsFor(int(some)) != cellsFor(int(many)) || large > medium+16*many/block+20e3 {
		t.Errorf("%.0f bytes for %.0f triangles, %.0f for %.0f", large, many, medium, some)
	}
}
