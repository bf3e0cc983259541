package union

import (
	"math"
	"slices"
)

// Rounding to float32 can put two vertices into one place, or three in line.
// The repairs below take that out again without ever leaving the manifold:
// an edge collapses only under the link condition, an edge flips only to one
// that does not exist, and a vertex moves only to a place that is free. So
// what they end with, positions all different and no triangle without area,
// is closed in the file by construction.

const (
	shortest = 4 // edges up to so many units in the last place collapse
	rounds   = 12
)

// repair makes the patch sound, or says that it cannot.
func (p *patch) repair() error {
	if err := p.index(); err != nil {
		return err
	}
	p.shorten()
	for range rounds {
		again := p.separate()
		again = p.fatten() || again
		if !again { // nothing lies in one place, nothing is without area
			p.specks()
			return nil
		}
	}
	for t, k := range p.tri {
		if !p.dead[t] && p.flat(k) {
			return broke("rounding leaves a triangle without area", p.pos[k[0]])
		}
	}
	return errInternal("rounding leaves vertices in one place")
}

// shorten collapses edges of a few units in the last place.
func (p *patch) shorten() {
	far := float32(0)
	for _, q := range p.pos {
		far = max(far, abs32(q[0]), abs32(q[1]), abs32(q[2]))
	}
	most := shortest * ulp(vec{far}) // what is longer along an axis is too long
	for t := range p.tri {
		for again := true; again && !p.dead[t]; {
			again = false
			k := p.tri[t]
			for c := range 3 {
				u, v := k[c], k[(c+1)%3]
				if max(u, v) < p.free {
					continue
				}
				if d := sub(p.pos[u], p.pos[v]); abs(d[0]) > most || abs(d[1]) > most || abs(d[2]) > most {
					continue
				}
				if d := distance(p.pos[u], p.pos[v]); d <= shortest*ulp(p.pos[u]) && p.merge(u, v, d) {
					again = true
					break
				}
			}
		}
	}
}

// merge collapses the edge u v into one of its ends, if a free one may go.
func (p *patch) merge(u, v int32, d float64) bool {
	// Later vertices go first: new points before corners.
	if u < v {
		u, v = v, u
	}
	if p.collapse(u, v) || v >= p.free && p.collapse(v, u) {
		p.moved = max(p.moved, d)
		p.merges++
		return true
	}
	return false
}

// collapse moves the free vertex u to v and takes out the triangles between
// them. It does so only when the surface stays a manifold and no triangle
// loses its area or turns over.
func (p *patch) collapse(u, v int32) bool {
	l, okl := p.side.get(key(u, v))
	r, okr := p.side.get(key(v, u))
	if !okl || !okr {
		return false
	}
	x, y := p.apex(l, u, v), p.apex(r, u, v)
	if x == y {
		return false
	}
	fan := slices.Clone(p.around(u))
	slices.Sort(fan)
	same := p.pos[u] == p.pos[v]
	for _, t := range fan {
		if t == l || t == r {
			continue
		}
		k := p.tri[t]
		for c := range 3 {
			w := k[c]
			if w == u || w == x || w == y {
				continue
			}
			// The edge w v will come to be: it must not exist.
			if p.joined(w, v) {
				return false
			}
		}
		if !same {
			n := replaced(k, u, v)
			if p.flat(n) || p.facing(t, n) <= 0 && p.facing(t, n) < p.facing(t, k)-1e-3 {
				return false
			}
		}
	}
	// Beyond the two triangles, x and y must keep a fan of their own.
	if len(fan) <= 3 && p.degree3(fan, l, r, v) {
		return false
	}
	for _, t := range fan {
		p.kill(t)
	}
	for _, t := range fan {
		if t != l && t != r {
			p.put(t, replaced(p.tri[t], u, v))
		}
	}
	return true
}

// degree3 tells whether the triangle left of a fan of three would be a copy of
// one at v, turned round.
func (p *patch) degree3(fan []int32, l, r, v int32) bool {
	for _, t := range fan {
		if t == l || t == r {
			continue
		}
		n := p.tri[t]
		for c := range 3 {
			a, b := n[c], n[(c+1)%3]
			if o, ok := p.side.get(key(b, a)); ok && o != l && o != r && p.has(o, v) {
				return true
			}
		}
	}
	return false
}

// joined tells whether an edge between two vertices exists, or may exist
// between vertices of A outside the patch.
func (p *patch) joined(u, v int32) bool {
	if u < p.free && v < p.free {
		return true
	}
	if _, ok := p.side.get(key(u, v)); ok {
		return true
	}
	_, ok := p.side.get(key(v, u))
	return ok
}

func replaced(k [3]int32, u, v int32) [3]int32 {
	for c := range 3 {
		if k[c] == u {
			k[c] = v
		}
	}
	return k
}

// separate gives every vertex a place of its own. It reports whether it moved
// one.
func (p *patch) separate() bool {
	used := make([]bool, len(p.pos))
	for t, k := range p.tri {
		if !p.dead[t] {
			used[k[0]], used[k[1]], used[k[2]] = true, true, true
		}
	}
	p.taken = make(map[vec]int32, len(p.pos))
	for i, q := range p.pos[:p.free] {
		p.taken[q] = int32(i)
	}
	changed := false
	for i := p.free; int(i) < len(p.pos); i++ {
		if !used[i] {
			continue
		}
		o, ok := p.taken[p.pos[i]]
		if !ok {
			p.taken[p.pos[i]] = i
			continue
		}
		changed = true
		if p.joined(i, o) && p.collapse(i, o) {
			p.merges++
			continue
		}
		p.nudge(i)
	}
	return changed
}

// nudge moves a free vertex by a few units in the last place to a free place
// where no triangle at it is without area, and as few as can be turn over.
func (p *patch) nudge(v int32) bool {
	from := p.pos[v]
	fan := p.around(v)
	// By the last place of the triangles there: that of a vertex near the origin
	// alone is next to nothing.
	u := ulp(from)
	for _, t := range fan {
		for _, w := range p.tri[t] {
			u = max(u, ulp(p.pos[w]))
		}
	}
	best, bad, far := from, math.MaxInt, 0.0
	for r := 1; r <= 3 && bad > 0; r++ {
		for i := range (2*r + 1) * (2*r + 1) * (2*r + 1) {
			d := [3]int{i%(2*r+1) - r, i/(2*r+1)%(2*r+1) - r, i/((2*r+1)*(2*r+1)) - r}
			if max(d[0], d[1], d[2]) < r && min(d[0], d[1], d[2]) > -r {
				continue // tried before
			}
			var q vec
			for k := range 3 {
				q[k] = float32(float64(from[k])+float64(float64(d[k])*u)) + 0
			}
			if _, ok := p.taken[q]; ok || q == from {
				continue
			}
			p.pos[v] = q
			n := p.harm(fan)
			if dist := distance(q, from); n < bad || n == bad && dist < far {
				best, bad, far = q, n, dist
			}
		}
	}
	p.pos[v] = best
	if best == from {
		return false
	}
	if p.taken[from] == v {
		delete(p.taken, from)
	}
	p.taken[best] = v
	p.moved = max(p.moved, far)
	p.nudges++
	return true
}

// harm counts triangles without area, and far less those turned over.
func (p *patch) harm(fan []int32) int {
	n := 0
	for _, t := range fan {
		if p.flat(p.tri[t]) {
			n += 1000
		} else if p.facing(t, p.tri[t]) < 0 {
			n++
		}
	}
	return n
}

// fatten takes out triangles without area: by flipping their long side where
// the triangle across it belongs to the patch, else by moving a corner. It
// reports whether there was any.
func (p *patch) fatten() bool {
	found := false
	for t := range p.tri {
		if p.dead[t] || !p.flat(p.tri[t]) {
			continue
		}
		found = true
		if p.flipLong(int32(t)) {
			continue
		}
		k := p.tri[t]
		m := p.middle(k)
		for _, v := range [3]int32{k[m], k[(m+1)%3], k[(m+2)%3]} {
			if v >= p.free && p.nudge(v) && !p.flat(k) {
				break
			}
		}
	}
	return found
}

// middle returns the corner of a triangle without area that lies between the
// other two.
func (p *patch) middle(k [3]int32) int {
	m, long := 0, -1.0
	for c := range 3 {
		if d := distance(p.pos[k[(c+1)%3]], p.pos[k[(c+2)%3]]); d > long {
			m, long = c, d
		}
	}
	return m
}

// flipLong replaces the long side of a triangle without area by one from its
// middle corner to the corner across.
func (p *patch) flipLong(t int32) bool {
	k := p.tri[t]
	m := p.middle(k)
	a, b := k[(m+1)%3], k[(m+2)%3] // the long side, as t runs along it
	o, ok := p.side.get(key(b, a))
	if !ok {
		return false
	}
	x := p.apex(o, a, b)
	if x == k[m] || p.joined(k[m], x) {
		return false
	}
	n1, n2 := [3]int32{k[m], a, x}, [3]int32{x, b, k[m]}
	if p.flat(n1) || p.flat(n2) {
		return false
	}
	p.kill(t)
	p.kill(o)
	p.src[t] = p.src[o]
	p.put(t, n1)
	p.put(o, n2)
	p.flips++
	return true
}

func abs32(x float32) float32 { return max(x, -x) }
