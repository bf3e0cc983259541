package union

import (
	"fmt"
	"math"
	"testing"

	"falsework/mesh/exact"
)

// holed is a rectangle with a square hole about each centre.
func holed(w, h, half float64, centres [][2]float64) *polygon {
	p := &polygon{}
	ring := func(pts ...[2]float64) {
		var r []int32
		for _, q := range pts {
			r = append(r, int32(len(p.at)))
			p.id = append(p.id, int32(len(p.at)))
			p.at = append(p.at, [2]float64{float64(float32(q[0])), float64(float32(q[1]))}) // as in a file
		}
		p.rings = append(p.rings, r)
	}
	ring([2]float64{0, 0}, [2]float64{w, 0}, [2]float64{w, h}, [2]float64{0, h})
	for _, c := range centres {
		x, y := c[0], c[1]
		ring([2]float64{x - half, y - half}, [2]float64{x - half, y + half}, [2]float64{x + half, y + half}, [2]float64{x + half, y - half})
	}
	return p
}

// layouts of n holes in a face of side n: aligned on a line one way, the other
// way, aslant, in a square block, and all about their own side's line.
func layouts(n int) map[string]*polygon {
	side := float64(n)
	out := map[string]*polygon{}
	var along, across, aslant, block [][2]float64
	for i := range n {
		t := float64(i) + 0.5
		along = append(along, [2]float64{t, side / 3})
		across = append(across, [2]float64{side / 3, t})
		aslant = append(aslant, [2]float64{t, t})
		k := int(math.Ceil(math.Sqrt(float64(n))))
		block = append(block, [2]float64{float64(i%k)*0.5 + 2, float64(i/k)*0.5 + 2})
	}
	out["along"], out["across"] = holed(side, side, 0.2, along), holed(side, side, 0.2, across)
	out["aslant"], out["block"] = holed(side, side, 0.2, aslant), holed(side, side, 0.2, block)
	for i := range along {
		along[i][1] = 0.5
	}
	out["along a strip"] = holed(side, 1, 0.2, along)
	return out
}

// work counts the comparisons that cutting a polygon takes.
func work(p *polygon) (tris [][3]int32, tried int) {
	ring, walls := p.joined()
	if walls != nil {
		tried = walls.tried
	}
	k := newClipper(p, ring)
	tris = k.run()
	return tris, tried + k.blunt.tried
}

// Hundreds of holes in one face, aligned on a line or not, are cut into
// triangles that fill it exactly, with a number of comparisons that hardly
// grows by the hole.
func TestHundredsOfHoles(t *testing.T) {
	perPoint := map[string][]float64{}
	for _, n := range []int{100, 200, 400} {
		for name, p := range layouts(n) {
			tris, tried := work(p)
			perPoint[name] = append(perPoint[name], float64(tried)/float64(len(p.at)))
			if want := len(p.at) + 2*n - 2; len(tris) != want {
				t.Errorf("%s, %d holes: %d triangles, want %d", name, n, len(tris), want)
			}
			area := 0.0
			seen := map[[2]int32]bool{}
			for _, k := range tris {
				a, b, c := p.at[k[0]], p.at[k[1]], p.at[k[2]]
				if exact.Orient2D(a, b, c) <= 0 {
					t.Fatalf("%s, %d holes: triangle %v has no area or is turned over", name, n, k)
				}
				area += ((b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])) / 2
				for e := range 3 {
					uv := [2]int32{k[e], k[(e+1)%3]}
					if seen[uv] {
						t.Fatalf("%s, %d holes: edge %v run along twice", name, n, uv)
					}
					seen[uv] = true
				}
			}
			w, h := p.at[2][0], p.at[2][1]
			about(t, fmt.Sprintf("%s, %d holes: area", name, n), area, w*h-float64(n)*0.16, 1e-5*w*h)
		}
	}
	for name, c := range perPoint {
		t.Logf("%s: comparisons per point %.0f", name, c)
		if last := len(c) - 1; c[last] > 400 || c[last] > 2*c[0] {
			t.Errorf("%s: comparisons per point %.0f for 100 to 400 holes", name, c)
		}
	}
}

// BenchmarkFill is the cutting alone of a face with 400 holes.
func BenchmarkFill(b *testing.B) {
	for name, p := range layouts(400) {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				p.triangulate()
			}
		})
	}
}
