package mesh

import (
	"cmp"
	"context"
	"slices"

	"falsework/mesh/exact"
	"falsework/mesh/par"
)

// Mates say over each edge of each triangle which triangle follows.
//
// Half-edge 3*t+c runs from corner c of triangle t to its next corner. Its
// mate is the half-edge of the neighbour that runs the other way, or None, or
// Crooked(h): the neighbour's half-edge h runs the same way, one of the two
// triangles is turned round.
type Mates [][3]int32

// None is the mate of an open edge.
const None int32 = -1

// Crooked marks and unmarks a half-edge that runs the same way as its mate.
// Marked ones are below None.
func Crooked(half int32) int32 { return -2 - half }

// Of returns the mate of a half-edge.
func (m Mates) Of(half int32) int32 { return m[half/3][half%3] }

// A halfEdge lies in the bucket of the lesser of its two vertices.
type halfEdge struct {
	other int32 // the greater vertex
	code  int32 // half-edge number times two, plus one when it runs from greater to lesser
}

// maxCrowd is the most triangles at an edge that are paired.
const maxCrowd = 64

// A crowd is all the half-edges of an edge that are not exactly two, one each
// way.
type crowd []halfEdge

// match pairs the half-edges of m. Crowds come back in the order of their
// lesser, then greater vertex. Triangles that name a vertex twice take no part: to
// the others it makes no difference whether they are there.
//
// Half-edges are sorted into buckets by counting, a few to a vertex, and
// matched within them. Each worker reads all triangles and fills the buckets
// of a range of vertices, so there are no locks, and the order within a
// bucket is that of the triangles.
func match(ctx context.Context, m *Mesh) (Mates, []crowd, error) {
	mates := make(Mates, len(m.Triangles))
	workers := min(par.Workers(len(m.Triangles), 4096), 8)
	crowds := make([][]crowd, workers)
	par.Each(workers, func(k int) {
		n := len(m.Vertices)
		crowds[k] = matchRange(ctx, m, mates, int32(n*k/workers), int32(n*(k+1)/workers))
	})
	return mates, slices.Concat(crowds...), ctx.Err()
}

// matchRange does the edges whose lesser vertex lies in from..to.
func matchRange(ctx context.Context, m *Mesh, mates Mates, from, to int32) []crowd {
	ends := make([]int32, to-from) // of each bucket, in the end; its beginning before it is filled
	count := func(a, b int32) {
		// One comparison tells both ends of the range: what is below wraps round.
		if v := uint32(min(a, b) - from); v < uint32(len(ends)) {
			ends[v]++
		}
	}
	for t := range m.Triangles {
		tri := &m.Triangles[t]
		if broken(*tri) {
			if from == 0 {
				mates[t] = [3]int32{None, None, None}
			}
			continue
		}
		count(tri[0], tri[1])
		count(tri[1], tri[2])
		count(tri[2], tri[0])
	}
	if ctx.Err() != nil {
		return nil
	}
	sum := int32(0)
	for v, n := range ends {
		ends[v] = sum
		sum += n
	}
	edges := make([]halfEdge, sum)
	put := func(a, b, code int32) {
		if a > b {
			a, b, code = b, a, code+1
		}
		if v := uint32(a - from); v < uint32(len(ends)) {
			edges[ends[v]] = halfEdge{b, code}
			ends[v]++
		}
	}
	for t := range m.Triangles {
		tri, code := &m.Triangles[t], int32(6*t)
		if broken(*tri) {
			continue
		}
		put(tri[0], tri[1], code)
		put(tri[1], tri[2], code+2)
		put(tri[2], tri[0], code+4)
	}
	if ctx.Err() != nil {
		return nil
	}
	var crowds []crowd
	begin := int32(0)
	for _, end := range ends {
		crowds = matchBucket(edges[begin:end], mates, crowds)
		begin = end
	}
	return crowds
}

// matchBucket pairs the half-edges at one vertex.
func matchBucket(b []halfEdge, mates Mates, crowds []crowd) []crowd {
	if len(b) > 24 {
		slices.SortFunc(b, func(p, q halfEdge) int {
			return cmp.Or(cmp.Compare(p.other, q.other), cmp.Compare(p.code, q.code))
		})
	} else {
		for i := 1; i < len(b); i++ {
			e := b[i]
			j := i
			for ; j > 0 && b[j-1].other > e.other; j-- {
				b[j] = b[j-1]
			}
			b[j] = e
		}
	}
	for i := 0; i < len(b); {
		n := i + 1
		for n < len(b) && b[n].other == b[i].other {
			n++
		}
		if n == i+2 && b[i].code&1 != b[i+1].code&1 {
			g, h := b[i].code>>1, b[i+1].code>>1
			mates[g/3][g%3], mates[h/3][h%3] = h, g
		} else {
			crowds = append(crowds, b[i:n:n])
		}
		i = n
	}
	return crowds
}

// seat gives mates to the half-edges of a crowd and returns how many stay
// without. Two that run the same way are each other's crooked mates. More
// than two are paired by angle so that each wedge of material between them
// has its two sides as mates: bodies that touch along an edge stay bodies of
// their own.
func (c crowd) seat(m *Mesh, mates Mates) (left int) {
	set := func(g, h int32) { mates[g/3][g%3] = h }
	switch {
	case len(c) == 1 || len(c) > maxCrowd:
		for _, e := range c {
			set(e.code>>1, None)
		}
		return len(c)
	case len(c) == 2:
		g, h := c[0].code>>1, c[1].code>>1
		set(g, Crooked(h))
		set(h, Crooked(g))
		return 2
	}
	// Going round the edge counter-clockwise, seen from its greater vertex, a half-edge
	// that runs downwards has material behind it and one that runs upwards
	// ends it: they match like brackets.
	order := c.round(m)
	var open []int32
	left = len(c)
	done := make([]bool, len(order))
	for lap := range 2 {
		for i, e := range order {
			switch {
			case done[i]:
			case e.code&1 == 1 && lap == 0:
				open = append(open, int32(i))
			case e.code&1 == 0 && len(open) > 0:
				j := open[len(open)-1]
				open = open[:len(open)-1]
				g, h := e.code>>1, order[j].code>>1
				set(g, h)
				set(h, g)
				done[i], done[j] = true, true
				left -= 2
			}
		}
	}
	for i, e := range order {
		if !done[i] {
			set(e.code>>1, None)
		}
	}
	return left
}

// round returns the crowd sorted by the angle of its triangles round the edge
// from lesser to greater vertex, counter-clockwise from the first of them, by
// exact predicates. At equal angles material ends before it begins.
func (c crowd) round(m *Mesh) crowd {
	h := c[0].code >> 1
	u, v := m.Triangles[h/3][h%3], m.Triangles[h/3][next(int(h%3))]
	p, q := m.Vertices[min(u, v)], m.Vertices[max(u, v)]
	tip := func(e halfEdge) [3]float32 {
		h := e.code >> 1
		return m.Vertices[m.Triangles[h/3][(h+2)%3]]
	}
	zero := tip(c[0])
	// Quarters: 0 at the first triangle's angle, 1 up to half a turn, 2 at half a turn, 3 beyond.
	quarter := make(map[int32]int, len(c))
	for _, e := range c {
		switch exact.Orient3D(p, q, zero, tip(e)) {
		case 1:
			quarter[e.code] = 1
		case -1:
			quarter[e.code] = 3
		default:
			if opposite(p, q, zero, tip(e)) {
				quarter[e.code] = 2
			}
		}
	}
	order := slices.Clone(c)
	slices.SortFunc(order, func(a, b halfEdge) int {
		if d := quarter[a.code] - quarter[b.code]; d != 0 {
			return d
		}
		if k := quarter[a.code]; k == 1 || k == 3 {
			if o := exact.Orient3D(p, q, tip(a), tip(b)); o != 0 {
				return -o
			}
		}
		return cmp.Or(cmp.Compare(a.code&1, b.code&1), cmp.Compare(a.code, b.code))
	})
	return order
}

// opposite tells for points in one plane with the line pq whether a and b lie
// on different sides of it.
func opposite(p, q, a, b [3]float32) bool {
	for k := range 3 {
		s := exact.Orient2D(exact.Drop(p, k), exact.Drop(q, k), exact.Drop(a, k))
		t := exact.Orient2D(exact.Drop(p, k), exact.Drop(q, k), exact.Drop(b, k))
		if s*t != 0 {
			return s != t
		}
	}
	return false
}

func next(c int) int {
	if c == 2 {
		return 0
	}
	return c + 1
}

// broken tells whether a triangle names a vertex twice.
func broken(t [3]int32) bool { return t[0] == t[1] || t[1] == t[2] || t[2] == t[0] }
