package section

import (
	"math"
	"math/rand"
	"testing"

	"falsework/mesh"
)

// checkTriangles holds a triangulation against its region: areas positive and
// adding up, every point used, every border side once, every other side twice.
func checkTriangles(t *testing.T, p Polygons) {
	t.Helper()
	ts, err := Triangulate(p)
	if err != nil {
		t.Fatalf("%v: %v", p, err)
	}
	var pts []Point
	border := map[[2]Point]bool{}
	for _, r := range p {
		for i := range r {
			border[[2]Point{r[i], r[next(i, len(r))]}] = true
		}
		pts = append(pts, r...)
	}
	used := make([]bool, len(pts))
	sum := 0.0
	seen := map[[2]Point]int{}
	for _, tr := range ts {
		a := Path{pts[tr[0]], pts[tr[1]], pts[tr[2]]}.Area()
		if !(a > 0) {
			t.Fatalf("%v: triangle %v has area %g", p, tr, a)
		}
		sum += a
		for c := range tr {
			used[tr[c]] = true
			seen[[2]Point{pts[tr[c]], pts[tr[(c+1)%3]]}]++
		}
	}
	near(t, "area of the triangles", sum, p.Area(), 1e-9*(1+p.Area()))
	for i, u := range used {
		if !u {
			t.Fatalf("%v: point %d is not used", p, i)
		}
	}
	for s, n := range seen {
		back := seen[[2]Point{s[1], s[0]}]
		if n != 1 || border[s] && back != 0 || !border[s] && back != 1 {
			t.Fatalf("%v: side %v is there %d times, %d times back", p, s, n, back)
		}
	}
	for s := range border {
		if seen[s] != 1 {
			t.Fatalf("%v: border side %v is there %d times", p, s, seen[s])
		}
	}
}

func TestTriangulate(t *testing.T) {
	checkTriangles(t, rect(0, 0, 4, 3))
	checkTriangles(t, Subtract(rect(0, 0, 4, 3), rect(1, 1, 2, 2)))
	checkTriangles(t, Polygons{{{0, 0}, {1, 0}, {2, 0}, {2, 2}, {1, 2}, {0, 2}, {0, 1}}})
	rng := rand.New(rand.NewSource(3))
	for range 600 {
		checkTriangles(t, Nonzero(randomRings(rng, 1+rng.Intn(4), 3+rng.Intn(9), 4+rng.Intn(12))))
	}
}

// checkSolid asks for distinct vertices, two opposite triangles at every edge
// and no triangle without area.
func checkSolid(t *testing.T, m *mesh.Mesh) (volume float64) {
	t.Helper()
	seen := map[[3]float32]bool{}
	for _, v := range m.Vertices {
		if seen[v] {
			t.Fatalf("vertex %v is there twice", v)
		}
		seen[v] = true
	}
	edges := map[[2]int32]int{}
	for _, tr := range m.Triangles {
		var p [3][3]float64
		for c := range tr {
			edges[[2]int32{tr[c], tr[(c+1)%3]}]++
			for k := range 3 {
				p[c][k] = float64(m.Vertices[tr[c]][k])
			}
		}
		volume += det(p[0], p[1], p[2]) / 6
	}
	for e, n := range edges {
		if n != 1 || edges[[2]int32{e[1], e[0]}] != 1 {
			t.Fatalf("edge %v is there %d times, %d times back", e, n, edges[[2]int32{e[1], e[0]}])
		}
	}
	return volume
}

func TestPrism(t *testing.T) {
	rng := rand.New(rand.NewSource(4))
	for i := range 400 {
		p := Nonzero(randomRings(rng, 1+rng.Intn(4), 3+rng.Intn(9), 4+rng.Intn(12)))
		if len(p) == 0 {
			continue
		}
		a := rng.Float64() * 7
		f := Line{Point{rng.Float64() * 300, rng.Float64() * -300}, Point{math.Cos(a), math.Sin(a)}}.Frame()
		if i%3 == 0 {
			f = Level(rng.Float64() * 100)
		}
		if i%5 == 0 {
			f.N = [3]float64{-f.N[0], -f.N[1], -f.N[2]}
		}
		m, err := Prism(p, f, -0.25, 0.25)
		if err != nil {
			t.Fatalf("%v: %v", p, err)
		}
		near(t, "volume", checkSolid(t, m), p.Area()/2, 0.01*(1+p.Area()))
	}
	if _, err := Prism(nil, Level(0), 0, 1); err != ErrNoArea {
		t.Errorf("empty outline: %v", err)
	}
	if _, err := Prism(rect(0, 0, 1, 1), Level(0), 1, 1); err != ErrThin {
		t.Errorf("flat prism: %v", err)
	}
}
