package union

import (
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
	for _, k := range cases {
		c := fan()
		k.spoil(c, block)
		if err := c.check(block); err == nil || !strings.Contains(err.Error(), k.want) {
			t.Errorf("%q: got %v", k.want, err)
		}
	}
}
