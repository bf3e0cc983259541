package main

import (
	"slices"

	"falsework/mesh"
)

// A point on a grid of one micron, so that every machine makes the same
// numbers and bricks meet exactly.
type point [3]int32

// A wall holds bricks laid face to face. Two bricks may meet only along
// whole faces with the same corners; such a pair of faces is inside the wall
// and vanishes. What remains is the closed surface of the solid.
type wall struct {
	faces [][]point      // nil where the face has met its partner
	at    map[string]int // sorted corners -> index in faces
}

// lay adds a brick between two convex polygons with as many corners: seen
// from outside, floor turns clockwise and top counter-clockwise when both are
// given in the same order and top lies on the side from which that order is
// counter-clockwise.
func (w *wall) lay(floor, top []point) {
	n := len(floor)
	w.face(top)
	under := slices.Clone(floor)
	slices.Reverse(under)
	w.face(under)
	for i := range n {
		j := (i + 1) % n
		w.face([]point{floor[i], floor[j], top[j], top[i]})
	}
}

// face adds one face, or takes away the one it meets.
func (w *wall) face(f []point) {
	key := name(f)
	if i, ok := w.at[key]; ok {
		w.faces[i] = nil
		delete(w.at, key)
		return
	}
	if w.at == nil {
		w.at = map[string]int{}
	}
	w.at[key] = len(w.faces)
	w.faces = append(w.faces, f)
}

// name is the same for two faces with the same corners, whatever their order.
func name(f []point) string {
	s := slices.Clone(f)
	slices.SortFunc(s, func(a, b point) int { return slices.Compare(a[:], b[:]) })
	b := make([]byte, 0, 12*len(s))
	for _, p := range s {
		for _, x := range p {
			b = append(b, byte(x), byte(x>>8), byte(x>>16), byte(x>>24))
		}
	}
	return string(b)
}

// surface returns the faces that are left, each cut into a fan from its first
// corner, in millimetres.
func (w *wall) surface() *mesh.Mesh {
	m := &mesh.Mesh{}
	number := map[point]int32{}
	corner := func(p point) int32 {
		v, ok := number[p]
		if !ok {
			v = int32(len(m.Vertices))
			number[p] = v
			m.Vertices = append(m.Vertices, [3]float32{mm(p[0]), mm(p[1]), mm(p[2])})
		}
		return v
	}
	for _, f := range w.faces {
		for i := 2; i < len(f); i++ {
			m.Triangles = append(m.Triangles, [3]int32{corner(f[0]), corner(f[i-1]), corner(f[i])})
		}
	}
	return m
}

func mm(x int32) float32 { return float32(float64(x) / 1000) }
