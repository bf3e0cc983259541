package union

import (
	"errors"
	"fmt"

	"falsework/mesh"
)

// Combine returns the tools as one solid. They stay where they are, but for
// rounding. It may have several shells, or no triangle at all. A tool whose
// own shells overlap is taken body by body, a body being a shell that faces
// outwards with the cavities in it.
//
// Bodies that lie well apart, as ribs do, and as the braces across them do,
// need no uniting among themselves: they are laid together first, and only
// what may meet is united. So a rib is cut once for all its braces, which
// leaves fewer triangles than cutting it again and again, and takes a fraction
// of the time.
func Combine(tools []*mesh.Mesh) (*mesh.Mesh, error) {
	groups, err := apart(tools)
	if err != nil {
		return nil, err
	}
	var first error
	for n := range max(1, min(len(groups), orders)) {
		all, err := lay(append(groups[n:len(groups):len(groups)], groups[:n]...), tools)
		if err == nil {
			return all, nil
		}
		if first == nil {
			first = err
		}
	}
	return nil, first
}

// orders is how many are tried. Rounding may lay a corner of two solids through
// them by a unit in the last place, and a third one that comes by there finds
// no inside. Laid in another order, they have another corner.
const orders = 4

// lay unites the groups one after another.
func lay(groups []*group, tools []*mesh.Mesh) (_ *mesh.Mesh, err error) {
	all := &mesh.Mesh{}
	done := make([]*mesh.Mesh, len(tools)) // those that are in it, the others empty
	for i := range done {
		done[i] = &mesh.Mesh{}
	}
	for _, g := range groups {
		if len(all.Triangles) == 0 {
			all = g.mesh()
		} else if c, err := solve(all, nil, g.mesh(), combine); err == nil {
			all, _ = c.apply(all)
		} else if all, err = g.addTo(all, done, tools); err != nil {
			return nil, err
		}
		for _, b := range g.bodies {
			done[b.tool] = tools[b.tool]
		}
	}
	return all, nil
}

// A group is bodies whose boxes do not meet.
type group struct{ bodies []ownBody }

// An ownBody is a body of a tool.
type ownBody struct {
	*mesh.Mesh
	tool int
	box  mesh.Box
}

// apart checks the tools and sorts their bodies into groups: each goes to the
// first where it meets no other.
func apart(tools []*mesh.Mesh) ([]*group, error) {
	var groups []*group
	for i, t := range tools {
		if err := checkTool(t, i); err != nil {
			return nil, err
		}
		for _, p := range pieces(t) {
			b := ownBody{p, i, p.Bounds()}
			n := 0
			for n < len(groups) && groups[n].meets(b.box) {
				n++
			}
			if n == len(groups) {
				groups = append(groups, &group{})
			}
			groups[n].bodies = append(groups[n].bodies, b)
		}
	}
	return groups, nil
}

func (g *group) meets(b mesh.Box) bool {
	for i := range g.bodies {
		if overlap(g.bodies[i].box, b) {
			return true
		}
	}
	return false
}

// mesh returns the bodies as one mesh.
func (g *group) mesh() *mesh.Mesh {
	if len(g.bodies) == 1 {
		return g.bodies[0].Mesh
	}
	m := &mesh.Mesh{}
	for _, b := range g.bodies {
		n := int32(len(m.Vertices))
		m.Vertices = append(m.Vertices, b.Vertices...)
		for _, k := range b.Triangles {
			m.Triangles = append(m.Triangles, [3]int32{k[0] + n, k[1] + n, k[2] + n})
		}
	}
	return m
}

// addTo unites the bodies with a solid one by one. What is wrong is put to the
// tool it is found in: that of the body, or one of those done before.
func (g *group) addTo(all *mesh.Mesh, done, tools []*mesh.Mesh) (*mesh.Mesh, error) {
	for _, b := range g.bodies {
		r, err := run(all, b.Mesh, combine, false)
		if err == nil {
			all = r.Mesh
			done[b.tool] = tools[b.tool]
			continue
		}
		var own *broken
		if errors.As(err, &own) && own.own == 0 {
			return nil, blame(&broken{own.kind, 1, own.at}, func(at [3]float64) int { return nearest(done, at) })
		}
		if err = blame(err, func([3]float64) int { return b.tool }); errors.Is(err, ErrNotConverged) {
			err = fmt.Errorf("added solid %d: %w", b.tool+1, err)
		}
		return nil, err
	}
	return all, nil
}
