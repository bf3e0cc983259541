package rib_test

import (
	"context"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/outside"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/section"
	"falsework/rib"
	"falsework/span"
)

// planFor surveys and plans a part, once for all tests.
func planFor(t testing.TB, name string, m *mesh.Mesh) *rib.Plan {
	t.Helper()
	if p := plans[name]; p != nil {
		return p
	}
	sv := span.Defaults()
	first, err := span.Run(context.Background(), m, sv, span.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := rib.Make(context.Background(), m, first, rib.DefaultSettings(sv))
	if err != nil {
		t.Fatal(err)
	}
	if p.Ribbed() == 0 {
		t.Fatal("nothing is ribbed")
	}
	plans[name] = p
	return p
}

var plans = map[string]*rib.Plan{}

// hollows are parts with ceilings to rib: a doorway off the layers' heights
// and turned, an opening over a sill with a step in it, a flat arch; for long
// runs a room with a pillar and a window, too, and other givings.
func hollows() map[string]*mesh.Mesh {
	gate := meshtest.Blocks(meshtest.Add(0, 0, 0, 160, 3, 80), meshtest.Cut(20, -1, -1, 140, 4, 60.05))
	step := meshtest.Blocks(meshtest.Add(0, 0, 0, 160, 5, 80), meshtest.Cut(20, -1, 10.03, 140, 6, 60.1), meshtest.Add(60, 0, 10, 90, 5, 17))
	room := meshtest.Blocks(meshtest.Add(0, 0, 0, 120, 110, 60), meshtest.Cut(3, 3, 3, 117, 107, 57), meshtest.Add(50, 40, 2, 60, 50, 30), meshtest.Cut(-1, 30, 10, 4, 80, 40))
	arch := meshtest.PrismIn(meshtest.Upright(0, 0, 0), 0, 4, [][2]float64{{0, 0}, {30, 0}, {30, 40}, {45, 46}, {65, 50}, {95, 52}, {125, 50}, {145, 46}, {160, 40}, {160, 0}, {190, 0}, {190, 70}, {0, 70}})
	list := map[string]*mesh.Mesh{"gate turned": meshtest.Turn(gate, [3]float64{0, 0, 1}, 27), "step": step, "arch": arch}
	if property.Long() {
		list["gate"], list["room"] = gate, room
		list["arch turned"] = meshtest.Turn(arch, [3]float64{0, 0, 1}, -14)
		list["arch in fine facets"] = meshtest.SubdivideTo(arch, 4)
	}
	return list
}

func TestKeepOutFillsTheAirAndKeepsItsGap(t *testing.T) {
	for name, m := range hollows() {
		p := planFor(t, name, m)
		for _, gap := range []float64{rib.DefaultGap(p.Survey.Settings), 1} {
			k, err := p.KeepOut(context.Background(), m, gap)
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			meshtest.Check(t, k.Mesh)
			if v := meshtest.Volume(k.Mesh); math.Abs(v-k.Volume) > 1e-6*v || k.Bodies != meshtest.Shells(k.Mesh) {
				t.Errorf("%s: %d bodies of %g mm3, found %d of %g", name, k.Bodies, k.Volume, meshtest.Shells(k.Mesh), v)
			}
			if d := clearance(k.Mesh, m, gap); d < gap-1e-5 {
				t.Errorf("%s: bodies come within %.6f mm of the part, gap %g", name, d, gap)
			}
			apartInSections(t, name, k.Mesh, m, gap)
			share := covered(t, p, m, k.Mesh)
			t.Logf("%s, gap %g: %d bodies, %d triangles, %.1f of %.1f cm3, %.1f %% of the air by rays", name, gap, k.Bodies, len(k.Mesh.Triangles), k.Volume/1e3, k.Air/1e3, 100*share)
			if gap < 0.1 && share < 0.95 || share < 0.5 {
				t.Errorf("%s: only %.1f %% of the air is covered at a gap of %g", name, 100*share, gap)
			}
		}
	}
}

// Part and keep-out bodies as two operands of an outside solid library: it
// takes both, and its union of them is their sum, since they nowhere meet.
func TestKeepOutAgainstLibrary(t *testing.T) {
	var cases []outside.Case
	for _, name := range []string{"gate turned", "step", "arch"} {
		m := hollows()[name]
		p := planFor(t, name, m)
		k, err := p.KeepOut(context.Background(), m, rib.DefaultGap(p.Survey.Settings))
		if err != nil {
			t.Fatal(err)
		}
		cases = append(cases, outside.Case{Name: strings.ReplaceAll(name, " ", "-"), Part: m, Tools: []*mesh.Mesh{k.Mesh}, Ribbed: meshtest.Join(m, k.Mesh)})
	}
	for i, a := range outside.Ask(t, filepath.Join("testdata", "keepout.json"), cases) {
		outside.Hold(t, a)
		if sum := meshtest.Volume(cases[i].Part) + meshtest.Volume(cases[i].Tools[0]); math.Abs(a.Union.Volume-sum) > 1e-6*sum {
			t.Errorf("%s: the library unites part and bodies to %.4f mm3, their sum is %.4f", a.Name, a.Union.Volume, sum)
		}
	}
}

// apartInSections holds that no section of the bodies, grown by the gap, meets
// one of the part at the same height.
func apartInSections(t *testing.T, name string, bodies, part *mesh.Mesh, gap float64) {
	a, b := section.NewSlicer(bodies), section.NewSlicer(part)
	box := bodies.Bounds()
	for i := range 23 {
		z := box.Min[2] + (float64(i)+0.513)/23*(box.Max[2]-box.Min[2])
		p, err := a.At(z)
		if err != nil {
			t.Fatal(err)
		}
		q, err := b.At(z)
		if err != nil {
			t.Fatal(err)
		}
		if area := section.Intersect(section.Offset(p, gap-1e-5, section.Round), q).Area(); area > 0 {
			t.Errorf("%s: at height %.2f the bodies come within %g mm over %g mm2", name, z, gap, area)
		}
	}
}

// covered is the share of the air under the ribbed ceilings that lies within
// the bodies, by rays: each goes down from a point of a ceiling to the first
// material, found by the part's own facets.
func covered(t *testing.T, p *rib.Plan, part, bodies *mesh.Mesh) float64 {
	r := rand.New(rand.NewPCG(1, 2))
	air, filled := 0.0, 0.0
	down := [3]float64{0, 0, -1}
	bed := part.Bounds().Min[2]
	for i := range p.Ceilings {
		if !p.Ceilings[i].Ribbed() {
			continue
		}
		for _, s := range p.Survey.Ceilings[i].Strips {
			box, ok := s.Footprint.Bounds()
			if !ok {
				continue
			}
			for range 400/len(p.Survey.Ceilings[i].Strips) + 1 {
				q := section.Point{box.Min[0] + r.Float64()*(box.Max[0]-box.Min[0]), box.Min[1] + r.Float64()*(box.Max[1]-box.Min[1])}
				if !s.Footprint.Contains(q) {
					continue
				}
				from := [3]float64{q[0], q[1], s.Z + p.Survey.Settings.Layer}
				top, floor := math.Inf(1), from[2]-bed
				for _, c := range meshtest.Chords(part, from, down) {
					if c[1] <= 0 {
						continue
					}
					if math.IsInf(top, 1) && c[0] <= 1.5*p.Survey.Settings.Layer {
						top = c[1]
					} else if !math.IsInf(top, 1) {
						floor = c[0]
						break
					}
				}
				if math.IsInf(top, 1) || floor <= top {
					continue
				}
				air += floor - top
				for _, c := range meshtest.Chords(bodies, from, down) {
					filled += max(0, min(c[1], floor)-max(c[0], top))
				}
			}
		}
	}
	if air == 0 {
		t.Fatal("no ray met air")
	}
	return filled / air
}

// clearance is the least distance between two surfaces that do not cross,
// looked for up to a little more than near: between corners and triangles,
// and between edges and edges.
func clearance(a, b *mesh.Mesh, near float64) float64 {
	least := math.Inf(1)
	for i := range a.Triangles {
		for j := range b.Triangles {
			p, q := corners(a, i), corners(b, j)
			if !nearBoxes(p, q, near+0.01) {
				continue
			}
			for c := range 3 {
				least = min(least, toTriangle(p[c], q), toTriangle(q[c], p))
				for d := range 3 {
					least = min(least, betweenEdges(p[c], p[(c+1)%3], q[d], q[(d+1)%3]))
				}
			}
		}
	}
	return least
}

func corners(m *mesh.Mesh, t int) (p [3][3]float64) {
	for c := range 3 {
		for i, x := range m.Corner(t, c) {
			p[c][i] = float64(x)
		}
	}
	return p
}

func nearBoxes(p, q [3][3]float64, pad float64) bool {
	for i := range 3 {
		if min(p[0][i], p[1][i], p[2][i]) > max(q[0][i], q[1][i], q[2][i])+pad || min(q[0][i], q[1][i], q[2][i]) > max(p[0][i], p[1][i], p[2][i])+pad {
			return false
		}
	}
	return true
}

func less(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func inner(a, b [3]float64) float64   { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func along3(a [3]float64, t float64, d [3]float64) [3]float64 {
	return [3]float64{a[0] + t*d[0], a[1] + t*d[1], a[2] + t*d[2]}
}

// toTriangle is the distance of a point to a triangle's inside; +Inf where its
// foot lies outside, which edges see.
func toTriangle(p [3]float64, t [3][3]float64) float64 {
	u, v, w := less(t[1], t[0]), less(t[2], t[0]), less(p, t[0])
	uu, uv, vv, wu, wv := inner(u, u), inner(u, v), inner(v, v), inner(w, u), inner(w, v)
	det := uu*vv - uv*uv
	if det == 0 {
		return math.Inf(1)
	}
	a, b := (vv*wu-uv*wv)/det, (uu*wv-uv*wu)/det
	if a < 0 || b < 0 || a+b > 1 {
		return math.Inf(1)
	}
	d := less(w, along3(along3([3]float64{}, a, u), b, v))
	return math.Sqrt(inner(d, d))
}

// betweenEdges is the distance of two segments (closest points of two lines,
// clamped; any textbook of computational geometry).
func betweenEdges(a, b, c, d [3]float64) float64 {
	u, v, w := less(b, a), less(d, c), less(a, c)
	uu, uv, vv, wu, wv := inner(u, u), inner(u, v), inner(v, v), inner(w, u), inner(w, v)
	clamp := func(x float64) float64 { return min(max(x, 0), 1) }
	s := 0.0
	if det := uu*vv - uv*uv; det > 0 {
		s = clamp((uv*wv - vv*wu) / det)
	}
	e := 0.0
	if vv > 0 {
		e = clamp((uv*s + wv) / vv)
	}
	if uu > 0 {
		s = clamp((uv*e - wu) / uu)
	}
	x := less(along3(a, s, u), along3(c, e, v))
	return math.Sqrt(inner(x, x))
}
