package span

import (
	"math"
	"testing"

	"falsework/mesh/meshtest/property"
	"falsework/mesh/section"
)

// A plan is a flat footprint drawn by its rings; held[i][j] tells whether the
// side from point j of ring i to the next rests on material.
type plan struct {
	rings section.Polygons
	held  [][]bool
}

func turned(p plan, deg float64, mirror bool, dx, dy float64) plan {
	c, s := math.Cos(deg*math.Pi/180), math.Sin(deg*math.Pi/180)
	var out plan
	for i, r := range p.rings {
		var q section.Path
		var h []bool
		for j, a := range r {
			if mirror {
				a[0] = -a[0]
			}
			q = append(q, Point{a[0]*c - a[1]*s + dx, a[0]*s + a[1]*c + dy})
			h = append(h, p.held[i][j])
		}
		if mirror {
			// Reversed, side j is the one that ran from j to j+1.
			n := len(q)
			rq, rh := make(section.Path, n), make([]bool, n)
			for j := range q {
				rq[j] = q[n-1-j]
				rh[j] = h[(2*n-2-j)%n]
			}
			q, h = rq, rh
		}
		out.rings = append(out.rings, q)
		out.held = append(out.held, h)
	}
	return out
}

func (p plan) rims() []rim {
	var out []rim
	for i, r := range p.rings {
		for j, a := range r {
			out = append(out, rim{a: a, b: r[(j+1)%len(r)], held: p.held[i][j]})
		}
	}
	return out
}

func (p plan) sheet() *sheet {
	return newSheet(p.rings, p.rims(), cellFor(p.rings), 2, nil)
}

func rect(a, b float64, held string) plan {
	return plan{section.Polygons{{{0, 0}, {a, 0}, {a, b}, {0, b}}}, [][]bool{flags(held)}}
}

// flags reads "1010" as held, free, held, free.
func flags(s string) []bool {
	var out []bool
	for _, c := range s {
		out = append(out, c == '1')
	}
	return out
}

func all(n int, v bool) []bool {
	out := make([]bool, n)
	for i := range out {
		out[i] = v
	}
	return out
}

func disc(r float64, n int, held bool) plan {
	var p section.Path
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		p = append(p, Point{r * math.Cos(a), r * math.Sin(a)})
	}
	return plan{section.Polygons{p}, [][]bool{all(n, held)}}
}

// bow is a strip along a curved wall: radius r inside, r+t outside, over deg
// degrees, held at its two ends.
func bow(r, t, deg float64, n int) plan {
	var p section.Path
	var h []bool
	for i := 0; i <= n; i++ {
		a := deg * math.Pi / 180 * float64(i) / float64(n)
		p = append(p, Point{(r + t) * math.Cos(a), (r + t) * math.Sin(a)})
		h = append(h, i == n)
	}
	for i := n; i >= 0; i-- {
		a := deg * math.Pi / 180 * float64(i) / float64(n)
		p = append(p, Point{r * math.Cos(a), r * math.Sin(a)})
		h = append(h, i == 0)
	}
	return plan{section.Polygons{p}, [][]bool{h}}
}

func ringPlan(out, in float64, n int, outHeld, inHeld bool) plan {
	p := disc(out, n, outHeld)
	q := disc(in, n, inHeld).rings[0]
	r := make(section.Path, n)
	for i := range q {
		r[i] = q[n-1-i]
	}
	p.rings = append(p.rings, r)
	p.held = append(p.held, all(n, inHeld))
	return p
}

// ell is an L of two arms of one width, held all round.
func ell(long, wide float64) plan {
	return plan{section.Polygons{{{0, 0}, {long, 0}, {long, wide}, {wide, wide}, {wide, long}, {0, long}}}, [][]bool{all(6, true)}}
}

// Every figure is a closed form; names tell the shape. A span of 0 stands for
// none. Lengths are good to slack.
var flatShapes = []struct {
	name              string
	p                 plan
	reach, span, hang float64
	slack             float64
}{
	{"lintel held at its ends", rect(160, 3, "0101"), 80, 160, 80, 0.2},
	{"wall of one bead", rect(100, 0.4, "0101"), 50, 100, 50, 0.2},
	{"lintel within the limit", rect(60, 3, "0101"), 30, 60, 0, 0.2},
	{"roof held all round", rect(40, 30, "1111"), 15, 30, 0, 0.2},
	{"wide roof held all round", rect(234, 147, "1111"), 73.5, 147, 73.5, 0.5},
	{"roof held on three sides", rect(234, 147, "1101"), 117, 234, 117, 0.5},
	{"niche held on three sides", rect(60, 20, "1101"), 20, 60, 0, 0.2},
	{"wide niche", rect(200, 20, "1101"), 20, 200, 20, 0.4},
	{"shelf", rect(50, 10, "1000"), 10, 0, 10, 0.2},
	// Chords from side to side carry what lies within the diagonal; the free
	// corner is 35/sqrt 2 from it.
	{"corner plate", rect(35, 35, "1001"), 35, 49.5, 24.75, 0.4},
	{"disc", disc(30, 96, true), 30, 60, 0, 0.2},
	// Chords along the rim of the hole: 2 sqrt(40^2 - 30^2).
	{"ring held outside", ringPlan(40, 30, 96, true, false), 10, 52.9, 0.3, 0.4},
	{"ring held on both rims", ringPlan(40, 10, 96, true, true), 15, 30, 0, 0.2},
	{"mushroom", ringPlan(40, 10, 96, false, true), 30, 0, 30, 0.2},
	// Inner arc 78.54, mean arc 80.9.
	{"bowed lintel", bow(50, 3, 90, 40), 40, 79.9, 39.9, 0.7},
	{"bowed wall of one bead", bow(100, 0.4, 60, 60), 52.4, 104.8, 52.4, 0.3},
	// The largest disc touches both outer walls and the inner corner; the
	// chord through its middle runs from corner to corner, 20 sqrt 2.
	{"ell held all round", ell(60, 20), 11.72, 28.2, 0, 0.3},
}

func TestFlatShapes(t *testing.T) {
	for _, c := range flatShapes {
		turns := []float64{27}
		if property.Long() {
			turns = []float64{0, 27, 45, 63.3}
		}
		for _, deg := range turns {
			for _, mirror := range []bool{false, true} {
				l := turned(c.p, deg, mirror, 3.14, 2.7).sheet().measure(limits{most: 70}, 2, 45)
				for _, v := range []struct {
					what      string
					got, want float64
				}{{"reach", l.reach, c.reach}, {"span", l.span, c.span}, {"hang", l.hang, c.hang}} {
					if math.Abs(v.got-v.want) > c.slack {
						t.Errorf("%s turned by %g, mirrored %v: %s %.3f, want %.3f", c.name, deg, mirror, v.what, v.got, v.want)
					}
				}
			}
		}
	}
}
