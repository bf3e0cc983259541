package span

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// The quick ways over a lattice without steps must agree with those that ask every
// neighbour.
func TestQuickWaysOverALattice(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 7))
	apart := 0
	for trial := range 60 {
		s := scribble(r).sheet()
		clear := slices.Clone(s.clear)
		s.findClearCliffs()
		if !slices.Equal(clear, s.clear) {
			t.Fatalf("trial %d: how far the border is differs", trial)
		}
		// Cut the lattice by lines, so that it falls into patches, and hold one side.
		for range 1 + r.IntN(3) {
			x, y, across := r.IntN(s.nx), r.IntN(s.ny), r.IntN(2) == 0
			for n, i := range s.at {
				if ix, iy := int(i)%s.nx, int(i)/s.nx; s.id[i] >= 0 && (across && iy == y || !across && ix == x) {
					s.id[i] = -2 - int32(n)
				}
			}
		}
		s.at, s.pts = s.at[:0], s.pts[:0]
		for i, n := range s.id {
			if n >= 0 {
				s.id[i] = int32(len(s.at))
				s.at = append(s.at, int32(i))
				s.pts = append(s.pts, s.centre(i%s.nx, i/s.nx))
			} else {
				s.id[i] = -1
			}
		}
		for i := range s.rims {
			s.rims[i].held = r.IntN(8) == 0
		}
		quick, flood := s.patches(), s.flood()
		for n := range s.at {
			want := flood == nil || flood(int32(n))
			if got := quick == nil || quick(int32(n)); got != want {
				t.Fatalf("trial %d, node %d: reached %v, want %v", trial, n, got, want)
			}
			if !want {
				apart++
			}
		}
	}
	if apart < 1000 {
		t.Errorf("%d nodes apart prove little", apart)
	}
}
