package union

import (
	"slices"

	"falsework/mesh"
)

// A shell is a piece of a surface that hangs together over its vertices.
type shell struct {
	box    mesh.Box
	volume float64
	tris   []int32
}

// shellsOf numbers the shells of a mesh in the order of their first triangles
// and tells for each triangle which one it belongs to.
func shellsOf(m *mesh.Mesh) (of []int32, shells []shell) {
	l := newLevels(len(m.Vertices))
	for _, k := range m.Triangles {
		l.tie(k[0], k[1], 0)
		l.tie(k[1], k[2], 0)
	}
	number := make(map[int32]int32)
	of = make([]int32, len(m.Triangles))
	for i, k := range m.Triangles {
		r, _ := l.root(k[0])
		n, ok := number[r]
		if !ok {
			n = int32(len(shells))
			number[r] = n
			shells = append(shells, shell{})
		}
		of[i] = n
		shells[n].tris = append(shells[n].tris, int32(i))
	}
	for i := range shells {
		s := &shells[i]
		part := &mesh.Mesh{Vertices: m.Vertices}
		for _, t := range s.tris {
			part.Triangles = append(part.Triangles, m.Triangles[t])
		}
		s.box, s.volume = part.Bounds(), volume(part)
	}
	return of, shells
}

// A body is a shell that faces outwards with the cavities in it.
type body struct {
	of     []int32 // shell of each triangle of the mesh
	shells []int32
}

// bodies groups the shells of a mesh: each that faces inwards goes to the
// smallest other one that holds it. One that none holds stands alone.
func bodies(m *mesh.Mesh) []body {
	of, shells := shellsOf(m)
	corners := func(i int32) (a, b, c vec) {
		k := m.Triangles[i]
		return m.Vertices[k[0]], m.Vertices[k[1]], m.Vertices[k[2]]
	}
	var out []body
	at := make([]int, len(shells))
	for i, s := range shells {
		if s.volume >= 0 {
			at[i] = len(out)
			out = append(out, body{of, []int32{int32(i)}})
		}
	}
	for i, s := range shells {
		if s.volume >= 0 {
			continue
		}
		p, _, _ := corners(s.tris[0])
		best := -1
		for j, o := range shells {
			if o.volume < 0 || !overlap(o.box, s.box) || (*motion)(nil).winding(0, corners, o.tris, p) == 0 {
				continue
			}
			if best < 0 || o.volume < shells[best].volume {
				best = j
			}
		}
		if best < 0 {
			out = append(out, body{of, []int32{int32(i)}})
			continue
		}
		b := &out[at[best]]
		b.shells = append(b.shells, int32(i))
	}
	return out
}

// pieces returns the bodies of a solid as meshes of their own.
func pieces(m *mesh.Mesh) []*mesh.Mesh {
	all := bodies(m)
	if len(all) == 1 {
		return []*mesh.Mesh{m}
	}
	var out []*mesh.Mesh
	for _, b := range all {
		var ids []int32
		for t := range m.Triangles {
			if slices.Contains(b.shells, b.of[t]) {
				ids = append(ids, int32(t))
			}
		}
		o := local(m, ids)
		out = append(out, &mesh.Mesh{Vertices: o.v, Triangles: o.t})
	}
	return out
}
