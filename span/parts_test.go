package span

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
)

func survey(t testing.TB, m *mesh.Mesh, s Settings) *Survey {
	t.Helper()
	out, err := Run(context.Background(), m, s, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// list writes a survey the way a failing test shows it.
func list(s *Survey) string {
	out := ""
	for _, c := range s.Ceilings[:min(len(s.Ceilings), 6)] {
		out += fmt.Sprintf("\n  %d kind %d span %.2f reach %.2f hang %.2f area %.1f z %.2f..%.2f ribs %v low %v small %v: %s",
			c.ID, c.Kind, c.Span, c.Reach, c.Hang, c.Area, c.Z[0], c.Z[1], c.NeedsRibs, c.Low, c.Small, c.Why)
	}
	return out
}

var add, cut = meshtest.Add, meshtest.Cut

// wall stands along x, 160 wide, 160 high, 3 thick, with holes drawn in its
// face.
func wall(holes ...[][2]float64) *mesh.Mesh {
	return meshtest.PrismIn(meshtest.Upright(0, 0, 0), 0, 3, meshtest.Rectangle(0, 0, 160, 160), holes...)
}

// ellipse is a hole of half axes a (along) and b (up).
func ellipse(a, b float64) [][2]float64 {
	p := meshtest.Circle(0, 0, 1, 256)
	for i := range p {
		p[i] = [2]float64{80 + a*p[i][0], 80 + b*p[i][1]}
	}
	return p
}

// segment is an opening w wide under an arch of radius r that springs from
// upright jambs.
func segment(w, r float64) [][2]float64 {
	out := [][2]float64{{80 - w/2, 20}, {80 + w/2, 20}}
	half := math.Asin(w / 2 / r)
	const n = 512
	for i := 0; i <= n; i++ {
		a := half - 2*half*float64(i)/n
		out = append(out, [2]float64{80 + r*math.Sin(a), 60 + r*math.Cos(a) - r*math.Cos(half)})
	}
	return out
}

// gable is an opening w wide under two straight slopes leaning lean degrees
// from the vertical.
func gable(w, lean float64) [][2]float64 {
	return [][2]float64{{80 - w/2, 20}, {80 + w/2, 20}, {80 + w/2, 50}, {80, 50 + w/2/math.Tan(lean*math.Pi/180)}, {80 - w/2, 50}}
}

// profile is a body along y, 40 deep, with its outline drawn in x and z.
func profile(outline ...[2]float64) *mesh.Mesh {
	return meshtest.PrismIn(meshtest.Upright(0, 0, 0), -40, 0, outline)
}

// stairs climb out of a wall: n treads of the given depth and rise, seen from
// below.
func stairs(n int, tread, rise float64) *mesh.Mesh {
	top := 20 + float64(n)*rise + 5
	out := [][2]float64{{0, 0}, {10, 0}, {10, 20}}
	x, z := 10.0, 20.0
	for range n {
		x += tread
		out = append(out, [2]float64{x, z})
		z += rise
		out = append(out, [2]float64{x, z})
	}
	return profile(append(out[:len(out)-1], [2]float64{x, top}, [2]float64{0, top})...)
}

// What a part must give: the ceilings that need ribs, lowest first, and the
// longest span among those that need none (0: none, -1: not looked at).
type wanted struct {
	kind Kind
	size float64 // span of a bridge, reach of a ledge
}

var none []wanted

type part struct {
	name  string
	m     func() *mesh.Mesh
	needs []wanted
	rest  float64
	slack float64 // 0.2 flat, 0.5 arches and domes, 0.7 curved strips
}

var parts = slices.Concat(commonParts, shapes)

var commonParts = []part{
	{"window 100 wide", func() *mesh.Mesh { return wall(meshtest.Rectangle(20, 20, 120, 80)) }, []wanted{{Bridge, 100}}, 0, 0.2},
	{"window 50 wide", func() *mesh.Mesh { return wall(meshtest.Rectangle(20, 20, 70, 80)) }, none, 50, 0.2},
	{"window exactly at the limit", func() *mesh.Mesh { return wall(meshtest.Rectangle(20, 20, 90, 80)) }, none, 70, 0.2},
	{"window over the limit by a little", func() *mesh.Mesh { return wall(meshtest.Rectangle(20, 20, 90.5, 80)) }, []wanted{{Bridge, 70.5}}, 0, 0.2},
	{"two windows, one over the other", func() *mesh.Mesh {
		return wall(meshtest.Rectangle(20, 20, 120, 60), meshtest.Rectangle(20, 80, 140, 130))
	}, []wanted{{Bridge, 100}, {Bridge, 120}}, 0, 0.2},
	{"doorway from the bed", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 120, 3, 60), cut(20, 0, 0, 100, 3, 40))
	}, []wanted{{Bridge, 80}}, 0, 0.2},
	{"wall of one bead", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 140, 0.4, 30), cut(20, 0, 0, 120, 0.4, 20))
	}, []wanted{{Bridge, 100}}, 0, 0.2},
	// A round hole of radius R leaves the slope limit at R/sqrt 2 on each side
	// of its top.
	{"round hole within the limit", func() *mesh.Mesh { return wall(ellipse(20, 20)) }, none, 20 * math.Sqrt2, 0.5},
	{"round hole over the limit", func() *mesh.Mesh { return wall(ellipse(60, 60)) }, []wanted{{Bridge, 60 * math.Sqrt2}}, 0, 0.5},
	// An ellipse leaves it at a a/sqrt(a a + b b).
	{"oval lying", func() *mesh.Mesh { return wall(ellipse(50, 25)) }, []wanted{{Bridge, 2 * 50 * 50 / math.Hypot(50, 25)}}, 0, 0.5},
	{"oval standing", func() *mesh.Mesh { return wall(ellipse(25, 50)) }, none, 2 * 25 * 25 / math.Hypot(50, 25), 0.5},
	{"segmental arch, flat", func() *mesh.Mesh { return wall(segment(90, 80)) }, []wanted{{Bridge, 90}}, 0, 0.5},
	{"segmental arch, high", func() *mesh.Mesh { return wall(segment(80, 45)) }, none, 45 * math.Sqrt2, 0.8},
	{"pointed arch at the slope limit", func() *mesh.Mesh { return wall(gable(80, 45)) }, none, 0, 0.2},
	{"steep pointed arch", func() *mesh.Mesh { return wall(gable(80, 30)) }, none, 0, 0.2},
	{"flat gable", func() *mesh.Mesh { return wall(gable(90, 60)) }, []wanted{{Bridge, 90}}, 0, 0.5},
	{"roof held all round", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 96, 56, 33), cut(3, 3, 0, 93, 53, 30))
	}, none, 50, 0.2},
	{"wide roof held all round", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 126, 96, 33), cut(3, 3, 0, 123, 93, 30))
	}, []wanted{{Bridge, 90}}, 0, 0.2},
	{"roof held on three sides", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 240, 150, 33), cut(3, 0, 0, 237, 147, 30))
	}, []wanted{{Bridge, 234}}, 0, 0.4},
	{"roof held on two opposite sides", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 90, 40, 33), cut(5, 0, 0, 85, 40, 30))
	}, []wanted{{Bridge, 80}}, 0, 0.2},
	{"roof held on two opposite sides within the limit", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 70, 40, 33), cut(5, 0, 0, 65, 40, 30))
	}, none, 60, 0.2},
	// Chords carry as far as the diagonal; the corner is 35/sqrt 2 beyond.
	{"corner plate", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 40, 40, 33), cut(5, 5, 0, 40, 40, 30))
	}, []wanted{{Ledge, 35 / math.Sqrt2}}, 0, 0.4},
	{"shelf", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 60, 15, 33), cut(0, 5, 0, 60, 15, 30))
	}, []wanted{{Ledge, 10}}, 0, 0.2},
	{"narrow ledge", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 60, 6.5, 33), cut(0, 5, 0, 60, 6.5, 30))
	}, none, -1, 0.2},
	{"shelf on brackets", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 96, 20, 33), cut(3, 5, 0, 46.5, 20, 30), cut(49.5, 5, 0, 93, 20, 30))
	}, none, 43.5, 0.2},
	// Behind each hole two ways lead round it to the one wall: no bridge. The
	// furthest point lies behind a hole, 6 beyond its corner.
	{"perforated shelf", func() *mesh.Mesh {
		solids := []meshtest.Block{add(0, 0, 0, 84, 35, 33), cut(0, 5, 0, 84, 35, 30)}
		for x := 6.0; x < 78; x += 11 {
			solids = append(solids, cut(x, 12, 30, x+6, 18, 33), cut(x, 23, 30, x+6, 29, 33))
		}
		return meshtest.Blocks(solids...)
	}, []wanted{{Ledge, 24 + math.Hypot(3, 6)}}, 0, 0.3},
	{"niche", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 80, 30, 60), cut(10, 10, 10, 70, 30, 40))
	}, none, 60, 0.2},
	{"wide niche", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 120, 30, 60), cut(10, 10, 10, 110, 30, 40))
	}, []wanted{{Bridge, 100}}, 0, 0.2},
	{"round roof", func() *mesh.Mesh {
		return meshtest.Revolve(128, [2]float64{0, 30}, [2]float64{40, 30}, [2]float64{40, 0}, [2]float64{43, 0}, [2]float64{43, 33}, [2]float64{0, 33})
	}, []wanted{{Bridge, 80}}, 0, 0.2},
	{"round roof with a post", func() *mesh.Mesh {
		return meshtest.Revolve(128, [2]float64{0, 0}, [2]float64{10, 0}, [2]float64{10, 30}, [2]float64{60, 30}, [2]float64{60, 0}, [2]float64{63, 0}, [2]float64{63, 33}, [2]float64{0, 33})
	}, none, 50, 0.2},
	{"mushroom", func() *mesh.Mesh {
		return meshtest.Revolve(128, [2]float64{0, 0}, [2]float64{10, 0}, [2]float64{10, 30}, [2]float64{30, 30}, [2]float64{30, 33}, [2]float64{0, 33})
	}, []wanted{{Ledge, 20}}, 0, 0.2},
	{"dome", func() *mesh.Mesh { return meshtest.Vault(33, 30, 256) }, none, 30 * math.Sqrt2, 0.5},
	{"wide dome", func() *mesh.Mesh { return meshtest.Vault(63, 60, 256) }, []wanted{{Bridge, 60 * math.Sqrt2}}, 0, 0.5},
	{"drop tube", func() *mesh.Mesh { return meshtest.Ring(30, 8, 128) }, []wanted{{Ledge, -1}}, -1, 0.5},
	// Deep by 10, carried up to 10 tan 45 / tan 60 by its own slope.
	{"sloped underside", func() *mesh.Mesh {
		return profile([2]float64{0, 0}, [2]float64{10, 0}, [2]float64{10, 20}, [2]float64{20, 20 + 10/math.Sqrt(3)}, [2]float64{20, 40}, [2]float64{0, 40})
	}, []wanted{{Ledge, 10 - 10/math.Sqrt(3)}}, 0, 0.3},
	// Held at its root only: the rounded sides stand on the arm itself. Within
	// the ledge of the root they count as the post's.
	{"rising arm with rounded sides", func() *mesh.Mesh { return arm(45, 8, 3) }, []wanted{{Ledge, 45*(1-math.Tan(8*math.Pi/180)) - 1}}, 0, 1.2},
	{"rising arm with sharp sides", func() *mesh.Mesh { return arm(45, 8, 0) }, []wanted{{Ledge, 45 * (1 - math.Tan(8*math.Pi/180))}}, 0, 0.6},
	{"short sloped underside", func() *mesh.Mesh {
		return profile([2]float64{0, 0}, [2]float64{10, 0}, [2]float64{10, 20}, [2]float64{14, 20 + 4/math.Sqrt(3)}, [2]float64{14, 40}, [2]float64{0, 40})
	}, none, -1, 0.2},
	// A flare of 60 degrees, 2.4 deep, round an L: all but 2 of its outer
	// corners is carried by its own slope, and the inner corner does not make a
	// bridge of it.
	{"flare under a flange", func() *mesh.Mesh {
		return meshtest.Join(meshtest.Move(flared(20, 0), 20, 0, 0), meshtest.Move(flared(0, 20), 0, 20, 0))
	}, none, 2.4 * (math.Sqrt2 - 1/math.Sqrt(3)), 0.4},
	{"chamfer at the slope limit", func() *mesh.Mesh {
		return profile([2]float64{0, 0}, [2]float64{10, 0}, [2]float64{10, 20}, [2]float64{30, 40}, [2]float64{30, 50}, [2]float64{0, 50})
	}, none, 0, 0.2},
	{"flare at the slope limit", func() *mesh.Mesh {
		return meshtest.Revolve(4, [2]float64{0, 0}, [2]float64{10, 0}, [2]float64{10, 5}, [2]float64{10 + 15*math.Sqrt2, 20}, [2]float64{0, 20})
	}, none, 0, 0.2},
	{"fine stairs at the slope limit", func() *mesh.Mesh { return stairs(40, 0.6, 0.6) }, none, 0, 0.2},
	{"coarse stairs at the slope limit", func() *mesh.Mesh { return stairs(8, 1.8, 1.8) }, none, -1, 0.2},
	// Twelve treads of 2 with rises of 1: 24 deep, 11 of it carried.
	{"flat stairs", func() *mesh.Mesh { return stairs(12, 2, 1) }, []wanted{{Ledge, 13}}, 0, 0.5},
	{"stepped roof", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 106, 186, 63), cut(3, 3, 0, 103, 93, 40), cut(3, 93, 0, 103, 183, 60), cut(0, 0, 43, 106, 90, 63))
	}, []wanted{{Bridge, 100}, {Bridge, 90}}, 0, 0.4},
	{"table with a leg that hangs", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 10, 10, 33), add(10, 0, 30, 60, 10, 33), add(50, 0, 10, 60, 10, 30))
	}, []wanted{{Island, 0}, {Ledge, 40}}, 0, 0.2},
	{"boss under a roof", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 56, 56, 33), cut(3, 3, 0, 53, 53, 30), add(20, 20, 20, 30, 30, 30))
	}, []wanted{{Island, 0}}, 50, 6},
	{"boss that hangs by less than the rise that joins", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 56, 56, 33), cut(3, 3, 0, 53, 53, 30), add(20, 20, 28.4, 30, 30, 30))
	}, []wanted{{Island, 0}}, 50, 6},
	{"keel between two walls", func() *mesh.Mesh {
		return meshtest.Join(meshtest.Blocks(add(0, 0, 0, 10, 30, 60)), meshtest.Blocks(add(90, 0, 0, 100, 30, 60)),
			meshtest.PrismIn(meshtest.Upright(0, 0, 90), 5, 95, [][2]float64{{15, 30}, {20, 40}, {10, 40}}))
	}, []wanted{{Bridge, 80}}, 0, 0.2},
	{"overlapping shells", func() *mesh.Mesh {
		return meshtest.Join(meshtest.Blocks(add(0, 0, 0, 10, 10, 30)), meshtest.Blocks(add(90, 0, 0, 100, 10, 30)), meshtest.Blocks(add(5, 1, 25, 95, 9, 40)))
	}, []wanted{{Bridge, 80}}, 0, 0.2},
	{"box inside a box", func() *mesh.Mesh {
		return meshtest.Join(meshtest.Blocks(add(0, 0, 0, 40, 40, 40)), meshtest.Blocks(add(10, 10, 10, 30, 30, 30)))
	}, none, 0, 0.2},
	{"closed cavity", func() *mesh.Mesh {
		return meshtest.Join(meshtest.Blocks(add(0, 0, 0, 100, 100, 40)), meshtest.Flip(meshtest.Blocks(add(10, 10, 10, 90, 90, 30))))
	}, []wanted{{Bridge, 80}}, 0, 0.2},
	{"low gap", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 120, 10, 30), cut(10, 0, 10, 110, 10, 11))
	}, []wanted{{Bridge, 100}}, 0, 0.2},
	{"gap of a layer at most", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 120, 10, 30), cut(10, 0, 10, 110, 10, 10.1))
	}, none, 0, 0.2},
	{"engraved groove", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 80, 5, 30), cut(10, 0, 10, 70, 0.5, 10.6))
	}, none, -1, 0.2},
	{"fillet at the bed", func() *mesh.Mesh {
		return meshtest.Revolve(128, append(meshtestArc(28, 2, 2, -90, 0), [2]float64{30, 20}, [2]float64{0, 20}, [2]float64{0, 0})...)
	}, none, -1, 0.2},
	{"bowed front", func() *mesh.Mesh {
		return bowed(50, 3, 90)
	}, []wanted{{Bridge, 79.9}}, 0, 0.7},
}

// flared is a post 10 square, made longer by twice dx and dy, under a head that
// flares out by 2.4 at 60 degrees.
func flared(dx, dy float64) *mesh.Mesh {
	const r = math.Sqrt2
	m := meshtest.TurnZ(meshtest.Revolve(4, [2]float64{0, 0}, [2]float64{5 * r, 0}, [2]float64{5 * r, 20}, [2]float64{7.4 * r, 20 + 2.4/math.Sqrt(3)}, [2]float64{7.4 * r, 30}, [2]float64{0, 30}), 45)
	for i, v := range m.Vertices {
		for a, d := range [2]float64{dx, dy} {
			if v[a] > 1 {
				m.Vertices[i][a] += float32(d)
			} else if v[a] < -1 {
				m.Vertices[i][a] -= float32(d)
			}
		}
	}
	return m
}

// arm stands out from a post by length, rising by deg degrees; the lower edges
// of its sides are rounded by r.
func arm(length, deg, r float64) *mesh.Mesh {
	section := append(meshtestArc(r-12, r, r, 180, 270), meshtestArc(12-r, r, r, 270, 360)...)
	if r == 0 {
		section = [][2]float64{{-12, 0}, {12, 0}}
	}
	// Drawn upright along x, then sheared.
	m := meshtest.PrismIn(meshtest.Upright(0, 0, 90), -5, length, append(section, [2]float64{12, 8}, [2]float64{-12, 8}))
	for i, v := range m.Vertices {
		m.Vertices[i][2] = v[2] + 20 + v[0]*float32(math.Tan(deg*math.Pi/180))
	}
	return meshtest.Join(m, meshtest.Blocks(add(-15, -15, 0, 0, 15, 40)))
}

func meshtestArc(x, z, r, from, to float64) [][2]float64 {
	var out [][2]float64
	for i := 0; i <= 32; i++ {
		a := (from + (to-from)*float64(i)/32) * math.Pi / 180
		out = append(out, [2]float64{x + r*math.Cos(a), z + r*math.Sin(a)})
	}
	return out
}

// bowed is a wall along an arc of 120 degrees, radius r inside, t thick, 40
// high, with a window over deg degrees in the middle of it.
func bowed(r, t, deg float64) *mesh.Mesh {
	strip := func(from, to, z0, z1 float64) *mesh.Mesh {
		var p [][2]float64
		k := int((to - from) * 2)
		for i := 0; i <= k; i++ {
			a := (from + (to-from)*float64(i)/float64(k)) * math.Pi / 180
			p = append(p, [2]float64{(r + t) * math.Cos(a), (r + t) * math.Sin(a)})
		}
		for i := k; i >= 0; i-- {
			a := (from + (to-from)*float64(i)/float64(k)) * math.Pi / 180
			p = append(p, [2]float64{r * math.Cos(a), r * math.Sin(a)})
		}
		return meshtest.Prism(z0, z1, p)
	}
	half := deg / 2
	return meshtest.Join(strip(-60, -half, 0, 40), strip(half, 60, 0, 40), strip(-60, 60, 30, 40), strip(-60, 60, 0, 10))
}

// ways a part can be given that must not change the answer.
var givings = []struct {
	name string
	f    func(m *mesh.Mesh) *mesh.Mesh
	s    func(s Settings) Settings
}{
	{"as drawn", func(m *mesh.Mesh) *mesh.Mesh { return m }, nil},
	{"turned by 27", func(m *mesh.Mesh) *mesh.Mesh { return meshtest.TurnZ(m, 27) }, nil},
	{"turned by 131.7", func(m *mesh.Mesh) *mesh.Mesh { return meshtest.TurnZ(m, 131.7) }, nil},
	{"turned by 45", func(m *mesh.Mesh) *mesh.Mesh { return meshtest.TurnZ(m, 45) }, nil},
	{"turned by 63.3", func(m *mesh.Mesh) *mesh.Mesh { return meshtest.TurnZ(m, 63.3) }, nil},
	{"turned by 90", func(m *mesh.Mesh) *mesh.Mesh { return meshtest.TurnZ(m, 90) }, nil},
	{"turned by 211.4", func(m *mesh.Mesh) *mesh.Mesh { return meshtest.TurnZ(m, 211.4) }, nil},
	{"mirrored", func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Mirror(m, 0) }, nil},
	{"moved", func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Move(m, 31.7, -12.3, 5.1) }, nil},
	{"subdivided", func(m *mesh.Mesh) *mesh.Mesh { return meshtest.SubdivideTo(m, 6) }, nil},
	{"first layer 0.27", same, func(s Settings) Settings { s.FirstLayer = 0.27; return s }},
	{"first layer 0.33", same, func(s Settings) Settings { s.FirstLayer = 0.33; return s }},
	{"layers of 0.1", same, func(s Settings) Settings { s.Layer = 0.1; return s }},
	{"layers of 0.28", same, func(s Settings) Settings { s.Layer = 0.28; return s }},
}

func same(m *mesh.Mesh) *mesh.Mesh { return m }

func TestParts(t *testing.T) {
	for _, p := range parts {
		t.Run(p.name, func(t *testing.T) {
			base := p.m()
			some := givings
			if !property.Long() {
				if strings.HasPrefix(p.name, "wide ") && !strings.Contains(p.name, "scanned") && slices.ContainsFunc(parts, func(q part) bool { return "wide "+q.name == p.name }) {
					t.Skip("its narrower twin will do")
				}
				some = givings[1:2]
			}
			for _, g := range some {
				s := Defaults()
				if g.s != nil {
					s = g.s(s)
				}
				got := survey(t, g.f(base), s)
				if bad := compare(got, p.needs, p.rest, p.slack); bad != "" {
					t.Errorf("%s: %s%s", g.name, bad, list(got))
				}
			}
		})
	}
}

func compare(s *Survey, needs []wanted, rest, slack float64) string {
	i, longest := 0, 0.0
	for _, c := range s.Ceilings {
		if !c.NeedsRibs {
			if c.Kind == Bridge {
				longest = max(longest, c.Span)
			} else {
				longest = max(longest, c.Reach)
			}
			continue
		}
		if i == len(needs) {
			return "more ceilings need ribs than should"
		}
		w := needs[i]
		i++
		size := c.Span
		if c.Kind == Ledge {
			size = c.Reach
		}
		if c.Kind != w.kind || c.Kind != Island && w.size >= 0 && math.Abs(size-w.size) > slack {
			return fmt.Sprintf("ceiling %d: kind %d of %.2f, want kind %d of %.2f", c.ID, c.Kind, size, w.kind, w.size)
		}
	}
	if i < len(needs) {
		return fmt.Sprintf("%d ceilings need ribs, want %d", i, len(needs))
	}
	if rest >= 0 && math.Abs(longest-rest) > slack {
		return fmt.Sprintf("longest of the rest %.2f, want %.2f", longest, rest)
	}
	return ""
}
