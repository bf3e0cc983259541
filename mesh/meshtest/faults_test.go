package meshtest

import (
	"math"
	"slices"
	"testing"

	"falsework/mesh"
)

// kinds lists the kinds of fault found, each once.
func kinds(m *mesh.Mesh) []Kind {
	var ks []Kind
	for _, f := range Faults(m) {
		if !slices.Contains(ks, f.Kind) {
			ks = append(ks, f.Kind)
		}
	}
	return ks
}

func cube() *mesh.Mesh { return Blocks(Add(0, 0, 0, 1, 1, 1)) }

func TestSoundSolidsHaveNoFault(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{
		"cube": cube(), "sphere": Sphere(10, 32), "ring": Ring(10, 3, 24), "tube": Tube(5, 4, 10, 16),
	} {
		t.Run(name, func(t *testing.T) { Check(t, m) })
	}
}

// Each fault is made by hand and must be seen: drop, double or turn round
// each triangle of a cube in turn.
func TestKnockOuts(t *testing.T) {
	for i := range cube().Triangles {
		m := cube()
		m.Triangles = slices.Delete(m.Triangles, i, i+1)
		if k := kinds(m); !slices.Equal(k, []Kind{OpenEdge}) {
			t.Errorf("dropping triangle %d: %v", i, k)
		}
		m = cube()
		m.Triangles = append(m.Triangles, m.Triangles[i])
		if k := kinds(m); !slices.Equal(k, []Kind{Crowded, Doubled}) {
			t.Errorf("doubling triangle %d: %v", i, k)
		}
		m = cube()
		m.Triangles[i][0], m.Triangles[i][1] = m.Triangles[i][1], m.Triangles[i][0]
		if k := kinds(m); !slices.Equal(k, []Kind{Flipped}) {
			t.Errorf("flipping triangle %d: %v", i, k)
		}
	}
}

func TestKnockOutsOfOtherKinds(t *testing.T) {
	nan := cube()
	nan.Vertices[3][1] = float32(math.NaN())
	neg := cube()
	neg.Vertices[0][0] = float32(math.Copysign(0, -1))
	index := cube()
	index.Triangles[2][1] = 8
	twin := cube()
	twin.Vertices = append(twin.Vertices, twin.Vertices[0])
	// Two cubes that share one corner, and one edge.
	corner := Join(cube(), Move(cube(), 1, 1, 1))
	edge := Join(cube(), Move(cube(), 1, 1, 0))
	// A corner moved on to the line of its neighbours.
	line := Subdivide(cube(), 1)
	a, b := line.Triangles[0][0], line.Triangles[0][1]
	line.Vertices[line.Triangles[0][2]] = [3]float32{
		2*line.Vertices[a][0] - line.Vertices[b][0], 2*line.Vertices[a][1] - line.Vertices[b][1], 2*line.Vertices[a][2] - line.Vertices[b][2]}
	repeat := cube()
	repeat.Triangles = append(repeat.Triangles, [3]int32{0, 0, 1})
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want Kind
	}{
		{"not a number", nan, BadNumber}, {"negative zero", neg, BadNumber}, {"index", index, BadNumber},
		{"twin", twin, Twin}, {"corner", corner, Pinched}, {"edge", edge, Crowded},
		{"in line", line, Degenerate}, {"repeated corner", repeat, Degenerate},
		{"inside out", Flip(cube()), InsideOut}, {"nothing", &mesh.Mesh{}, Empty},
	} {
		if k := kinds(c.m); !slices.Contains(k, c.want) {
			t.Errorf("%s: found %v, want %v", c.name, k, c.want)
		}
	}
}

func TestFlatIsExact(t *testing.T) {
	a, b, c := [3]float64{1, 2, 3}, [3]float64{2, 4, 6}, [3]float64{3, 6, 9}
	if !flat(a, b, c) {
		t.Error("points in line not seen as such")
	}
	for i := range c {
		off := c
		off[i] = math.Nextafter(c[i], 100)
		if flat(a, b, off) {
			t.Errorf("one unit in the last place off along axis %d: still in line", i)
		}
	}
}

func TestMeasuresInClosedForm(t *testing.T) {
	const n = 64
	poly := n / 2 * math.Sin(2*math.Pi/n) // area of the n-gon in the unit circle
	for _, c := range []struct {
		name  string
		m     *mesh.Mesh
		vol   float64
		genus int
	}{
		{"cube", Blocks(Add(0, 0, 0, 2, 3, 4)), 24, 0},
		{"frame", Blocks(Add(0, 0, 0, 3, 1, 3), Cut(1, 0, 1, 2, 1, 2)), 8, 1},
		{"cylinder", Cylinder(5, 10, n), poly * 250, 0},
		{"cone", Cone(6, 5, n), poly * 36 * 5 / 3, 0},
		{"tube", Tube(5, 4, 10, n), poly * 90, 1},
		{"prism with holes", Prism(0, 2, Rectangle(0, 0, 10, 10), Rectangle(1, 1, 2, 2), Circle(6, 6, 2, n)), 2 * (100 - 1 - 4*poly), 2},
		{"upright prism", PrismIn(Upright(3, 4, 30), 0, 2, Rectangle(0, 0, 10, 5)), 100, 0},
		{"turned", Turn(Blocks(Add(0, 0, 0, 2, 3, 4)), [3]float64{1, 2, 3}, 77), 24, 0},
		{"mirrored", Mirror(Tube(5, 4, 10, n), 0), poly * 90, 1},
		{"finer", Subdivide(Blocks(Add(0, 0, 0, 2, 3, 4)), 2), 24, 0},
		{"fine", SubdivideTo(Blocks(Add(0, 0, 0, 2, 3, 4)), 0.4), 24, 0},
	} {
		Check(t, c.m)
		if v := Volume(c.m); math.Abs(v-c.vol) > 1e-5*c.vol {
			t.Errorf("%s: volume %g, want %g", c.name, v, c.vol)
		}
		if g := Genus(c.m); g != c.genus {
			t.Errorf("%s: genus %d, want %d", c.name, g, c.genus)
		}
	}
	if v, want := Volume(Sphere(10, 200)), 4*math.Pi*1000/3; math.Abs(v-want) > 2e-3*want {
		t.Errorf("sphere: volume %g, want about %g", v, want)
	}
	if v, want := Volume(Ring(10, 3, 200)), 2*math.Pi*math.Pi*10*9; math.Abs(v-want) > 2e-3*want {
		t.Errorf("ring: volume %g, want about %g", v, want)
	}
	if v, want := Volume(Vault(10, 9, 200)), 2*math.Pi*(1000-729)/3; math.Abs(v-want) > 2e-3*want {
		t.Errorf("vault: volume %g, want about %g", v, want)
	}
	if a := Area(Blocks(Add(0, 0, 0, 2, 3, 4))); a != 52 {
		t.Errorf("area %g, want 52", a)
	}
	if n := Shells(Join(cube(), Move(cube(), 3, 0, 0))); n != 2 {
		t.Errorf("%d shells, want 2", n)
	}
}

func TestQuarterTurnsAreExact(t *testing.T) {
	m := Blocks(Add(0.1, 0.2, 0.3, 1.7, 2.9, 3.1))
	for axis := range 3 {
		var a [3]float64
		a[axis] = 1
		w := m
		for range 4 {
			w = Turn(w, a, 90)
		}
		if !slices.Equal(w.Vertices, m.Vertices) {
			t.Errorf("four quarter turns about axis %d move the part", axis)
		}
	}
}

func TestBlocksThatAreNoManifold(t *testing.T) {
	for name, b := range map[string][]Block{
		"edge":    {Add(0, 0, 0, 1, 1, 1), Add(1, 1, 0, 2, 2, 1)},
		"corner":  {Add(0, 0, 0, 1, 1, 1), Add(1, 1, 1, 2, 2, 2)},
		"nothing": {},
		"air":     {Add(0, 0, 0, 1, 1, 1), Cut(0, 0, 0, 1, 1, 1)},
	} {
		if _, err := TryBlocks(b...); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
