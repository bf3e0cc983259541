package union

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
)

// few is how many random cases a test takes by default.
func few(n, many int) uint64 {
	if property.Long() {
		return uint64(many)
	}
	return uint64(n)
}

// A stance is what must not change when the same solids are given otherwise.
type stance struct {
	volume        float64
	genus, shells int
}

// stand unites without moving anything, so that the same solids stay the same.
func stand(part *mesh.Mesh, tools []*mesh.Mesh) (s stance, tool float64, err error) {
	all, err := Combine(tools)
	if err != nil {
		return s, 0, err
	}
	r, err := run(part, all, combine, false)
	if err != nil {
		return s, 0, err
	}
	if f := meshtest.Faults(r.Mesh); len(f) > 0 {
		return s, 0, fmt.Errorf("%v", f[0])
	}
	// About the middle of the part, so that far places cost no digits.
	return stance{r.Report.Volume, meshtest.Genus(r.Mesh), meshtest.Shells(r.Mesh)}, r.Report.ToolVolume, nil
}

// The order of the ribs, a quarter turn, a mirror and a finer mesh change
// neither volume nor genus.
func TestGivenOtherwise(t *testing.T) {
	t.Parallel()
	worst := 0.0
	for seed := range few(1, 400) {
		tr := randomTrial(seed)
		// On a grid of 2^-10 that quarter turns and halves of sides keep.
		b := tr.part.Bounds()
		wide := max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1], b.Max[2]-b.Min[2])
		grid := math.Exp2(math.Ceil(math.Log2(wide)) - 17)
		snap := func(m *mesh.Mesh) *mesh.Mesh {
			return meshtest.Warp(m, func(p [3]float64) [3]float64 {
				for k := range 3 {
					p[k] = math.Round((p[k]-b.Min[k])/grid) * grid
				}
				return p
			})
		}
		part := snap(tr.part)
		tools := make([]*mesh.Mesh, len(tr.tools))
		for i := range tools {
			tools[i] = snap(tr.tools[i])
		}
		if len(meshtest.Faults(part)) > 0 || slices.ContainsFunc(tools, func(m *mesh.Mesh) bool { return len(meshtest.Faults(m)) > 0 }) {
			continue
		}
		each := func(f func(*mesh.Mesh) *mesh.Mesh) (*mesh.Mesh, []*mesh.Mesh) {
			var out []*mesh.Mesh
			for _, m := range tools {
				out = append(out, f(m))
			}
			return f(part), out
		}
		want, volume, err := stand(part, tools)
		if err != nil {
			t.Errorf("seed %d: %v", seed, err)
			continue
		}
		try := func(name string, part *mesh.Mesh, tools []*mesh.Mesh) {
			got, _, err := stand(part, tools)
			if err != nil {
				t.Errorf("seed %d, %s: %v", seed, name, err)
				return
			}
			off := math.Abs(got.volume-want.volume) / volume
			worst = max(worst, off)
			if off > 1e-4 || got.genus != want.genus || got.shells != want.shells {
				t.Errorf("seed %d, %s: %+v, want %+v", seed, name, got, want)
			}
		}
		back := slices.Clone(tools)
		slices.Reverse(back)
		try("ribs in reverse", part, back)
		for axis, name := range []string{"x", "y", "z"} {
			var a [3]float64
			a[axis] = 1
			p, ts := each(func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Turn(m, a, 90) })
			try("a quarter turn about "+name, p, ts)
			p, ts = each(func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Mirror(m, axis) })
			try("mirrored along "+name, p, ts)
		}
		try("part split", meshtest.Subdivide(part, 1), tools)
		p, ts := each(func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Subdivide(m, 1) })
		try("all split", p, ts)
	}
	t.Logf("volumes agree to %.2g of the ribs'", worst)
}

// Before rounding the volumes add up to 1e-9: what a union says it left out of
// either solid is what an intersection says it kept of both, though the two
// split every cut triangle into other pieces.
func TestVolumesBeforeRounding(t *testing.T) {
	t.Parallel()
	worst := 0.0
	for seed := range few(8, 2000) {
		tr := randomTrial(seed)
		all, err := Combine(tr.tools)
		if err != nil {
			t.Fatal(err)
		}
		all = shifted(all, draw(all, 0))
		size := volume(all)
		var overlap [3]float64
		for i, op := range []operation{unite, intersect, subtract} {
			c, err := solve(tr.part, nil, all, op)
			if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			overlap[i] = c.overlap
		}
		for _, o := range overlap[1:] {
			off := math.Abs(o-overlap[0]) / size
			worst = max(worst, off)
			if off > 1e-9 {
				t.Errorf("seed %d: overlaps %v differ by %.2g of the ribs' volume %g", seed, overlap, off, size)
			}
		}
	}
	t.Logf("volumes agree to %.2g of the ribs'", worst)
}

// Nothing of the part is lost and nothing else is added: along random lines
// the result is where the part or a rib is. Lines and rays know nothing of how
// the surface was cut.
func TestResultAlongLines(t *testing.T) {
	t.Parallel()
	for seed := range few(8, 500) {
		tr := randomTrial(seed)
		r, err := Unite(tr.part, tr.tools)
		if err != nil {
			t.Fatal(err)
		}
		b := tr.part.Bounds()
		rnd := rand.New(rand.NewPCG(seed, 99))
		size := max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1], b.Max[2]-b.Min[2])
		u := max(ulp(rounded(b.Min)), ulp(rounded(b.Max)))
		for range 12 {
			// Towards a point of a rib, or of the part's box.
			var p, d [3]float64
			m := tr.tools[rnd.IntN(len(tr.tools))]
			q := m.Corner(rnd.IntN(len(m.Triangles)), 0)
			length := 0.0
			for k := range 3 {
				p[k] = b.Min[k] + rnd.Float64()*(b.Max[k]-b.Min[k])
				to := float64(q[k]) + (rnd.Float64()-0.5)*0.01*size
				if rnd.IntN(2) == 0 {
					to = b.Min[k] + rnd.Float64()*(b.Max[k]-b.Min[k])
				}
				d[k] = to - p[k]
				length += d[k] * d[k]
			}
			for k := range 3 {
				d[k] /= math.Sqrt(length)
			}
			want := meshtest.Chords(tr.part, p, d)
			for _, tool := range tr.tools {
				want = append(want, meshtest.Chords(shifted(tool, r.Report.Shift), p, d)...)
			}
			// Where a line runs along a face, a hair of rounding is a long way:
			// it is the length of what differs that counts.
			got := total(meshtest.Chords(r.Mesh, p, d))
			both := total(append(meshtest.Chords(r.Mesh, p, d), want...))
			if all := total(want); math.Abs(both-all) > 1e-4*size+100*u || math.Abs(both-got) > 1e-4*size+100*u {
				t.Errorf("seed %d: along %v from %v the result is %.6g long, part and ribs %.6g, together %.6g", seed, d, p, got, all, both)
			}
		}
	}
}

// total is the length of the union of stretches of a line.
func total(s [][2]float64) (sum float64) {
	slices.SortFunc(s, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	end := math.Inf(-1)
	for _, x := range s {
		if x[1] > end {
			sum += x[1] - max(end, x[0])
			end = x[1]
		}
	}
	return sum
}
