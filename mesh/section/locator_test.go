package section

import (
	"math"
	"math/rand"
	"testing"
)

// A locator says what Contains does, at random points and at those that lie level
// with corners, on corners and on sides.
func TestLocatorIsItsRegion(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	ring := Path{}
	for i := range 500 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 500)
		ring = append(ring, Point{9 * c, 9 * s})
	}
	comb := Path{{-10, -10}, {10, -10}} // all of its edges in every band
	for i := range 200 {
		comb = append(comb, Point{10 - 0.1*float64(i), 10}, Point{9.95 - 0.1*float64(i), -9.9})
	}
	regions := []Polygons{nil, {}, {nil}, {{{1, 1}}}, {{{0, 2}, {5, 2}, {9, 2}}}, {ring}, {comb}, Subtract(Polygons{ring}, rect(-2, -2, 3, 3))}
	for range 30 {
		regions = append(regions, randomRings(rng, 4, 9, 20))
	}
	inside := 0
	for n, p := range regions {
		l := NewLocator(p)
		corners := 0
		var asked []Point
		for range 300 {
			asked = append(asked, Point{24*rng.Float64() - 12, 24*rng.Float64() - 12})
		}
		for _, r := range p {
			corners += len(r)
			for i, a := range r {
				b := r[next(i, len(r))]
				asked = append(asked, a, Point{a[0] - 1e-9, a[1]}, Point{rng.Float64() * 9, a[1]}, Point{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2})
			}
		}
		for _, q := range asked {
			want := p.Contains(q)
			if l.Contains(q) != want {
				t.Fatalf("region %d at %v: %v, want %v", n, q, !want, want)
			}
			if want {
				inside++
			}
		}
		if filed := len(l.edges); len(l.start) > 2 && filed > mostFiled*corners {
			t.Errorf("region %d: %d entries for %d edges", n, filed, corners)
		}
	}
	if inside < 1000 {
		t.Errorf("only %d points inside", inside)
	}
}

func BenchmarkContains(b *testing.B) {
	ring := Path{}
	for i := range 1000 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 1000)
		ring = append(ring, Point{50 * c, 50 * s})
	}
	p := Polygons{ring}
	l := NewLocator(p)
	for _, c := range []struct {
		name string
		ask  func(Point) bool
	}{{"plain", p.Contains}, {"filed", l.Contains}} {
		b.Run(c.name, func(b *testing.B) {
			k := 0
			for b.Loop() {
				c.ask(Point{float64(k%101) - 50, float64(k%97) - 48})
				k++
			}
		})
	}
}
