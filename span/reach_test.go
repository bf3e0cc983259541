package span

import (
	"math"
	"math/rand/v2"
	"testing"

	"falsework/mesh/meshtest/property"
	"falsework/mesh/section"
)

// scribble draws a star-shaped footprint with up to two holes; each side is
// held or free by lot, and at least one is held.
func scribble(r *rand.Rand) plan {
	star := func(x, y, lo, hi float64, n int, ccw bool) section.Path {
		var p section.Path
		for i := range n {
			a := 2 * math.Pi * (float64(i) + 0.6*r.Float64()) / float64(n)
			if !ccw {
				a = -a
			}
			d := lo + (hi-lo)*r.Float64()
			p = append(p, Point{x + d*math.Cos(a), y + d*math.Sin(a)})
		}
		return p
	}
	out := plan{rings: section.Polygons{star(0, 0, 12, 30, 5+r.IntN(8), true)}}
	if r.IntN(3) > 0 {
		out.rings = append(out.rings, star(-4, 1, 1, 3, 3+r.IntN(4), false))
	}
	if r.IntN(3) > 0 {
		out.rings = append(out.rings, star(4, -1, 1, 3, 3+r.IntN(4), false))
	}
	for _, ring := range out.rings {
		h := make([]bool, len(ring))
		for i := range h {
			h[i] = r.IntN(4) == 0
		}
		out.held = append(out.held, h)
	}
	out.held[0][0] = true
	return out
}

// visibility is the exact twin of the reach: the shortest way from a point to
// a held side over a graph of all corners that see one another.
type visibility struct {
	rims    []rim
	corners []Point
	d       []float64 // from each corner to what is held
	in      *locator
}

func newVisibility(p plan) *visibility {
	v := &visibility{rims: p.rims(), in: newLocator(p.rings)}
	for _, r := range v.rims {
		v.corners = append(v.corners, r.a)
	}
	done := make([]bool, len(v.corners))
	for _, c := range v.corners {
		v.d = append(v.d, v.direct(c))
	}
	for range v.corners {
		best := -1
		for i := range v.d {
			if !done[i] && (best < 0 || v.d[i] < v.d[best]) {
				best = i
			}
		}
		done[best] = true
		for i, c := range v.corners {
			if d := v.d[best] + distance(c, v.corners[best]); !done[i] && d < v.d[i] && v.sees(c, v.corners[best]) {
				v.d[i] = d
			}
		}
	}
	return v
}

// direct is the straight distance to a held side in sight.
func (v *visibility) direct(p Point) float64 {
	best := math.Inf(1)
	for _, r := range v.rims {
		if r.held {
			if q, d := r.nearest(p); d < best && v.sees(p, q) {
				best = d
			}
		}
	}
	return best
}

// sees reports whether the way from p to q stays inside: it crosses no side
// and its middle is inside.
func (v *visibility) sees(p, q Point) bool {
	if distance(p, q) < 1e-9 {
		return true
	}
	side := func(a, b, c Point) float64 {
		return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
	}
	const e = 1e-9
	for _, r := range v.rims {
		a, b := side(p, q, r.a), side(p, q, r.b)
		c, d := side(r.a, r.b, p), side(r.a, r.b, q)
		if (a > e && b < -e || a < -e && b > e) && (c > e && d < -e || c < -e && d > e) {
			return false
		}
	}
	for _, t := range [3]float64{0.5, 0.01, 0.99} {
		m := Point{p[0] + t*(q[0]-p[0]), p[1] + t*(q[1]-p[1])}
		if !v.in.has(m) && v.offBorder(m) {
			return false
		}
	}
	return true
}

func (v *visibility) offBorder(p Point) bool {
	for _, r := range v.rims {
		if _, d := r.nearest(p); d < 1e-6 {
			return false
		}
	}
	return true
}

func (v *visibility) reach(p Point) float64 {
	best := v.direct(p)
	for i, c := range v.corners {
		if d := v.d[i] + distance(p, c); d < best && v.sees(p, c) {
			best = d
		}
	}
	return best
}

func TestReachAgainstVisibilityGraph(t *testing.T) {
	n := uint64(40)
	if property.Long() {
		n = 1000
	}
	worst, looked := 0.0, 0
	for seed := range n {
		p := scribble(rand.New(rand.NewPCG(seed, 3)))
		s, v := p.sheet(), newVisibility(p)
		f := s.spread(s.rims, nil)
		for i := 0; i < len(s.at); i += 1 + len(s.at)/40 {
			q := s.pos(int32(i))
			want := v.reach(q)
			looked++
			if math.Abs(f.d[i]-want) > s.cell+0.01*want {
				t.Errorf("seed %d: reach at %v is %.3f, exactly %.3f (cell %.3f)", seed, q, f.d[i], want, s.cell)
			}
			worst = max(worst, math.Abs(f.d[i]-want))
		}
	}
	t.Logf("%d places, worst difference %.3f mm", looked, worst)
}

// Chords are held against rays: whatever strand a node is given, some straight
// way of that length with held ends passes within a cell, or it is a string.
func TestChordsAgainstRays(t *testing.T) {
	for seed := range uint64(10) {
		p := scribble(rand.New(rand.NewPCG(seed, 4)))
		s := p.sheet()
		sw := sweep{s: s}
		for deg := 5.0; deg < 180; deg += 35 {
			if !sw.aim(deg*math.Pi/180, s.rims, nil) {
				t.Fatalf("seed %d: no lines", seed)
			}
			sw.chords(func(_ int, c chord) {
				m := Point{(c.from[0] + c.to[0]) / 2, (c.from[1] + c.to[1]) / 2}
				if c.length > 1e-6 && !s.within(m) {
					t.Errorf("seed %d: the chord %v leaves the footprint", seed, c)
				}
				if math.Abs(distance(c.from, c.to)-c.length) > 1e-9 {
					t.Errorf("seed %d: the chord %v is %.6f long", seed, c, distance(c.from, c.to))
				}
				if c.held != (heldAt(s, c.from) && heldAt(s, c.to)) {
					t.Errorf("seed %d: the chord %v: held %v", seed, c, c.held)
				}
				// Asked for one node or walked along, a chord passes the same.
				passed := make([]bool, len(s.at))
				s.mark(c.from, c.to, func(n int32) { passed[n] = true })
				for n := range passed {
					if s.marks(c.from, c.to, int32(n)) != passed[n] {
						t.Errorf("seed %d: the chord %v passes node %d: %v", seed, c, n, passed[n])
					}
				}
			})
		}
	}
}

func heldAt(s *sheet, p Point) bool {
	best, held := math.Inf(1), false
	for _, r := range s.rims {
		if _, d := r.nearest(p); d < best {
			best, held = d, r.held
		}
	}
	return held
}
