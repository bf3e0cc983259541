package meshtest

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"testing"

	"falsework/mesh"
)

// A Kind names what is wrong at a place of a surface.
type Kind string

// The kinds of fault.
const (
	OpenEdge   Kind = "open edge"           // one triangle only
	Crowded    Kind = "crowded edge"        // more than two triangles
	Flipped    Kind = "flipped triangle"    // two triangles that run the same way along an edge
	Doubled    Kind = "doubled triangle"    // the same three corners, either way round
	Pinched    Kind = "pinched vertex"      // its triangles are more than one disc
	Degenerate Kind = "degenerate triangle" // no area, exactly
	Twin       Kind = "twin vertices"       // equal coordinates
	BadNumber  Kind = "bad number"          // not finite, -0, or an index out of range
	InsideOut  Kind = "inside-out surface"  // negative volume
	Empty      Kind = "empty surface"       // no triangle
)

// A Fault is one thing wrong with a surface.
type Fault struct {
	Kind     Kind
	At       [3]float64 // a point of it
	Triangle int        // a triangle there, -1 where there is none
}

func (f Fault) String() string {
	return fmt.Sprintf("%s at (%g, %g, %g), triangle %d", f.Kind, f.At[0], f.At[1], f.At[2], f.Triangle)
}

// Check fails the test when m is anything but a closed, oriented, manifold,
// outward surface. It does not look whether the surface crosses itself: see
// [CheckEmbedded].
func Check(t testing.TB, m *mesh.Mesh) {
	t.Helper()
	f := Faults(m)
	for i, f := range f {
		if i == 5 {
			t.Error("...")
			break
		}
		t.Error(f)
	}
	if len(f) > 0 {
		t.Fatalf("%d faults in a surface of %d triangles", len(f), len(m.Triangles))
	}
}

// Faults returns everything wrong with m as a solid, in the order of its
// kinds, then of its triangles. Numbers that cannot be used end the search.
func Faults(m *mesh.Mesh) []Fault {
	if f := badNumbers(m); len(f) > 0 {
		return f
	}
	if len(m.Triangles) == 0 {
		return []Fault{{Empty, [3]float64{}, -1}}
	}
	f := edgeFaults(m)
	f = append(f, doubled(m)...)
	f = append(f, pinched(m)...)
	f = append(f, degenerate(m)...)
	f = append(f, twins(m)...)
	if v := Volume(m); len(f) == 0 && v < 0 {
		f = append(f, Fault{InsideOut, corner(m, 0, 0), 0})
	}
	return f
}

func badNumbers(m *mesh.Mesh) (f []Fault) {
	for _, p := range m.Vertices {
		for _, x := range p {
			x := float64(x)
			if math.IsNaN(x) || math.IsInf(x, 0) || x == 0 && math.Signbit(x) {
				f = append(f, Fault{BadNumber, [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}, -1})
				break
			}
		}
	}
	for i, t := range m.Triangles {
		for _, v := range t {
			if v < 0 || int(v) >= len(m.Vertices) {
				f = append(f, Fault{BadNumber, [3]float64{}, i})
				break
			}
		}
	}
	return f
}

func edgeFaults(m *mesh.Mesh) (f []Fault) {
	type use struct{ forth, back []int }
	uses := map[[2]int32]*use{}
	var order [][2]int32
	for i, t := range m.Triangles {
		for c := range 3 {
			a, b := t[c], t[(c+1)%3]
			k := [2]int32{min(a, b), max(a, b)}
			u := uses[k]
			if u == nil {
				u = &use{}
				uses[k] = u
				order = append(order, k)
			}
			if a < b {
				u.forth = append(u.forth, i)
			} else {
				u.back = append(u.back, i)
			}
		}
	}
	for _, k := range order {
		u := uses[k]
		ts := append(slices.Clone(u.forth), u.back...)
		p, q := m.Vertices[k[0]], m.Vertices[k[1]]
		mid := [3]float64{
			(float64(p[0]) + float64(q[0])) / 2, (float64(p[1]) + float64(q[1])) / 2, (float64(p[2]) + float64(q[2])) / 2}
		switch {
		case k[0] == k[1]: // a repeated corner, reported as degenerate
		case len(ts) == 1:
			f = append(f, Fault{OpenEdge, mid, ts[0]})
		case len(ts) > 2:
			f = append(f, Fault{Crowded, mid, ts[len(ts)-1]})
		case len(u.forth) != 1:
			f = append(f, Fault{Flipped, mid, ts[1]})
		}
	}
	return f
}

func doubled(m *mesh.Mesh) (f []Fault) {
	seen := map[[3]int32]bool{}
	for i, t := range m.Triangles {
		slices.Sort(t[:])
		if seen[t] {
			f = append(f, Fault{Doubled, corner(m, i, 0), i})
		}
		seen[t] = true
	}
	return f
}

// pinched finds vertices whose triangles do not all hang together over the
// edges at that vertex.
func pinched(m *mesh.Mesh) (f []Fault) {
	fans := make([][]int, len(m.Vertices))
	for i, t := range m.Triangles {
		for _, v := range t {
			fans[v] = append(fans[v], i)
		}
	}
	for v, fan := range fans {
		if len(fan) == 0 {
			continue
		}
		byEdge := map[int32][]int{}
		for _, i := range fan {
			for _, w := range m.Triangles[i] {
				if int(w) != v {
					byEdge[w] = append(byEdge[w], i)
				}
			}
		}
		seen := map[int]bool{fan[0]: true}
		for todo := []int{fan[0]}; len(todo) > 0; {
			i := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			for _, w := range m.Triangles[i] {
				for _, j := range byEdge[w] {
					if !seen[j] {
						seen[j] = true
						todo = append(todo, j)
					}
				}
			}
		}
		if len(seen) < len(fan) {
			p := m.Vertices[v]
			f = append(f, Fault{Pinched, [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}, fan[0]})
		}
	}
	return f
}

func degenerate(m *mesh.Mesh) (f []Fault) {
	for i, t := range m.Triangles {
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] || flat(corner(m, i, 0), corner(m, i, 1), corner(m, i, 2)) {
			f = append(f, Fault{Degenerate, corner(m, i, 0), i})
		}
	}
	return f
}

// flat tells exactly whether three points are in line.
func flat(a, b, c [3]float64) bool {
	for i := range 3 {
		j := (i + 1) % 3
		if sign2(a[i], a[j], b[i], b[j], c[i], c[j]) != 0 {
			return false
		}
	}
	return true
}

// sign2 is the exact sign of the area of a triangle in a plane.
func sign2(ax, ay, bx, by, cx, cy float64) int {
	l, r := (bx-ax)*(cy-ay), (by-ay)*(cx-ax)
	// Eight roundings at most, each within 2^-53 of the terms.
	if d := l - r; math.Abs(d) > 1e-15*(math.Abs(l)+math.Abs(r))*2 {
		if d > 0 {
			return 1
		}
		return -1
	}
	if l == 0 && r == 0 {
		return 0 // a difference is zero only when it is exactly so
	}
	sub := func(x, y float64) *big.Float {
		d := new(big.Float).SetPrec(1000).SetFloat64(x)
		return d.Sub(d, big.NewFloat(y))
	}
	p, q := sub(bx, ax), sub(by, ay)
	return p.Mul(p, sub(cy, ay)).Cmp(q.Mul(q, sub(cx, ax)))
}

func twins(m *mesh.Mesh) (f []Fault) {
	seen := map[[3]float32]bool{}
	for _, p := range m.Vertices {
		if seen[p] {
			f = append(f, Fault{Twin, [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}, -1})
		}
		seen[p] = true
	}
	return f
}
