package mend_test

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"falsework/mesh"
	"falsework/mesh/mend"
	"falsework/mesh/meshtest"
)

var bg = context.Background()

// A soup is a surface as a file holds it: triangles by coordinates.
type soup [][3][3]float32

func soupOf(m *mesh.Mesh) (s soup) {
	for t := range m.Triangles {
		s = append(s, [3][3]float32{m.Corner(t, 0), m.Corner(t, 1), m.Corner(t, 2)})
	}
	return s
}

// weld makes a mesh of a soup the way a file is read.
func (s soup) weld() *mesh.Mesh {
	b := make([]byte, mesh.RecordSize*len(s))
	for t, tri := range s {
		for c, p := range tri {
			for i, x := range p {
				binary.LittleEndian.PutUint32(b[t*mesh.RecordSize+12+12*c+4*i:], math.Float32bits(x))
			}
		}
	}
	m, err := mesh.Weld(bg, b)
	if err != nil {
		panic(err)
	}
	return m
}

// The base of all broken files: a block of 20 x 30 x 40 with a window through it, triangles of
// about 2.5 mm, and a ball of radius 5 beside it.
func base() *mesh.Mesh {
	block := meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 30, 40), meshtest.Cut(5, 0, 10, 15, 30, 20))
	return meshtest.Join(meshtest.Subdivide(block, 2), meshtest.Move(meshtest.Sphere(5, 24), 40, 15, 20))
}

// nearest returns the triangle whose middle is nearest to a point.
func (s soup) nearest(x, y, z float64) int {
	best, at := math.Inf(1), 0
	for t, tri := range s {
		d := 0.0
		for i, q := range [3]float64{x, y, z} {
			m := float64(tri[0][i]+tri[1][i]+tri[2][i])/3 - q
			d += m * m
		}
		if d < best {
			best, at = d, t
		}
	}
	return at
}

func mid(p, q [3]float32) [3]float32 {
	return [3]float32{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2, (p[2] + q[2]) / 2}
}

func reverse(t [3][3]float32) [3][3]float32 { return [3][3]float32{t[0], t[2], t[1]} }

// Each defect has a place of its own, so that any two can be had together.
type defect struct {
	name  string
	brk   func(s *soup)
	mends []mend.Kind    // expected, when it can be mended
	fault mesh.FaultKind // expected, when it cannot
}

var tol = mend.Tolerance(base().Bounds())

func defects() []defect {
	// drop removes the triangles for which f holds.
	drop := func(s *soup, f func(t [3][3]float32) bool) { *s = slices.DeleteFunc(*s, f) }
	all := func(t [3][3]float32, axis int, at float32) bool {
		return t[0][axis] == at && t[1][axis] == at && t[2][axis] == at
	}
	crack := func(s *soup, by float32) { // a crack round the block at z = 30, one side moved
		for t := range *s {
			tri := &(*s)[t]
			if tri[0][0] > 25 || min(tri[0][2], tri[1][2], tri[2][2]) < 30 {
				continue
			}
			for c := range tri {
				if tri[c][2] == 30 {
					tri[c][1] += by
				}
			}
		}
	}
	return []defect{
		{"doubled triangle", func(s *soup) { *s = append(*s, (*s)[s.nearest(0, 10, 35)]) }, []mend.Kind{mend.Duplicate}, 0},
		{"doubled back to back", func(s *soup) { *s = append(*s, reverse((*s)[s.nearest(0, 20, 35)])) }, []mend.Kind{mend.Duplicate}, 0},
		{"corner named twice", func(s *soup) {
			t := (*s)[s.nearest(0, 10, 5)]
			*s = append(*s, [3][3]float32{t[0], t[1], t[0]})
		}, []mend.Kind{mend.Degenerate}, 0},
		{"triangle in line", func(s *soup) { // one side of an edge split, the gap filled by a triangle in line
			i := s.nearest(0, 22, 4)
			t := (*s)[i]
			w := mid(t[0], t[1])
			(*s)[i] = [3][3]float32{t[0], w, t[2]}
			*s = append(*s, [3][3]float32{w, t[1], t[2]}, [3][3]float32{t[0], t[1], w})
		}, []mend.Kind{mend.Degenerate}, 0},
		{"turned triangle", func(s *soup) { i := s.nearest(20, 10, 35); (*s)[i] = reverse((*s)[i]) }, []mend.Kind{mend.Turned}, 0},
		{"turned patch", func(s *soup) {
			for t, tri := range *s {
				if all(tri, 0, 20) && tri[0][1] < 15 && tri[1][1] < 15 && tri[2][1] < 15 && tri[0][2] < 9 && tri[1][2] < 9 && tri[2][2] < 9 {
					(*s)[t] = reverse(tri)
				}
			}
		}, []mend.Kind{mend.Turned}, 0},
		{"missing triangle", func(s *soup) { i := s.nearest(20, 22, 35); *s = slices.Delete(*s, i, i+1) }, []mend.Kind{mend.Hole}, 0},
		{"missing patch of a facet", func(s *soup) {
			drop(s, func(t [3][3]float32) bool {
				c := [2]float32{(t[0][1] + t[1][1] + t[2][1]) / 3, (t[0][2] + t[1][2] + t[2][2]) / 3}
				return all(t, 0, 20) && c[0] > 17 && c[0] < 27 && c[1] > 3 && c[1] < 8
			})
		}, []mend.Kind{mend.Hole}, 0},
		{"hairline seam", func(s *soup) { crack(s, float32(0.4*tol)) }, []mend.Kind{mend.Seam}, 0},
		{"T-junction", func(s *soup) {
			i := s.nearest(10, 8, 40)
			t := (*s)[i]
			w := mid(t[1], t[2])
			(*s)[i] = [3][3]float32{t[0], t[1], w}
			*s = append(*s, [3][3]float32{t[0], w, t[2]})
		}, []mend.Kind{mend.TJunction}, 0},
		{"ball inside out", func(s *soup) {
			for t, tri := range *s {
				if tri[0][0] > 30 {
					(*s)[t] = reverse(tri)
				}
			}
		}, []mend.Kind{mend.Shell}, 0},
		{"missing triangles that touch", func(s *soup) { // two holes that share a vertex, perhaps an edge
			i := s.nearest(10, 22, 40)
			v := (*s)[i][0]
			*s = slices.Delete(*s, i, i+1)
			j := slices.IndexFunc(*s, func(t [3][3]float32) bool { return all(t, 2, 40) && slices.Contains(t[:], v) })
			*s = slices.Delete(*s, j, j+1)
		}, []mend.Kind{mend.Hole}, 0},
		{"missing lid", func(s *soup) { drop(s, func(t [3][3]float32) bool { return all(t, 2, 0) }) }, nil, mesh.OpenEdge},
		{"wide crack", func(s *soup) { crack(s, float32(40*tol)) }, nil, mesh.OpenEdge},
		{"fin", func(s *soup) {
			t := (*s)[s.nearest(10, 30, 30)]
			*s = append(*s, [3][3]float32{t[0], t[1], {10, 45, 30}})
		}, nil, mesh.OpenEdge},
		{"stray triangle", func(s *soup) { *s = append(*s, [3][3]float32{{60, 0, 0}, {70, 0, 0}, {60, 9, 9}}) }, nil, mesh.OpenEdge},
		{"wall within", func(s *soup) { // a closed body with one triangle of the block as its own
			t := (*s)[s.nearest(10, 30, 5)]
			p := [3]float32{10, 15, 5}
			*s = append(*s, [3][3]float32{t[0], t[1], p}, [3][3]float32{t[1], t[2], p}, [3][3]float32{t[2], t[0], p})
		}, nil, mesh.Unbalanced},
	}
}

// Each defect alone and each two together: what can be mended is, as
// announced; what cannot is refused with the kind of fault and a place.
func TestTableOfBrokenFiles(t *testing.T) {
	ds := defects()
	volume, area := base().Volume(), base().Area()
	files := 0
	for i, a := range ds {
		for j := i; j < len(ds); j++ {
			b := ds[j]
			s := soupOf(base())
			name, set := a.name, []defect{a}
			a.brk(&s)
			if j > i {
				if a.name == "hairline seam" && b.name == "wide crack" {
					continue // the same crack
				}
				b.brk(&s)
				name, set = a.name+" and "+b.name, append(set, b)
			}
			files++
			t.Run(name, func(t *testing.T) { checkMend(t, s.weld(), set, volume, area) })
		}
	}
	if files < 60 {
		t.Errorf("%d broken files, want 60 at least", files)
	}
	t.Logf("%d broken files", files)
}

func checkMend(t *testing.T, m *mesh.Mesh, set []defect, volume, area float64) {
	r, err := mend.Surface(bg, m)
	var wanted []mend.Kind
	refuse := false
	for _, d := range set {
		wanted = append(wanted, d.mends...)
		refuse = refuse || d.fault != 0
	}
	if refuse {
		var u *mend.Unmendable
		if !errors.As(err, &u) {
			t.Fatalf("result %v, error %v, want a refusal", r, err)
		}
		if ok := slices.ContainsFunc(set, func(d defect) bool { return d.fault == u.Fault.Kind }); !ok {
			t.Errorf("refused for %v: %v", u.Fault.Kind, err)
		}
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	meshtest.Check(t, r.Mesh)
	if v := r.Mesh.Volume(); math.Abs(v-volume) > area*r.Tolerance {
		t.Errorf("volume %g, want %g", v, volume)
	}
	for _, k := range wanted {
		if !slices.ContainsFunc(r.Mends, func(m mend.Mend) bool { return m.Kind == k && m.Count > 0 }) {
			t.Errorf("no mend of kind %d among %v", k, r.Mends)
		}
	}
	for _, x := range r.Mends {
		if !slices.Contains(wanted, x.Kind) {
			t.Errorf("mend not asked for: %v", x)
		}
	}
	checkSource(t, m, r)
}

// checkSource holds the promise about triangles that needed no mending, and
// that no vertex went further than the tolerance.
func checkSource(t *testing.T, in *mesh.Mesh, r *mend.Result) {
	t.Helper()
	if len(r.Source) != len(r.Mesh.Triangles) {
		t.Fatalf("%d sources for %d triangles", len(r.Source), len(r.Mesh.Triangles))
	}
	last := int32(-1)
	for i, s := range r.Source {
		if s < 0 {
			continue
		}
		if s <= last {
			t.Fatalf("triangle %d comes from %d, the one before it from %d", i, s, last)
		}
		last = s
		for c := range 3 {
			if r.Mesh.Corner(i, c) != in.Corner(int(s), c) {
				t.Fatalf("triangle %d is said to be %d but is not", i, s)
			}
		}
	}
	old := map[[3]float32]bool{}
	for _, p := range in.Vertices {
		old[p] = true
	}
	for _, p := range r.Mesh.Vertices {
		if !old[p] {
			t.Fatalf("vertex %v was not in the input", p)
		}
	}
	for _, m := range r.Mends {
		if m.Moved > r.Tolerance {
			t.Errorf("%v, tolerance %g", m, r.Tolerance)
		}
		if s := fmt.Sprint(m); s == "" || len(s) > 200 {
			t.Errorf("words %q", s)
		}
	}
}

func TestSoundSurfacesComeBackAsTheyAre(t *testing.T) {
	hollow := meshtest.Join(meshtest.Sphere(9, 24), meshtest.Flip(meshtest.Sphere(6, 24)))
	for _, m := range []*mesh.Mesh{base(), meshtest.RandomHouse(3).Mesh, hollow} {
		r, err := mend.Surface(bg, m)
		if err != nil || r.Mesh != m || r.Source != nil || len(r.Mends) != 0 || !r.Audit.Closed() {
			t.Errorf("result %+v, error %v", r, err)
		}
	}
}

func TestStops(t *testing.T) {
	ctx, cancel := context.WithCancel(bg)
	cancel()
	if _, err := mend.Surface(ctx, base()); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
}
