package span

import (
	"fmt"
	"math"
	"testing"

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

func TestProbe(t *testing.T) {
	cases := []struct {
		name string
		p    plan
	}{
		{"lintel 160x3", rect(160, 3, "0101")},
		{"lintel 100x0.4", rect(100, 0.4, "0101")},
		{"roof 40x30 all", rect(40, 30, "1111")},
		{"roof 234x147 three", rect(234, 147, "1101")},
		{"roof 234x147 all", rect(234, 147, "1111")},
		{"niche 60x20", rect(60, 20, "1101")},
		{"niche 200x20", rect(200, 20, "1101")},
		{"shelf 50x10", rect(50, 10, "1000")},
		{"corner 35", rect(35, 35, "1001")},
		{"disc 30", disc(30, 96, true)},
		{"bow r50 t3 90", bow(50, 3, 90, 40)},
		{"bow r100 t0.4 60", bow(100, 0.4, 60, 60)},
		{"ring shelf 40/30 outer", ringPlan(40, 30, 96, true, false)},
		{"ring 40/10 both", ringPlan(40, 10, 96, true, true)},
		{"mushroom 40/10", ringPlan(40, 10, 96, false, true)},
		{"ell", plan{section.Polygons{{{0, 0}, {60, 0}, {60, 20}, {20, 20}, {20, 60}, {0, 60}}}, [][]bool{all(6, true)}}},
	}
	for _, c := range cases {
		for _, deg := range []float64{0, 27, 45, 63.3} {
			s := turned(c.p, deg, false, 3.14, 2.7).sheet()
			l := s.measure(70, 2, 45)
			fmt.Printf("%-24s %5.1f cell %.3f n %6d reach %7.3f span %8.3f hang %7.3f strand %8.3f at %v\n", c.name, deg, s.cell, len(s.at), l.reach, l.span, l.hang, l.strand, l.hangAt)
		}
	}
}
