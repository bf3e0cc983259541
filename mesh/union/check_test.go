package union

import (
	"slices"
	"strings"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// A block with its top taken off and put back by a fan round a new vertex is
// sound; each knock-out of it must be seen.
func TestCheckSeesEachFault(t *testing.T) {
	block := meshtest.Blocks(meshtest.Add(0, 0, 0, 4, 4, 4))
	fan := func() *change {
		c := &change{keepRest: true, fresh: [][3]float32{{2, 2, 5}}}
		for i, k := range block.Triangles {
			if block.Vertices[k[0]][2] == 4 && block.Vertices[k[1]][2] == 4 && block.Vertices[k[2]][2] == 4 {
				c.touched, c.stay = append(c.touched, int32(i)), append(c.stay, false)
			}
		}
		rim := map[[2]int32]bool{}
		for _, i := range c.touched {
			k := block.Triangles[i]
			for e := range 3 {
				u, v := k[e], k[(e+1)%3]
				if rim[[2]int32{v, u}] {
					delete(rim, [2]int32{v, u})
				} else {
					rim[[2]int32{u, v}] = true
				}
			}
		}
		for e := range rim {
			c.added = append(c.added, [3]int32{e[0], e[1], -1})
		}
		return c
	}
	if err := fan().check(block); err != nil {
		t.Fatalf("a sound change is refused: %v", err)
	}
	cases := []struct {
		want  string
		spoil func(c *change, m *mesh.Mesh)
	}{
		{"open", func(c *change, _ *mesh.Mesh) { c.added = c.added[1:] }},
		{"only touch", func(c *change, _ *mesh.Mesh) {
			// A second cap, upside down and wide, hung up by its tip at the fan's.
			c.fresh = append(c.fresh, [3]float32{1, 1, 9}, [3]float32{3, 1, 9}, [3]float32{2, 3, 9})
			c.added = append(c.added, [3]int32{-1, -3, -2}, [3]int32{-1, -4, -3}, [3]int32{-1, -2, -4}, [3]int32{-2, -3, -4})
		}},
		{"twice", func(c *change, _ *mesh.Mesh) { c.added = append(c.added, c.added[0]) }},
		{"without area", func(c *change, m *mesh.Mesh) {
			k := c.added[0]
			p, q := m.Vertices[k[0]], m.Vertices[k[1]]
			c.fresh[0] = [3]float32{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2, (p[2] + q[2]) / 2}
		}},
		{"edge between old", func(c *change, m *mesh.Mesh) {
			// Closed, sound, and on an edge that a triangle elsewhere may have:
			// the fan's triangle over one edge of the rim becomes two, with a
			// diagonal down to a corner of the bottom.
			u, v := c.added[0][0], c.added[0][1]
			low := int32(-1)
			for i, p := range m.Vertices {
				if p[2] == 0 && p[0] != m.Vertices[u][0] && p[1] != m.Vertices[u][1] {
					low = int32(i)
				}
			}
			c.added = append(c.added[1:], [3]int32{u, low, -1}, [3]int32{low, v, -1}, [3]int32{u, v, low})
		}},
		{"in one place", func(c *change, m *mesh.Mesh) { c.fresh[0] = m.Vertices[c.added[0][0]] }},
		{"in one place", func(c *change, _ *mesh.Mesh) {
			c.fresh = append(c.fresh, c.fresh[0])
			c.added[0][2] = -2
		}},
	}
	cases = append(cases, struct {
		want  string
		spoil func(c *change, m *mesh.Mesh)
	}{"place of an old one", func(c *change, m *mesh.Mesh) {
		// A triangle of the bottom was looked at and stays; the fan's tip moves
		// into a corner of it.
		for i, k := range m.Triangles {
			if m.Vertices[k[0]][2] == 0 && m.Vertices[k[1]][2] == 0 && m.Vertices[k[2]][2] == 0 {
				c.touched, c.stay = append(c.touched, int32(i)), append(c.stay, true)
				c.fresh[0] = m.Vertices[k[0]]
				break
			}
		}
	}})
	for _, k := range cases {
		c := fan()
		k.spoil(c, block)
		if err := c.check(block); err == nil || !strings.Contains(err.Error(), k.want) {
			t.Errorf("%q: got %v", k.want, err)
		}
	}
}

// What keeps only the inside is held as a whole: the same knock-outs.
func TestCheckSeesEachFaultOfAnInside(t *testing.T) {
	whole := func() *change {
		b := meshtest.Blocks(meshtest.Add(0, 0, 0, 4, 4, 4))
		c := &change{fresh: slices.Clone(b.Vertices)}
		for _, k := range b.Triangles {
			c.added = append(c.added, [3]int32{-1 - k[0], -1 - k[1], -1 - k[2]})
		}
		return c
	}
	none := &mesh.Mesh{}
	if err := whole().check(none); err != nil {
		t.Fatalf("a sound change is refused: %v", err)
	}
	for _, k := range []struct {
		want  string
		spoil func(c *change)
	}{
		{"open", func(c *change) { c.added = c.added[1:] }},
		{"open", func(c *change) { k := &c.added[0]; k[0], k[1] = k[1], k[0] }},
		{"without area", func(c *change) {
			c.fresh = append(c.fresh, [3]float32{9, 9, 9}, [3]float32{10, 10, 10}, [3]float32{11, 11, 11})
			n := int32(-len(c.fresh))
			c.added = append(c.added, [3]int32{n, n + 1, n + 2}, [3]int32{n + 1, n, n + 2})
		}},
		{"in one place", func(c *change) { c.fresh[0] = c.fresh[1] }},
	} {
		c := whole()
		k.spoil(c)
		if err := c.check(none); err == nil || !strings.Contains(err.Error(), k.want) {
			t.Errorf("%q: got %v", k.want, err)
		}
	}
}

// The judge of random results sees each way in which the guarantee of the
// package could be broken.
func TestJudgeSeesEachFault(t *testing.T) {
	part := meshtest.Subdivide(meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 20, 20)), 1)
	good := func() *Result {
		r, err := Unite(part, []*mesh.Mesh{slab(8, 8, 15, 9, 12, 25)})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	if err := new(tally).judge(part, good()); err != nil {
		t.Fatal(err)
	}
	fresh := func(r *Result) int { // the first new triangle
		for i, s := range r.Source {
			if s < 0 {
				return i
			}
		}
		panic("no new triangle")
	}
	tip := func(r *Result) int32 { // a new vertex on top of the slab
		for v, p := range r.Mesh.Vertices {
			if p[2] > 24 {
				return int32(v)
			}
		}
		panic("no top")
	}
	// flake lays a tetrahedron on, from vertex v up or apart from all, and puts its
	// volume right.
	flake := func(r *Result, v int32, high float32) {
		m := r.Mesh
		before := meshtest.Volume(m)
		n := int32(len(m.Vertices))
		if v < 0 {
			v = n
			m.Vertices = append(m.Vertices, vec{10, 10, 28 + high})
			n++
		}
		m.Vertices = append(m.Vertices, vec{9, 9, 28}, vec{12, 9, 28}, vec{9, 12, 28})
		for _, k := range [4][3]int32{{n, n + 2, n + 1}, {n, n + 1, v}, {n + 1, n + 2, v}, {n + 2, n, v}} {
			if high < 0 {
				k[1], k[2] = k[2], k[1]
			}
			m.Triangles, r.Source = append(m.Triangles, k), append(r.Source, -1)
		}
		r.Report.Overlap += before - meshtest.Volume(m)
	}
	for _, k := range []struct {
		want  string
		spoil func(r *Result)
	}{
		{"pinched", func(r *Result) { flake(r, tip(r), -1) }},
		{"skin", func(r *Result) { flake(r, -1, 2e-6) }},
		{"pierces", func(r *Result) {
			before := meshtest.Volume(r.Mesh)
			r.Mesh.Vertices[tip(r)] = vec{10, 11, 18} // down through the part's top
			r.Report.Overlap += before - meshtest.Volume(r.Mesh)
		}},
		{"moved", func(r *Result) { r.Report.Move = 1.1e-3 }},
		{"open edge", func(r *Result) {
			r.Mesh.Triangles, r.Source = r.Mesh.Triangles[:len(r.Source)-1], r.Source[:len(r.Source)-1]
		}},
		{"flipped", func(r *Result) {
			k := &r.Mesh.Triangles[fresh(r)]
			k[0], k[1] = k[1], k[0]
		}},
		{"crowded", func(r *Result) {
			r.Mesh.Triangles, r.Source = append(r.Mesh.Triangles, r.Mesh.Triangles[fresh(r)]), append(r.Source, -1)
		}},
		{"has changed", func(r *Result) { r.Mesh.Vertices[r.Mesh.Triangles[0][0]][0] -= 1 }},
		{"out of order", func(r *Result) {
			r.Mesh.Triangles[0], r.Mesh.Triangles[1] = r.Mesh.Triangles[1], r.Mesh.Triangles[0]
			r.Source[0], r.Source[1] = r.Source[1], r.Source[0]
		}},
		{"after a new one", func(r *Result) {
			n := len(r.Source)
			r.Mesh.Triangles[0], r.Mesh.Triangles[n-1] = r.Mesh.Triangles[n-1], r.Mesh.Triangles[0]
			r.Source[0], r.Source[n-1] = r.Source[n-1], r.Source[0]
		}},
		{"volume off", func(r *Result) { r.Report.Overlap += 0.01 }},
		{"volume off", func(r *Result) { r.Mesh.Vertices[tip(r)][2] += 1 }},
		{"twin", func(r *Result) {
			v := tip(r)
			r.Mesh.Vertices = append(r.Mesh.Vertices, r.Mesh.Vertices[v])
		}},
		{"degenerate", func(r *Result) {
			k := r.Mesh.Triangles[fresh(r)]
			for c := range 3 {
				r.Mesh.Vertices[k[2]][c] = (r.Mesh.Vertices[k[0]][c] + r.Mesh.Vertices[k[1]][c]) / 2
			}
		}},
	} {
		r := good()
		k.spoil(r)
		if err := new(tally).judge(part, r); err == nil || !strings.Contains(err.Error(), k.want) {
			t.Errorf("%q: got %v", k.want, err)
		}
	}
}
