package picture

import (
	"bytes"
	"image/color"
	"image/png"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/section"
)

var testClasses = []Class{
	{"part", color.NRGBA{0xE6, 0xE2, 0xDA, 255}},
	{"marked", color.NRGBA{0x5B, 0x2A, 0x86, 255}},
	{"added", color.NRGBA{0xB0, 0x74, 0x00, 255}},
}

// table is a plate on four legs, 100 x 80 x 60, with a marked underside.
func table() Scene {
	m := meshtest.Blocks(
		meshtest.Add(0, 0, 0, 100, 80, 60),
		meshtest.Cut(10, -1, -1, 90, 81, 50), meshtest.Cut(-1, 10, -1, 101, 70, 50))
	return Scene{
		Title: "table", Note: "one underside", Classes: testClasses,
		Bodies: []Body{{Mesh: m, Regions: []Region{{
			Area: section.Polygons{meshtest.Rectangle(20, 20, 80, 60)}, Z: [2]float64{50, 50}, Class: 1, Label: "1"}}}},
		Width: 700, Height: 450,
	}
}

// Rays shot through the centres of pixels at every triangle must find what
// the rasteriser found, at the same depth.
func TestRasterAgainstRays(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	m := &mesh.Mesh{}
	for i := range 120 {
		c := [3]float64{rng.Float64() * 100, rng.Float64() * 100, rng.Float64() * 100}
		size := []float64{60, 8, 0.5}[i%3]
		for range 3 {
			var p [3]float32
			for k := range p {
				p[k] = float32(c[k] + size*(rng.Float64()-0.5))
			}
			m.Vertices = append(m.Vertices, p)
		}
		n := int32(len(m.Vertices))
		m.Triangles = append(m.Triangles, [3]int32{n - 3, n - 2, n - 1})
	}
	const w, h = 160, 120
	for _, v := range []view{look(m.Bounds(), 20, -25, w, h), look(m.Bounds(), 200, 14, w, h).open(m.Bounds(), 0.4)} {
		c := raster([]Body{{Mesh: m}}, v, w, h)
		hits, wrong := 0, 0
		for y := range h {
			for x := range w {
				face, depth := cast(m, v, v.ray(x, y, w, h))
				got := c.face[y*w+x]
				if face != 0 {
					hits++
				}
				if got != face {
					wrong++ // a pixel centre may lie on an edge
				} else if face != 0 && math.Abs(c.depth[y*w+x]-depth) > 1e-6*depth {
					t.Fatalf("pixel %d,%d: depth %v, by ray %v", x, y, c.depth[y*w+x], depth)
				}
			}
		}
		if hits < 1500 || wrong > 4 {
			t.Errorf("%d pixels hit, %d of them show another triangle than the ray finds", hits, wrong)
		}
	}
}

// cast returns the number of the first triangle on a ray and its depth.
func cast(m *mesh.Mesh, v view, ray vec) (uint32, float64) {
	var face uint32
	near := math.Inf(1)
	for t := range m.Triangles {
		var p [3]vec
		for c := range p {
			q := m.Corner(t, c)
			p[c] = sub(vec{float64(q[0]), float64(q[1]), float64(q[2])}, v.eye)
		}
		// Signed volumes spanned by the ray and each edge.
		a, b, c := dot(ray, cross(p[0], p[1])), dot(ray, cross(p[1], p[2])), dot(ray, cross(p[2], p[0]))
		if !(a >= 0 && b >= 0 && c >= 0 || a <= 0 && b <= 0 && c <= 0) {
			continue
		}
		n := cross(sub(p[1], p[0]), sub(p[2], p[0]))
		d := dot(p[0], n) / dot(ray, n)
		if d <= 0 || d >= near {
			continue
		}
		if v.cut != nil && dot(along(v.eye, ray, d), v.cut.n) < v.cut.at {
			continue
		}
		face, near = uint32(t+1), d
	}
	return face, near
}

// all is what is seen at every pixel.
func (g *stage) all(c *canvas, v view) []spot {
	out := make([]spot, c.w*c.h)
	for y := range c.h {
		g.spots(c, v, y, out[y*c.w:][:c.w])
	}
	return out
}

// The middle of a region is the pixel of it nearest to the mean of all.
func TestMiddleIsSeen(t *testing.T) {
	const w = 5 // a ring round the middle, and a lone pixel
	got := middles([]int32{
		0, 0, 0, 0, -1,
		0, -1, -1, 0, -1,
		0, -1, -1, 0, 2,
		0, 0, 0, 0, -1,
	}, w, 4)
	if m := got[0]; m.n != 12 || m.at != 1 || m.best != 1 {
		t.Errorf("ring: %+v", m)
	}
	if got[2].n != 1 || got[2].at != 14 || got[1].n != 0 || got[3].n != 0 {
		t.Errorf("lone pixel and regions not seen: %+v", got[1:])
	}
}

// The share of the plate's underside that is marked is that of the areas,
// seen from straight below.
func TestRegionIsPaintedWhereItLies(t *testing.T) {
	s := table()
	box := s.bounds()
	const w, h = 400, 400
	v := look(box, 0, -89.9, w, h)
	g := s.stage(0)
	marks, under := 0, 0
	for _, p := range g.all(raster(s.Bodies, v, w, h), v) {
		if p.region == 0 {
			marks++
			if p.p[0] < 19.9 || p.p[0] > 80.1 || p.p[1] < 19.9 || p.p[1] > 60.1 || math.Abs(p.p[2]-50) > 1e-6 {
				t.Fatalf("marked at %v", p.p)
			}
		}
		if p.body == 0 && math.Abs(p.p[2]-50) < 1e-6 {
			under++
		}
	}
	want := 60.0 * 40 / (100*80 - 4*10*10)
	if got := float64(marks) / float64(under); math.Abs(got-want) > 0.01 {
		t.Errorf("%d of %d pixels marked, share %.3f, want %.3f", marks, under, got, want)
	}
}

// What looks up or lies at another height is never marked.
func TestRegionIsOnlyUndersides(t *testing.T) {
	s := table()
	const w, h = 200, 200
	v := look(s.bounds(), 30, 60, w, h) // from above
	for _, p := range s.stage(0).all(raster(s.Bodies, v, w, h), v) {
		if p.region >= 0 {
			t.Fatalf("marked at %v seen from above", p.p)
		}
	}
}

func TestCutShowsTheInside(t *testing.T) {
	m := meshtest.Blocks(meshtest.Add(0, 0, 0, 50, 50, 50))
	const w, h = 100, 100
	v := look(m.Bounds(), 0, 0, w, h).open(m.Bounds(), 0.5)
	s := Scene{Classes: testClasses, Bodies: []Body{{Mesh: m}}}
	p := s.stage(0).all(raster(s.Bodies, v, w, h), v)[h/2*w+w/2]
	if !p.section || math.Abs(p.p[1]-25) > 1e-9 {
		t.Errorf("the middle of the picture shows %+v, want the section at y = 25", p)
	}
	s.Bodies[0].Whole = true
	p = s.stage(0).all(raster(s.Bodies, v, w, h), v)[h/2*w+w/2]
	if p.section || math.Abs(p.p[1]) > 1e-4 {
		t.Errorf("an uncut body shows %+v, want its face at y = 0", p)
	}
}

// Both views keep the whole scene inside the picture and show the region.
func TestChosenViews(t *testing.T) {
	s := table()
	const w, h = 320, 300
	for _, v := range choose(&s, s.bounds(), w, h) {
		v.each(s.Bodies, func(p vec) {
			d := sub(p, v.eye)
			depth := -dot(d, v.back)
			x, y := dot(d, v.right)/(depth*v.tanX), dot(d, v.up)/(depth*v.tanY)
			if depth < v.near || depth > v.far || math.Abs(x) > 1 || math.Abs(y) > 1 {
				t.Errorf("%s: %v lies outside the view (%.3f, %.3f, depth %.1f of %.1f to %.1f)", v.name, p, x, y, depth, v.near, v.far)
			}
		})
		if n := s.stage(0).seen(v, w, h)[0]; n < 300 {
			t.Errorf("%s shows %v pixels of the region", v.name, n)
		}
	}
}

// A dense mesh gets the same views as a coarse one of the same shape.
func TestViewsOfDenseMesh(t *testing.T) {
	s := table()
	d := s
	d.Bodies = []Body{s.Bodies[0]}
	d.Bodies[0].Mesh = meshtest.Subdivide(s.Bodies[0].Mesh, 5)
	if n := len(d.Bodies[0].Mesh.Triangles); n < 30000 {
		t.Fatalf("only %d triangles", n)
	}
	for i, v := range choose(&d, d.bounds(), 300, 300) {
		if n := d.stage(0).seen(v, 300, 300)[0]; n < 300 {
			t.Errorf("view %d shows %v pixels of the region", i, n)
		}
	}
}

func TestRenderIsTheSameEachTime(t *testing.T) {
	var a, b bytes.Buffer
	if err := Render(&a, table()); err != nil {
		t.Fatal(err)
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if err := Render(&b, table()); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two pictures of one scene differ")
	}
	img, err := png.Decode(&a)
	if err != nil {
		t.Fatal(err)
	}
	if b := img.Bounds(); b.Dx() != 700 || b.Dy() != 450 {
		t.Errorf("size %v", b)
	}
	// The legend holds every class's colour as it was given.
	for _, c := range testClasses {
		found := false
		for y := 400; y < 450 && !found; y++ {
			for x := range 700 {
				if color.NRGBAModel.Convert(img.At(x, y)) == c.Color {
					found = true
				}
			}
		}
		if !found {
			t.Errorf("no swatch of %q in the legend", c.Name)
		}
	}
}

func TestScenesThatCannotBeDrawn(t *testing.T) {
	for want, change := range map[string]func(*Scene){
		"nothing to draw":     func(s *Scene) { s.Bodies = nil },
		"has no mesh":         func(s *Scene) { s.Bodies[0].Mesh = nil },
		"body 0 is of class":  func(s *Scene) { s.Bodies[0].Class = 3 },
		"region 0 of body 0":  func(s *Scene) { s.Bodies[0].Regions[0].Class = -1 },
		"is not between":      func(s *Scene) { s.Width = 10 },
		"size 700 x 100000 i": func(s *Scene) { s.Height = 100000 },
	} {
		s := table()
		change(&s)
		if err := Render(io.Discard, s); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
	// Flat, single and far away: odd, but drawn.
	flat := &mesh.Mesh{Vertices: [][3]float32{{1e4, 0, 0}, {1e4 + 1, 0, 0}, {1e4, 1, 0}}, Triangles: [][3]int32{{0, 1, 2}}}
	if err := Render(io.Discard, Scene{Classes: testClasses, Bodies: []Body{{Mesh: flat}}, Width: 400, Height: 300}); err != nil {
		t.Error(err)
	}
}

// The rows of an area are an index; summing angles asks every edge.
func TestAreaAgainstAngles(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	p := section.Polygons{meshtest.Circle(5, 5, 5, 60), meshtest.Rectangle(8, 8, 14, 9)}
	hole := meshtest.Rectangle(3, 3, 6, 6)
	p = append(p, section.Path{hole[3], hole[2], hole[1], hole[0]})
	a := newArea(p)
	in := 0
	for range 5000 {
		x, y := rng.Float64()*16-1, rng.Float64()*12-1
		turns := 0.0
		for _, ring := range p {
			for i, q := range ring {
				r := ring[(i+1)%len(ring)]
				ux, uy, vx, vy := q[0]-x, q[1]-y, r[0]-x, r[1]-y
				turns += math.Atan2(ux*vy-uy*vx, ux*vx+uy*vy)
			}
		}
		want := math.Abs(turns) > math.Pi
		if want {
			in++
		}
		if a.holds(x, y) != want {
			t.Fatalf("(%v, %v): %v, by angles %v", x, y, !want, want)
		}
	}
	if in < 500 {
		t.Fatalf("only %d points inside", in)
	}
	if newArea(nil).holds(0, 0) {
		t.Error("the empty region holds a point")
	}
}

func BenchmarkRender(b *testing.B) {
	s := table()
	s.Bodies[0].Mesh = meshtest.Subdivide(s.Bodies[0].Mesh, 6)
	s.Width, s.Height = 0, 0
	b.ReportMetric(float64(len(s.Bodies[0].Mesh.Triangles)), "triangles")
	for b.Loop() {
		if err := Render(io.Discard, s); err != nil {
			b.Fatal(err)
		}
	}
}
