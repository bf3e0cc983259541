package union

import (
	"fmt"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// benchHouse is an open-fronted housing of 220 x 140 x 250 with 12 webs under
// its roof and 20 braces between them.
func benchHouse(times int) trial {
	h := meshtest.Blocks(meshtest.Add(0, 0, 0, 220, 140, 250), meshtest.Cut(3, 0, 3, 217, 137, 247))
	tr := trial{part: meshtest.Subdivide(h, times)}
	for i := range 12 {
		x := 3 + 214*float64(i+1)/13
		tr.tools = append(tr.tools, meshtest.PrismIn(meshtest.Upright(x, 0.4, 90), -0.25, 0.25, arch(136.7, 2.9, 247.1, 2)))
	}
	for i := range 20 {
		y, z := 1+float64(i%4)*35, 30+40*float64(i/4)
		tr.tools = append(tr.tools, meshtest.Blocks(meshtest.Add(2.9, y, z, 217.1, y+3.5, z+0.4)))
	}
	return tr
}

func BenchmarkUnite(b *testing.B) {
	for _, times := range []int{3, 5, 7} {
		tr := benchHouse(times)
		b.Run(fmt.Sprintf("triangles=%d", len(tr.part.Triangles)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				r, err := Unite(tr.part, tr.tools)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(len(r.Mesh.Triangles)-len(tr.part.Triangles)), "more")
			}
		})
	}
}

func BenchmarkCombine(b *testing.B) {
	tr := benchHouse(0)
	for b.Loop() {
		if _, err := Combine(tr.tools); err != nil {
			b.Fatal(err)
		}
	}
}

// hundreds of holes in one face, aligned, as notched crests make them.
func BenchmarkHoles(b *testing.B) {
	tr := combTrial(400)
	for b.Loop() {
		if _, err := Unite(tr.part, tr.tools); err != nil {
			b.Fatal(err)
		}
	}
}

// combTrial is a plate under which a comb of n nibs holds.
func combTrial(n int) trial {
	w := float64(n)
	comb := []meshtest.Block{meshtest.Add(1, 4, 0, w+1, 4.5, 5)}
	for i := range n {
		comb = append(comb, meshtest.Add(1.2+float64(i), 4, 5, 1.6+float64(i), 4.5, 5.3))
	}
	return trial{
		part:  meshtest.Blocks(meshtest.Add(0, 0, 5.2, w+2, 10, 8)),
		tools: []*mesh.Mesh{meshtest.Blocks(comb...)},
	}
}
