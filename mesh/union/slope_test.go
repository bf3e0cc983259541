package union

import "testing"

// Where float64 tells the sign of a slope, the whole series tells the same;
// and it tells most of them.
func TestSlopeAgainstSeries(t *testing.T) {
	t.Parallel()
	seed := uint64(3)
	draw := func(scale float32) (p vec) {
		for k := range 3 {
			p[k] = float32(mix(&seed)%4) * scale
		}
		return p
	}
	asked, told := 0, 0
	for range few(2000, 200000) {
		scale := [3]float32{1, 0.1, 1e-20}[mix(&seed)%3]
		a, b, c, d := draw(scale), draw(scale), draw(scale), draw(scale)
		if a == b || b == c || c == a || a == d || b == d || c == d {
			continue
		}
		m := &motion{ways: map[vec][3]int64{}}
		for _, p := range []vec{a, b, c, d} {
			var w [3]int64
			for k := range 3 {
				w[k] = int64(mix(&seed)>>23) - 1<<40
				if mix(&seed)%4 == 0 {
					w[k] = 0
				}
			}
			m.ways[p] = w
		}
		var none [3]int64
		check := func(name string, got int, want series) {
			if len(want) > 0 && want[0].Sign() != 0 {
				return // no four points in one plane
			}
			asked++
			if got == 0 {
				return
			}
			told++
			if got != want.sign() {
				t.Errorf("%s of %v %v %v %v, ways %v: %d, series %v", name, a, b, c, d, m.ways, got, want)
			}
		}
		check("triangle of B", slope(a, b, c, d, m.way(a), m.way(b), m.way(c), none), m.volume(1, a, b, c, d))
		check("triangle of A", slope(a, b, c, d, none, none, none, m.way(d)), m.volume(0, a, b, c, d))
		check("edges", slope(a, b, c, d, none, none, m.way(c), m.way(d)), m.still(a).volume(m.still(b), m.moving(c), m.moving(d)))
	}
	if asked < 300 || told*10 < asked*7 {
		t.Errorf("%d of %d told", told, asked)
	}
	t.Logf("%d of %d told", told, asked)
}
