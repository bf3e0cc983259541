package span

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/section"
)

// What is smaller, mm2, may belong to the ceiling beside it in one pose and not in
// another; it is in the log where what needs ribs is added up.
const large = 100

// A real part whose upright walls get slivers when it is turned, since its corners
// are rounded, keeps its verdicts. The long run logs what other parts do: there,
// ceilings that meet in a bend still belong together in one turn and not in another.
func TestVerdictsOfRealPartsTurned(t *testing.T) {
	turns := []float64{17.3, 131.7, 211.4}
	moves := 0
	realParts(t, func(name string, m *mesh.Mesh) {
		if !property.Long() && name != "case-small.stl" {
			return
		}
		for pose, p := range [][2]float64{{0, 0}, {0, 180}, {0, 90}, {0, -90}, {1, -90}, {1, 90}} {
			axis := [3]float64{1, 0, 0}
			if p[0] == 1 {
				axis = [3]float64{0, 1, 0}
			}
			q := meshtest.Turn(m, axis, p[1])
			base := survey(t, q, Defaults())
			some := turns
			if !property.Long() {
				some = turns[pose%3 : pose%3+1]
			}
			for _, degrees := range some {
				n := differ(t, fmt.Sprintf("%s, pose %d, turned by %g", name, pose+1, degrees), base, survey(t, meshtest.TurnZ(q, degrees), Defaults()), degrees)
				moves += n
			}
		}
	})
	t.Logf("%d ceilings moved by more than those of the table may", moves)
}

func differ(t *testing.T, what string, base, got *Survey, degrees float64) (moves int) {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	wrong := t.Logf
	if strings.HasPrefix(what, "case-small.stl") {
		wrong = t.Errorf
	}
	var need, needs float64
	for i := range base.Ceilings {
		b := &base.Ceilings[i]
		if b.NeedsRibs {
			need += b.Area
		}
		h := Point(b.HangAt)
		h = Point{cos*h[0] - sin*h[1], sin*h[0] + cos*h[1]}
		for k := range got.Ceilings {
			if g := &got.Ceilings[k]; g.NeedsRibs != b.NeedsRibs && !g.AtLimit && !b.AtLimit && min(b.Area, g.Area) > large &&
				g.Z[0] < b.Z[1]+0.1 && g.Z[1] > b.Z[0]-0.1 && g.Footprint.Contains(section.Point(h)) {
				wrong("%s: ceiling %d (%s, %.1f mm2) lies in ceiling %d (%s, %.1f mm2)", what, b.ID, b.Why, b.Area, g.ID, g.Why, g.Area)
			}
		}
		p := b.Footprint[0][0]
		p = Point{cos*p[0] - sin*p[1], sin*p[0] + cos*p[1]}
		g := twin(b, p, got)
		if g == nil {
			continue
		}
		most := moveStrip
		if b.Z[1]-b.Z[0] < 0.05 {
			most = moveFlat
		}
		switch d := math.Abs(size(*g) - size(*b)); {
		case g.NeedsRibs != b.NeedsRibs:
			if !b.AtLimit && !g.AtLimit {
				wrong("%s: ceiling %d, %v %.2f (%s), is ceiling %d, %v %.2f (%s)", what, b.ID, b.Kind, size(*b), b.Why, g.ID, g.Kind, size(*g), g.Why)
			}
		case d > most:
			moves++
			t.Logf("%s: ceiling %d moves from %.2f to %.2f", what, b.ID, size(*b), size(*g))
		}
	}
	for _, g := range got.Ceilings {
		if g.NeedsRibs {
			needs += g.Area
		}
	}
	if math.Abs(need-needs) > 0.02*need+5 {
		t.Logf("%s: %.1f mm2 need ribs instead of %.1f", what, needs, need)
	}
	return moves
}

// twin finds a ceiling as large as b, at the same height, whose border passes p.
func twin(b *Ceiling, p Point, in *Survey) *Ceiling {
	for i := range in.Ceilings {
		g := &in.Ceilings[i]
		if math.Abs(g.Z[0]-b.Z[0]) > 0.1 || math.Abs(g.Area-b.Area) > 0.02*b.Area+0.5 {
			continue
		}
		for _, r := range g.Footprint {
			for k, a := range r {
				if n := r[(k+1)%len(r)]; apart(a, n, p) < 0.3 {
					return g
				}
			}
		}
	}
	return nil
}

// apart is the distance of p from the piece a to b.
func apart(a, b, p Point) float64 {
	d := Point{b[0] - a[0], b[1] - a[1]}
	u := 0.0
	if l := d[0]*d[0] + d[1]*d[1]; l > 0 {
		u = min(max(((p[0]-a[0])*d[0]+(p[1]-a[1])*d[1])/l, 0), 1)
	}
	return math.Hypot(p[0]-a[0]-u*d[0], p[1]-a[1]-u*d[1])
}
