package union

import (
	"cmp"

	"falsework/mesh"
	"falsework/mesh/exact"
	"falsework/mesh/par"
)

// check proves the change: the directed edges of what is added, less those of
// what is taken away, cancel out, so the result is closed exactly where A
// was; no edge is added twice; an added edge between two vertices of A was
// one of theirs before, and as often (four triangles of A may share it); the triangles at a new vertex are one disc; no added
// triangle is without area; no new vertex lies where another one is.
func (c *change) check(a *mesh.Mesh) error {
	// Where the vertices are and how edges join them are looked at side by side.
	var errs [2]error
	par.Each(2, func(k int) {
		if k == 0 {
			errs[k] = c.distinct(a)
		} else {
			errs[k] = c.joined(a)
		}
	})
	return cmp.Or(errs[0], errs[1])
}

// joined proves what check says of edges and triangles.
func (c *change) joined(a *mesh.Mesh) error {
	if !c.keepRest {
		// What lies outside went too, all of it: only its border counts, and
		// that is where it meets the triangles that stay.
		return c.checkClosed(a)
	}
	// Edges between vertices of A: how often they are added less how often
	// taken away, times two, and one more when they were there.
	old := newTable(0)
	for i, t := range c.touched {
		if c.stay[i] {
			continue
		}
		k := a.Triangles[t]
		for e := range 3 {
			u, v := k[e], k[(e+1)%3]
			if u == v {
				continue
			}
			*old.at(key(u, v)) -= 2
			*old.at(key(u, v)) |= 1
			*old.at(key(v, u)) |= 1
		}
	}
	apex := newTable(3 * len(c.added)) // of each added edge
	for _, k := range c.added {
		if exact.Collinear(c.at(a, k[0]), c.at(a, k[1]), c.at(a, k[2])) {
			return broke("a triangle without area", c.at(a, k[0]))
		}
		for e := range 3 {
			u, v, w := k[e], k[(e+1)%3], k[(e+2)%3]
			if u < 0 || v < 0 {
				if !apex.add(key(u, v), w) {
					return broke("an edge run along twice", c.at(a, u))
				}
				continue
			}
			if n, ok := old.get(key(u, v)); !ok || n&1 == 0 {
				return broke("a new edge between old vertices", c.at(a, u))
			}
			*old.at(key(u, v)) += 2
		}
	}
	var err error
	old.all(func(e uint64, n int32) bool {
		if back, _ := old.get(e<<32 | e>>32); n>>1 != back>>1 {
			err = broke("the new surface is open", c.at(a, int32(e>>32)))
		} else if n>>1 > 0 {
			err = broke("an edge run along twice", c.at(a, int32(e>>32)))
		}
		return err == nil
	})
	if err != nil {
		return err
	}
	return c.discs(apex)
}

// discs proves that an added edge at a new vertex has another one on its
// other side, and that one walk round the vertex meets all its triangles.
func (c *change) discs(apex *table) error {
	degree := make([]int32, len(c.fresh))
	first := make([]int32, len(c.fresh)) // the end of an edge from it
	for _, k := range c.added {
		for e, v := range k {
			if v < 0 {
				degree[-1-v]++
				first[-1-v] = k[(e+1)%3]
			}
		}
	}
	for i, n := range degree {
		if n == 0 {
			continue
		}
		v, u := int32(-1-i), first[i]
		for ; n > 0; n-- {
			w, ok := apex.get(key(v, u))
			if !ok {
				return broke("the new surface is open", c.fresh[i])
			}
			if u = w; u == first[i] {
				break
			}
		}
		if n != 1 {
			return broke("a new vertex where surfaces only touch", c.fresh[i])
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
	seen := make([]bool, len(c.fresh)) // each is asked once, not for each of its triangles
	for _, k := range c.added {
		for _, v := range k {
			if v < 0 {
				if seen[-1-v] {
					continue
				}
				seen[-1-v] = true
			}
			if !put(v) {
				return broke("two vertices in one place", c.at(a, v))
			}
		}
	}
	for i, t := range c.touched {
		if !c.stay[i] {
			continue // what goes may leave its place to something new
		}
		for _, v := range a.Triangles[t] {
			if w, ok := at[c.at(a, v)]; ok && w != v {
				return broke("a new vertex in the place of an old one", c.at(a, v))
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
	sum := newTable(3 * len(c.added))
	run := func(k [3]int32) {
		for e := range 3 {
			if u, v := k[e], k[(e+1)%3]; u != v {
				*sum.at(key(u, v))++
			}
		}
	}
	for i, t := range c.touched {
		if c.stay[i] {
			run(a.Triangles[t])
		}
	}
	for _, k := range c.added {
		if exact.Collinear(c.at(a, k[0]), c.at(a, k[1]), c.at(a, k[2])) {
			return broke("a triangle without area", c.at(a, k[0]))
		}
		run(k)
	}
	var err error
	sum.all(func(e uint64, n int32) bool {
		if back, _ := sum.get(e<<32 | e>>32); n != back {
			err = broke("the new surface is open", c.at(a, int32(e>>32)))
		}
		return err == nil
	})
	return err
}
