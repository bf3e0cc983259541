package field

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/stl"
)

var bg = context.Background()

func random(r *rand.Rand, lo, hi float64) vec {
	var p vec
	for k := range p {
		p[k] = lo + r.Float64()*(hi-lo)
	}
	return p
}

// The tree gives the distance that asking every triangle gives.
func TestDistanceAgainstAllTriangles(t *testing.T) {
	m := meshtest.RandomHouse(1).Mesh
	tr := plant(m)
	r := rand.New(rand.NewPCG(1, 1))
	for range 300 {
		p := random(r, -50, 250)
		want := math.Inf(1)
		for _, tri := range tr.tris {
			want = min(want, norm(minus(p, nearest(p, tri))))
		}
		if got := tr.distance(p); math.Abs(got-want) > 1e-9 {
			t.Fatalf("at %v: %g, want %g", p, got, want)
		}
	}
}

// Nearest is a point of the triangle, and none of many others is nearer.
func TestNearestOnTriangle(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for range 500 {
		tri := [3]vec{random(r, 0, 1), random(r, 0, 1), random(r, 0, 1)}
		p := random(r, -1, 2)
		q := nearest(p, tri)
		d := norm(minus(p, q))
		for range 200 {
			u, v := r.Float64(), r.Float64()
			if u+v > 1 {
				u, v = 1-u, 1-v
			}
			o := plus(plus(tri[0], u, minus(tri[1], tri[0])), v, minus(tri[2], tri[0]))
			if norm(minus(p, o)) < d-1e-9 {
				t.Fatalf("%v is nearer to %v than %v", o, p, q)
			}
		}
	}
}

// Of a closed surface the winding number is 1 inside and 0 outside; the
// dipoles may be off by a little.
func TestWinding(t *testing.T) {
	ball, shell := plant(meshtest.Sphere(10, 64)), plant(meshtest.Join(meshtest.Sphere(10, 64), meshtest.Flip(meshtest.Sphere(5, 32))))
	double := plant(meshtest.Join(meshtest.Sphere(10, 64), meshtest.Move(meshtest.Sphere(10, 32), 5, 0, 0)))
	r := rand.New(rand.NewPCG(3, 3))
	for range 500 {
		p := random(r, -15, 15)
		d, e := norm(p), norm(minus(p, vec{5, 0, 0}))
		if math.Abs(d-10) < 0.2 || math.Abs(d-5) < 0.2 || math.Abs(e-10) < 0.2 {
			continue
		}
		in := func(b bool) float64 {
			if b {
				return 1
			}
			return 0
		}
		for _, c := range []struct {
			name string
			t    *tree
			want float64
		}{{"ball", ball, in(d < 10)}, {"shell", shell, in(d < 10) - in(d < 5)}, {"double", double, in(d < 10) + in(e < 10)}} {
			if w := c.t.winding(p); math.Abs(w-c.want) > 0.05 {
				t.Errorf("%s at %v: winding %g, want %g", c.name, p, w, c.want)
			}
		}
	}
}

func resampled(t *testing.T, m *mesh.Mesh, cell float64) *Result {
	t.Helper()
	r, err := Resample(bg, m, cell)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range meshtest.Faults(r.Mesh) {
		if f.Kind != meshtest.Crowded && f.Kind != meshtest.Pinched {
			t.Fatalf("resampled, but %v", f)
		}
	}
	if !r.Audit.Closed() || r.Audit.Volume <= 0 {
		t.Fatalf("closed %v, volume %g", r.Audit.Closed(), r.Audit.Volume)
	}
	return r
}

func TestResampleOfBrokenSurfaces(t *testing.T) {
	ball := meshtest.Sphere(10, 48)
	volume := 4 * math.Pi * 1000 / 3
	holed := meshtest.Clone(ball)
	holed.Triangles = slices.DeleteFunc(holed.Triangles, func(t [3]int32) bool { return ball.Vertices[t[0]][2] > 9 }) // a cap gone
	turned := meshtest.Clone(ball)
	for i := 0; i < len(turned.Triangles); i += 40 {
		turned.Triangles[i][0], turned.Triangles[i][1] = turned.Triangles[i][1], turned.Triangles[i][0]
	}
	blocks := meshtest.Join(meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 10, 10)), meshtest.Blocks(meshtest.Add(10, 2, 2, 30, 8, 8)))
	r := rand.New(rand.NewPCG(4, 4))
	torn := meshtest.Soup(ball) // every triangle moved a little: nothing meets anything
	for i := range torn.Vertices {
		for k := range 3 {
			torn.Vertices[i][k] += float32(0.05 * (r.Float64() - 0.5))
		}
	}
	for _, c := range []struct {
		name   string
		m      *mesh.Mesh
		volume float64
		off    float64 // how far the new surface may lie from the input
	}{
		{"sound ball", ball, volume, 0.4},
		{"inside out", meshtest.Flip(ball), volume, 0.4},
		{"cap gone", holed, volume, 4},
		{"some turned", turned, volume, 0.5},
		{"torn", torn, volume, 0.5},
		{"overlapping blocks", blocks, 2000 + 20*36 - 10*36, 0.9},
		{"hollow", meshtest.Join(ball, meshtest.Flip(meshtest.Sphere(6, 48))), volume * (1 - 0.216), 0.5},
	} {
		got := resampled(t, c.m, 1)
		if math.Abs(got.Audit.Volume-c.volume) > 0.06*c.volume {
			t.Errorf("%s: volume %g, want about %g", c.name, got.Audit.Volume, c.volume)
		}
		if got.Off.Most > c.off || got.Off.Mean > got.Off.Most || got.Off.Mean <= 0 {
			t.Errorf("%s: off by %+v, want %g at most", c.name, got.Off, c.off)
		}
	}
}

// Plane faces come back plane: the error is at the edges only.
func TestResampleOfABox(t *testing.T) {
	box := meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 15, 10))
	r := resampled(t, box, 0.4)
	if r.Off.Most > 0.25 || r.Lost.Most > 0.4 || r.Off.Mean > 0.02 {
		t.Errorf("off by %+v, lost %+v", r.Off, r.Lost)
	}
	if v := r.Audit.Volume; math.Abs(v-3000) > 30 {
		t.Errorf("volume %g, want about 3000", v)
	}
}

// Half the cell, about half the error; and the same bytes each time.
func TestResampleConverges(t *testing.T) {
	m := meshtest.Turn(meshtest.Ring(10, 4, 32), [3]float64{1, 2, 3}, 40)
	coarse, fine := resampled(t, m, 1.6), resampled(t, m, 0.8)
	if fine.Off.Most > 0.8*coarse.Off.Most || fine.Lost.Most > 0.8*coarse.Lost.Most {
		t.Errorf("at 1.6 mm off by %+v and %+v, at 0.8 by %+v and %+v", coarse.Off, coarse.Lost, fine.Off, fine.Lost)
	}
	if meshtest.Genus(fine.Mesh) != 1 {
		t.Errorf("genus %d of a ring", meshtest.Genus(fine.Mesh))
	}
	if again := resampled(t, m, 0.8); !slices.Equal(again.Mesh.Vertices, fine.Mesh.Vertices) || !slices.Equal(again.Mesh.Triangles, fine.Mesh.Triangles) {
		t.Error("another surface the second time")
	}
}

func TestResampleRefuses(t *testing.T) {
	box := meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 15, 10))
	ctx, cancel := context.WithCancel(bg)
	cancel()
	if _, err := Resample(ctx, box, 0.5); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	for _, c := range []struct {
		m     *mesh.Mesh
		cell  float64
		words string
	}{
		{&mesh.Mesh{}, 1, "no surface"}, {box, 0, "above zero"}, {box, math.NaN(), "above zero"}, {box, -1, "above zero"},
		{box, 0.001, "take 0.013 mm or more"}, {box, 10, "too coarse"},
	} {
		if _, err := Resample(bg, c.m, c.cell); err == nil || !strings.Contains(err.Error(), c.words) || strings.Contains(err.Error(), "\n") {
			t.Errorf("cell %g: error %v, want %q", c.cell, err, c.words)
		}
	}
	leaf := &mesh.Mesh{Vertices: [][3]float32{{0, 0, 0}, {9, 0, 0}, {0, 9, 0}}, Triangles: [][3]int32{{0, 1, 2}}}
	if _, err := Resample(bg, leaf, 0.5); err == nil || !strings.Contains(err.Error(), "nothing of the part is left") {
		t.Errorf("a leaf: %v", err)
	}
}

// The real parts that no mend closes come out closed, or say why not.
func TestRealParts(t *testing.T) {
	dir := os.Getenv("FALSEWORK_PARTS")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "parts") // beside the repository
	}
	if !property.Long() {
		t.Skip("takes half a minute; set FALSEWORK_LONG=1")
	}
	if _, err := os.Stat(dir); err != nil {
		t.Skip("no folder of real parts; set FALSEWORK_PARTS to one")
	}
	for name, cell := range map[string]float64{"tray-large.stl": 1.5, "box-self-piercing.stl": 0.1, "soup.stl": 0.02} {
		f, err := stl.ReadFile(bg, filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		r, err := Resample(bg, f.Mesh, cell)
		if err != nil {
			t.Logf("%s: %v", name, err)
			continue
		}
		if !r.Audit.Closed() {
			t.Errorf("%s: not closed", name)
		}
		t.Logf("%s at %g: %d triangles, volume %.5g, off %.3g, lost %.3g", name, cell, r.Audit.Triangles, r.Audit.Volume, r.Off, r.Lost)
	}
}

func BenchmarkResample(b *testing.B) {
	m := meshtest.RandomHouse(1).Mesh
	for b.Loop() {
		r, err := Resample(bg, m, 1)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(r.Audit.Triangles), "triangles")
	}
}

// A panic while a surface is drawn reaches the one who asked for it, so that
// the program can word it.
func TestDrawHandsOnPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("the panic was lost")
		}
	}()
	draw(&solid{ctx: bg, box: mesh.Box{Max: [3]float64{4, 4, 4}}, cell: 1, sign: 1}, 6) // has no tree to ask
}
