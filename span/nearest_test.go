package span

import (
	"math"
	"math/rand/v2"
	"testing"

	"falsework/mesh/meshtest"
)

// The division of the lattice must not lose the nearest rim.
func TestNearestRims(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for trial := range 40 {
		s := scribble(r).sheet()
		var list []int32
		for i := range s.rims {
			if trial%2 == 0 || s.rims[i].held {
				list = append(list, int32(i))
			}
		}
		seen := make([]bool, len(s.at))
		s.nearest(s.rims, list, func(n, got int32, _ bool) {
			best := math.Inf(1)
			for _, i := range list {
				if _, e := s.rims[i].nearest(s.pts[n]); e < best {
					best = e
				}
			}
			if _, d := s.rims[got].nearest(s.pts[n]); seen[n] || math.Abs(d-best) > 1e-9 {
				t.Fatalf("trial %d, node %d: %g to rim %d, want %g", trial, n, d, got, best)
			}
			seen[n] = true
		})
		for n, ok := range seen {
			if !ok {
				t.Fatalf("trial %d: node %d was left out", trial, n)
			}
		}
	}
}

// What a square is said to see is in sight of each node in it.
func TestSquaresSee(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 2))
	seen, not := 0, 0
	for range 30 {
		p := scribble(r)
		s, v := p.sheet(), newVisibility(p)
		var list []int32
		for i := range s.rims {
			if s.rims[i].held {
				list = append(list, int32(i))
			}
		}
		s.nearest(s.rims, list, func(n, got int32, sees bool) {
			if !sees {
				not++
				return
			}
			seen++
			at, d := s.rims[got].nearest(s.pts[n])
			if d < 1e-3 || seen%7 != 0 {
				return
			}
			// Up to a hair before the border that it lies on.
			f := 1 - 1e-3/d
			if short := (Point{s.pts[n][0] + f*(at[0]-s.pts[n][0]), s.pts[n][1] + f*(at[1]-s.pts[n][1])}); !v.sees(s.pts[n], short) {
				t.Fatalf("from %v to %v", s.pts[n], at)
			}
		})
	}
	if seen < 10000 || not < 1000 {
		t.Errorf("%d nodes that see and %d that may not prove little", seen, not)
	}
}

// BenchmarkSpread is the distance to what holds, where all nodes see it and where
// a search is left round the corners.
func BenchmarkSpread(b *testing.B) {
	s := survey(b, meshtest.Blocks(add(0, 0, 0, 240, 150, 33), cut(3, 0, 0, 237, 147, 30), add(80, 60, 0, 160, 70, 30)), Defaults())
	sheet := s.pieces[0].laid(s.rise()+0.5, s.Settings.Nozzle)
	b.Run("straight", func(b *testing.B) {
		for b.Loop() {
			sheet.spread(sheet.rims, nil)
		}
	})
	b.Run("searched", func(b *testing.B) {
		for b.Loop() {
			sheet.spreadFrom(sheet.rims, nil, 1e-12) // a rise, if none to speak of, takes the search
		}
	})
}
