package mesh_test

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
)

var bg = context.Background()

func audit(t testing.TB, m *mesh.Mesh) *mesh.Audit {
	t.Helper()
	a, err := m.Audit(bg)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// found lists faults as kind and count.
func found(a *mesh.Audit) map[mesh.FaultKind]int {
	f := map[mesh.FaultKind]int{}
	for _, x := range a.Faults {
		f[x.Kind] = x.Count
	}
	return f
}

func box(x0, y0, z0, x1, y1, z1 float64) *mesh.Mesh {
	return meshtest.Blocks(meshtest.Add(x0, y0, z0, x1, y1, z1))
}

func cube() *mesh.Mesh { return box(0, 0, 0, 1, 1, 1) }

func without(m *mesh.Mesh, ts ...int) *mesh.Mesh {
	m = meshtest.Clone(m)
	slices.SortFunc(ts, func(a, b int) int { return b - a })
	for _, t := range ts {
		m.Triangles = slices.Delete(m.Triangles, t, t+1)
	}
	return m
}

func with(m *mesh.Mesh, ts ...[3]int32) *mesh.Mesh {
	m = meshtest.Clone(m)
	m.Triangles = append(m.Triangles, ts...)
	return m
}

func turned(m *mesh.Mesh, ts ...int) *mesh.Mesh {
	m = meshtest.Clone(m)
	for _, t := range ts {
		m.Triangles[t] = back(m.Triangles[t])
	}
	return m
}

func back(t [3]int32) [3]int32 { return [3]int32{t[0], t[2], t[1]} }

func TestAuditOfMadeFaults(t *testing.T) {
	c := cube()
	tri := c.Triangles
	for _, x := range []struct {
		name   string
		m      *mesh.Mesh
		want   map[mesh.FaultKind]int
		closed bool
	}{
		{"sound", c, map[mesh.FaultKind]int{}, true},
		{"nothing", &mesh.Mesh{}, map[mesh.FaultKind]int{mesh.Empty: 0}, false},
		{"one missing", without(c, 3), map[mesh.FaultKind]int{mesh.OpenEdge: 3}, false},
		{"two missing beside each other", without(c, 0, 1), map[mesh.FaultKind]int{mesh.OpenEdge: 4}, false},
		{"one turned", turned(c, 5), map[mesh.FaultKind]int{mesh.Misoriented: 3}, false},
		{"one doubled", with(c, tri[4]), map[mesh.FaultKind]int{mesh.Unbalanced: 3, mesh.Duplicate: 1}, false},
		{"one doubled back to back", with(c, tri[4], back(tri[4])), map[mesh.FaultKind]int{mesh.Duplicate: 2, mesh.NonManifold: 3}, true},
		{"one twice more", with(c, tri[4], tri[4]), map[mesh.FaultKind]int{mesh.Unbalanced: 3, mesh.Duplicate: 2}, false},
		{"a vertex named twice", with(c, [3]int32{0, 0, 1}), map[mesh.FaultKind]int{mesh.Degenerate: 1}, true},
		{"a leaf", &mesh.Mesh{Vertices: c.Vertices, Triangles: [][3]int32{tri[0], back(tri[0])}},
			map[mesh.FaultKind]int{mesh.Flat: 1, mesh.NoVolume: 1, mesh.Duplicate: 1}, true},
		{"inside out", meshtest.Flip(c), map[mesh.FaultKind]int{mesh.InsideOut: 1}, true},
		{"two that share an edge", meshtest.Join(c, meshtest.Move(c, 1, 1, 0)), map[mesh.FaultKind]int{mesh.NonManifold: 1}, true},
		{"four that share an edge", meshtest.Join(c, meshtest.Move(c, 0, -1, -1), meshtest.Move(c, 0, 1, 1)), map[mesh.FaultKind]int{mesh.NonManifold: 2}, true},
		{"two that share a corner", meshtest.Join(c, meshtest.Move(c, 1, 1, 1)), map[mesh.FaultKind]int{}, true},
	} {
		a := audit(t, x.m)
		if d := cmp.Diff(x.want, found(a)); d != "" {
			t.Errorf("%s: faults (-want +got)\n%s", x.name, d)
		}
		if a.Closed() != x.closed {
			t.Errorf("%s: closed %v", x.name, a.Closed())
		}
		if err := a.Err(); (err == nil) != (x.closed && x.want[mesh.NoVolume]+x.want[mesh.InsideOut] == 0) {
			t.Errorf("%s: error %v", x.name, err)
		} else if err != nil && strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: more than a line: %q", x.name, err)
		}
	}
}

func TestFaultsHaveAPlace(t *testing.T) {
	m := without(meshtest.Subdivide(box(0, 0, 0, 8, 8, 8), 1), 17)
	f := audit(t, m).Fault(mesh.OpenEdge)
	if f == nil || f.Count != 3 {
		t.Fatalf("fault %v", f)
	}
	hole := meshtest.Subdivide(box(0, 0, 0, 8, 8, 8), 1)
	near := false
	for c := range 3 {
		p, q := hole.Corner(17, c), hole.Corner(17, (c+1)%3)
		near = near || f.At == [3]float64{float64(p[0]+q[0]) / 2, float64(p[1]+q[1]) / 2, float64(p[2]+q[2]) / 2}
	}
	if !near {
		t.Errorf("place %v is no side of the hole", f.At)
	}
}

// The audit agrees with the plain validator on random damage.
func TestAuditAgainstValidator(t *testing.T) {
	base := meshtest.Subdivide(meshtest.RandomHouse(2).Mesh, 1)
	property.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		m := meshtest.Clone(base)
		for range rapid.IntRange(0, 5).Draw(t, "damages") {
			i := r.IntN(len(m.Triangles))
			switch r.IntN(4) {
			case 0:
				m.Triangles = slices.Delete(m.Triangles, i, i+1)
			case 1:
				m.Triangles = append(m.Triangles, m.Triangles[i])
			case 2:
				m.Triangles[i] = back(m.Triangles[i])
			case 3:
				m.Triangles[i][0] = int32(r.IntN(len(m.Vertices)))
			}
		}
		a, err := m.Audit(bg)
		if err != nil {
			t.Fatal(err)
		}
		var want = map[meshtest.Kind]int{}
		for _, f := range meshtest.Faults(m) {
			want[f.Kind]++
		}
		got := found(a)
		if got[mesh.OpenEdge] != want[meshtest.OpenEdge] && want[meshtest.Degenerate] == 0 {
			t.Errorf("open edges %d, want %d", got[mesh.OpenEdge], want[meshtest.OpenEdge])
		}
		if got[mesh.Misoriented] != want[meshtest.Flipped] && want[meshtest.Degenerate] == 0 {
			t.Errorf("misoriented edges %d, want %d", got[mesh.Misoriented], want[meshtest.Flipped])
		}
		if n := got[mesh.Unbalanced] + got[mesh.NonManifold]; n != want[meshtest.Crowded] && want[meshtest.Degenerate] == 0 {
			t.Errorf("crowded edges %d, want %d", n, want[meshtest.Crowded])
		}
		if got[mesh.Degenerate] != want[meshtest.Degenerate] {
			t.Errorf("degenerate %d, want %d", got[mesh.Degenerate], want[meshtest.Degenerate])
		}
		if got[mesh.Duplicate] != want[meshtest.Doubled] && want[meshtest.Degenerate] == 0 {
			t.Errorf("duplicate %d, want %d", got[mesh.Duplicate], want[meshtest.Doubled])
		}
	})
}

// A mate's mate is oneself, and both join the same vertices.
func TestMatesAreMutual(t *testing.T) {
	for _, m := range []*mesh.Mesh{
		meshtest.RandomHouse(4).Mesh, meshtest.Sphere(5, 100), turned(cube(), 3), without(cube(), 2),
		meshtest.Join(cube(), meshtest.Move(cube(), 1, 1, 0)), with(cube(), cube().Triangles[1]),
	} {
		a := audit(t, m)
		for h := range int32(3 * len(m.Triangles)) {
			g := a.Mates.Of(h)
			if g == mesh.None {
				continue
			}
			crooked := g < 0
			var back int32
			if crooked {
				g = mesh.Crooked(g)
				back = mesh.Crooked(a.Mates.Of(g))
			} else {
				back = a.Mates.Of(g)
			}
			if back != h {
				t.Fatalf("mate of %d is %d, whose mate is %d", h, g, back)
			}
			u, v := m.Triangles[h/3][h%3], m.Triangles[h/3][(h%3+1)%3]
			x, y := m.Triangles[g/3][g%3], m.Triangles[g/3][(g%3+1)%3]
			if crooked && (u != x || v != y) || !crooked && (u != y || v != x) {
				t.Fatalf("half-edges %d (%d %d) and %d (%d %d) are no mates", h, u, v, g, x, y)
			}
		}
	}
}

// Bodies that touch along an edge are shells of their own, whatever the
// order of their triangles.
func TestTouchingBodiesStayApart(t *testing.T) {
	// Seen along the shared edge, z up the page:  . B .
	//                                             C | D   and turned, and mirrored.
	bodies := meshtest.Join(cube(), meshtest.Move(cube(), 1, 1, 0))
	wedge := meshtest.Join(
		meshtest.Prism(0, 1, [][2]float64{{0, 0}, {3, 0}, {2, 2}}),
		meshtest.Prism(0, 1, [][2]float64{{0, 0}, {0, 3}, {-2, 2}}),
		meshtest.Prism(0, 1, [][2]float64{{0, 0}, {-3, -1}, {-2, -2}}),
		meshtest.Prism(0, 1, [][2]float64{{0, 0}, {2, -3}, {2, -1}}))
	r := rand.New(rand.NewPCG(8, 8))
	for name, c := range map[string]struct {
		m *mesh.Mesh
		n int
	}{"cubes": {bodies, 2}, "wedges": {wedge, 4}} {
		for range 20 {
			m := meshtest.Clone(c.m)
			if r.IntN(2) == 0 {
				m = meshtest.Mirror(m, r.IntN(3))
			}
			m = meshtest.TurnZ(m, float64(90*r.IntN(4)))
			r.Shuffle(len(m.Triangles), func(i, j int) { m.Triangles[i], m.Triangles[j] = m.Triangles[j], m.Triangles[i] })
			a := audit(t, m)
			if len(a.Shells) != c.n || !a.Closed() {
				t.Errorf("%s: %d shells, closed %v", name, len(a.Shells), a.Closed())
			}
			for _, s := range a.Shells {
				if s.Volume <= 0 || !s.Closed {
					t.Errorf("%s: shell %+v", name, s)
				}
			}
		}
	}
}

func TestShellsAndNesting(t *testing.T) {
	flip := meshtest.Flip
	nested := func(ms ...*mesh.Mesh) *mesh.Mesh { return meshtest.Join(ms...) }
	ball := func(r float64) *mesh.Mesh { return meshtest.Sphere(r, 24) }
	for _, c := range []struct {
		name   string
		m      *mesh.Mesh
		depths []int
		cavity []bool
	}{
		{"one", ball(5), []int{0}, []bool{false}},
		{"side by side", nested(ball(5), meshtest.Move(ball(5), 20, 0, 0)), []int{0, 0}, []bool{false, false}},
		{"hollow", nested(ball(5), flip(ball(4))), []int{0, 1}, []bool{false, true}},
		{"hollow, inner first", nested(flip(ball(4)), ball(5)), []int{1, 0}, []bool{true, false}},
		{"ball in a hollow", nested(ball(5), flip(ball(4)), ball(3)), []int{0, 1, 2}, []bool{false, true, false}},
		{"five deep", nested(ball(9), flip(ball(8)), ball(7), flip(ball(6)), ball(5)), []int{0, 1, 2, 3, 4}, []bool{false, true, false, true, false}},
		{"material in material", nested(ball(5), ball(4)), []int{0, 0}, []bool{false, false}}, // all face outwards: not asked
		{"material in material and a hollow", nested(ball(5), ball(4), flip(ball(3))), []int{0, 1, 2}, []bool{false, false, false}},
		{"crossing", nested(ball(5), meshtest.Move(ball(5), 4, 1, 1)), []int{0, 0}, []bool{false, false}},
		{"in the box but not in the ring", nested(meshtest.Ring(10, 2, 24), ball(1)), []int{0, 0}, []bool{false, false}},
		{"in the ring", nested(meshtest.Ring(10, 2, 24), flip(meshtest.Move(ball(1), 10, 0, 0))), []int{0, 1}, []bool{false, true}},
		{"stuck to the wall inside", nested(box(0, 0, 0, 9, 9, 9), flip(box(0, 3, 3, 3, 6, 6))), []int{0, 1}, []bool{false, true}},
		{"stuck to the wall outside", nested(box(0, 0, 0, 9, 9, 9), box(9, 3, 3, 12, 6, 6)), []int{0, 0}, []bool{false, false}},
		{"on the axes' grid", nested(box(0, 0, 0, 8, 8, 8), flip(box(2, 2, 2, 6, 6, 6)), box(4, 4, 4, 5, 5, 5)), []int{0, 1, 2}, []bool{false, true, false}},
	} {
		for _, turn := range []float64{0, 90, 33} {
			a := audit(t, meshtest.Turn(c.m, [3]float64{1, 0, 0}, turn))
			var depths []int
			var cavity []bool
			for _, s := range a.Shells {
				depths = append(depths, s.Depth)
				cavity = append(cavity, s.Cavity())
			}
			if c.name == "stuck to the wall inside" && turn == 33 {
				continue // rounding moves the wall
			}
			if !slices.Equal(depths, c.depths) || !slices.Equal(cavity, c.cavity) {
				t.Errorf("%s turned %g: depths %v cavities %v, want %v %v", c.name, turn, depths, cavity, c.depths, c.cavity)
			}
			if a.Fault(mesh.InsideOut) != nil && !strings.Contains(c.name, "and a hollow") {
				t.Errorf("%s: %v", c.name, a.Fault(mesh.InsideOut))
			}
		}
	}
}

func TestOrient(t *testing.T) {
	flip := meshtest.Flip
	ball := func(r float64) *mesh.Mesh { return meshtest.Sphere(r, 24) }
	hollow := meshtest.Join(ball(9), flip(ball(6)), ball(3))
	for _, c := range []struct {
		name    string
		m, want *mesh.Mesh
		flips   int
	}{
		{"sound", ball(5), ball(5), 0},
		{"hollow", hollow, hollow, 0},
		{"inside out", flip(ball(5)), ball(5), 1},
		{"one of two", meshtest.Join(ball(5), flip(meshtest.Move(ball(5), 20, 0, 0))), meshtest.Join(ball(5), meshtest.Move(ball(5), 20, 0, 0)), 1},
		{"kernel of a hollow", meshtest.Join(ball(9), flip(ball(6)), flip(ball(3))), hollow, 1},
		{"outer skin of a hollow", meshtest.Join(flip(ball(9)), flip(ball(6)), ball(3)), hollow, 1},
		{"all of a hollow", flip(hollow), hollow, 3},
		{"material in material", meshtest.Join(ball(9), ball(6)), meshtest.Join(ball(9), ball(6)), 0},
	} {
		got, flips := c.m.Orient(audit(t, c.m))
		if len(flips) != c.flips {
			t.Errorf("%s: flips %+v, want %d", c.name, flips, c.flips)
		}
		if len(flips) == 0 && got != c.m {
			t.Errorf("%s: copied without need", c.name)
		}
		if v, want := got.Volume(), c.want.Volume(); math.Abs(v-want) > 1e-9*want {
			t.Errorf("%s: volume %g, want %g", c.name, v, want)
		}
		if again, f := got.Orient(audit(t, got)); len(f) != 0 || again != got {
			t.Errorf("%s: flipped twice", c.name)
		}
	}
}

func TestMeasuresAgainstValidator(t *testing.T) {
	for seed := range uint64(10) {
		m := meshtest.Turn(meshtest.RandomHouse(seed).Mesh, [3]float64{1, 2, 3}, float64(seed)*31)
		a := audit(t, m)
		if v := meshtest.Volume(m); math.Abs(a.Volume-v) > 1e-9*v {
			t.Errorf("volume %g, want %g", a.Volume, v)
		}
		if s := meshtest.Area(m); math.Abs(a.Area-s) > 1e-9*s {
			t.Errorf("area %g, want %g", a.Area, s)
		}
	}
}

// What admesh 0.98.4 (Debian) prints as "Volume" and "Number of parts" for
// the same solids written as STL files. It adds in float32, which is good for
// about 2e-5 of these.
func TestVolumesAgainstAdmesh(t *testing.T) {
	for seed, want := range []float64{98067.132812, 77303.523438, 433684.46875, 413452.625, 117836.101562, 362534.46875} {
		m := meshtest.Turn(meshtest.RandomHouse(uint64(seed)).Mesh, [3]float64{1, 2, 3}, float64(20*seed))
		a := audit(t, m)
		if math.Abs(a.Volume-want) > 3e-5*want || len(a.Shells) != 1 {
			t.Errorf("housing %d: volume %g in %d shells, admesh has %g in 1", seed, a.Volume, len(a.Shells), want)
		}
	}
	a := audit(t, meshtest.Join(meshtest.Sphere(9, 48), meshtest.Flip(meshtest.Sphere(6, 24)), meshtest.Move(meshtest.Ring(10, 2, 32), 40, 0, 0)))
	if want := 2917.149414; math.Abs(a.Volume-want) > 3e-5*want || len(a.Shells) != 3 {
		t.Errorf("volume %g in %d shells, admesh has %g in 3", a.Volume, len(a.Shells), want)
	}
}

func TestAuditOnAnyNumberOfProcessors(t *testing.T) {
	m := meshtest.Subdivide(meshtest.Join(meshtest.RandomHouse(5).Mesh, meshtest.Move(meshtest.Sphere(5, 64), -30, 0, 0)), 2)
	m = turned(without(m, 7, 70), 500, 5000)
	var want *mesh.Audit
	for _, n := range []int{1, 2, 3, 8} {
		old := runtime.GOMAXPROCS(n)
		a := audit(t, m)
		runtime.GOMAXPROCS(old)
		if want == nil {
			want = a
		}
		if d := cmp.Diff(want, a); d != "" {
			t.Fatalf("%d processors: another audit", n)
		}
	}
}

func TestAuditStops(t *testing.T) {
	ctx, cancel := context.WithCancel(bg)
	cancel()
	if _, err := cube().Audit(ctx); err != context.Canceled {
		t.Errorf("error %v", err)
	}
}

func BenchmarkAudit(b *testing.B) {
	m := largeMesh()
	b.ReportMetric(float64(len(m.Triangles)), "triangles")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.Audit(bg); err != nil {
			b.Fatal(err)
		}
	}
}

// Two triangles back to back are doubled though only the side that joins their
// least corners is a plain pair: its old neighbour is gone, and the other sides
// are crowded.
func TestBackToBackAtOneSide(t *testing.T) {
	m := cube()
	k := m.Triangles[0]
	u, v := k[0], k[1]
	for c := range 3 {
		if a, b := k[c], k[(c+1)%3]; max(a, b) < k[(c+2)%3] {
			u, v = a, b
		}
	}
	m.Triangles = append(slices.DeleteFunc(m.Triangles, func(s [3]int32) bool {
		for c := range 3 {
			if s[c] == v && s[(c+1)%3] == u {
				return true
			}
		}
		return false
	}), back(k))
	if n := found(audit(t, m))[mesh.Duplicate]; n != 1 {
		t.Errorf("%d duplicates, want 1", n)
	}
}
