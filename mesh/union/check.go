package union

import (
	"falsework/mesh"
	"falsework/mesh/exact"
)

// check proves the change: the directed edges of what is added, less those of
// what is taken away, cancel out, so the result is closed exactly where A
// was; no edge is added twice; an added edge between two vertices of A was
// one of theirs before; no added triangle is without area; no new vertex
// lies where another one is.
func (c *change) check(a *mesh.Mesh) error {
	if err := c.distinct(a); err != nil {
		return err
	}
	sum := make(map[uint64]int32, 3*len(c.added))
	was := make(map[uint64]bool)
	for i, t := range c.touched {
		if c.stay[i] {
			continue
		}
		k := a.Triangles[t]
		for e := range 3 {
			u, v := k[e], k[(e+1)%3]
			was[key(u, v)], was[key(v, u)] = true, true
			sum[key(u, v)]--
		}
	}
	if !c.keepRest {
		// What lies outside went too, all of it: only its border counts, and
		// that is where it meets the triangles that stay.
		return c.checkClosed(a)
	}
	seen := make(map[uint64]bool, 3*len(c.added))
	for _, k := range c.added {
		if exact.Collinear(c.at(a, k[0]), c.at(a, k[1]), c.at(a, k[2])) {
			return errInternal("a triangle without area")
		}
		for e := range 3 {
			u, v := k[e], k[(e+1)%3]
			if seen[key(u, v)] {
				return errInternal("an edge run along twice")
			}
			seen[key(u, v)] = true
			if u >= 0 && v >= 0 && !was[key(u, v)] {
				return errInternal("a new edge between old vertices")
			}
			sum[key(u, v)]++
		}
	}
	for e, n := range sum {
		u, v := int32(e>>32), int32(uint32(e))
		if n != sum[key(v, u)] {
			return errInternal("the new surface is open")
		}
	}
	return nil
}

// distinct proves that no new vertex that is used lies where another new one
// does, or a vertex of A's triangles near the tool. New vertices lie near the
// tool themselves, so they cannot meet those farther off.
func (c *change) distinct(a *mesh.Mesh) error {
	at := make(map[vec]int32, len(c.fresh))
	put := func(v int32) bool {
		p := c.at(a, v)
		w, ok := at[p]
		at[p] = v
		return !ok || w == v
	}
	for _, k := range c.added {
		for _, v := range k {
			if !put(v) {
				return errInternal("two vertices in one place")
			}
		}
	}
	for i, t := range c.touched {
		if !c.stay[i] {
			continue // what goes may leave its place to something new
		}
		for _, v := range a.Triangles[t] {
			if w, ok := at[c.at(a, v)]; ok && w != v {
				return errInternal("a new vertex in the place of an old one")
			}
		}
	}
	return nil
}

func (c *change) at(a *mesh.Mesh, v int32) vec {
	if v < 0 {
		return c.fresh[-1-v]
	}
	return a.Vertices[v]
}

// checkClosed is check for an operation that keeps only what lies inside: the
// untouched triangles kept are then few, and the whole result is looked at.
func (c *change) checkClosed(a *mesh.Mesh) error {
	sum := make(map[uint64]int32, 3*len(c.added))
	run := func(k [3]int32) {
		for e := range 3 {
			sum[key(k[e], k[(e+1)%3])]++
		}
	}
	for i, t := range c.touched {
		if c.stay[i] {
			run(a.Triangles[t])
		}
	}
	for _, k := range c.added {
		if exact.Collinear(c.at(a, k[0]), c.at(a, k[1]), c.at(a, k[2])) {
			return errInternal("a triangle without area")
		}
		run(k)
	}
	for e, n := range sum {
		if n != sum[key(int32(uint32(e)), int32(e>>32))] {
			return errInternal("the new surface is open")
		}
	}
	return nil
}
