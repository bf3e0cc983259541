package section

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// A list dealt out is in the order that the library sorts it to, wherever its
// points lie: spread, in columns, all in one, at the ends of the grid.
func TestSortAsLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{0, 1, 11, 47, 48, 500, 5000} {
		for name, point := range map[string]func() ipt{
			"spread":  func() ipt { return ipt{r.Int32() - 1<<30, r.Int32() - 1<<30} },
			"columns": func() ipt { return ipt{r.Int32N(4) * 1000, r.Int32N(1000) - 500} },
			"one":     func() ipt { return ipt{-7, r.Int32N(100)} },
			"ends":    func() ipt { return ipt{[2]int32{math.MinInt32, math.MaxInt32}[r.IntN(2)], r.Int32N(9)} },
		} {
			es, ps := make([]edge, n), make([]ipt, n)
			for i := range es {
				es[i] = edge{a: point(), b: point()}
				ps[i] = point()
			}
			byKeys := func(e, f edge) int {
				return cmp.Or(compare(e.a, f.a), compare(e.b, f.b))
			}
			want, points := slices.Clone(es), slices.Clone(ps)
			slices.SortFunc(want, byKeys)
			slices.SortFunc(points, compare)
			o := takeOverlay()
			o.sortEdges(es)
			o.sortPoints(ps)
			o.done(nil)
			if !slices.Equal(es, want) {
				t.Errorf("%d edges, %s: not in order", n, name)
			}
			if !slices.Equal(ps, points) {
				t.Errorf("%d points, %s: not in order", n, name)
			}
		}
	}
}

// BenchmarkSortEdges sorts the edges of a section with many columns.
func BenchmarkSortEdges(b *testing.B) {
	r := rand.New(rand.NewPCG(3, 4))
	es := make([]edge, 4096)
	for i := range es {
		es[i] = edge{a: ipt{r.Int32N(1 << 28), r.Int32N(1 << 28)}, b: ipt{r.Int32N(1 << 28), r.Int32N(1 << 28)}}
	}
	work, o := make([]edge, len(es)), new(overlay)
	for b.Loop() {
		copy(work, es)
		o.sortEdges(work)
	}
}
