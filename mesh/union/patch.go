package union

import (
	"math"
	"slices"

	"falsework/mesh/exact"
)

// A patch is the new part of the surface, after rounding: what is kept of cut
// triangles, and the kept triangles of B. Triangles of A that were not cut
// are no part of it; along its border it fits to them. Vertices of A never
// move. The others may, by units in the last place, to keep the surface sound
// in the file.
type patch struct {
	w    *weave
	pos  []vec // of all vertices, see weave.pointBase
	free int32 // first vertex that may move
	tri  [][3]int32
	src  []source
	dead []bool

	side   *table        // directed edge: its triangle
	fan    [][]int32     // triangles at a free vertex, dead ones among them
	taken  map[vec]int32 // position: a vertex there
	moved  float64       // greatest displacement of a vertex by repairs
	merges int
	flips  int
	nudges int
}

// A source is the triangle a piece lies in.
type source struct {
	own  int8
	flip bool // the piece is turned round
	t    int32
}

func key(u, v int32) uint64 { return uint64(uint32(u))<<32 | uint64(uint32(v)) }

func rounded(p [3]float64) vec {
	var q vec
	for k := range 3 {
		q[k] = float32(p[k]) + 0 // no -0
	}
	return q
}

func newPatch(w *weave) *patch {
	p := &patch{w: w, free: int32(len(w.op[0].v))}
	p.pos = make([]vec, 0, int(w.pointBase())+len(w.points))
	p.pos = append(p.pos, w.op[0].v...)
	p.pos = append(p.pos, w.op[1].v...)
	for i := range w.points {
		p.pos = append(p.pos, rounded(w.points[i].at))
	}
	return p
}

func (p *patch) add(t [3]int32, s source) {
	if s.flip {
		t[1], t[2] = t[2], t[1]
	}
	p.tri = append(p.tri, t)
	p.src = append(p.src, s)
}

// index builds the look-ups that repairs need. It fails when an edge is run
// along twice the same way.
func (p *patch) index() error {
	p.dead = make([]bool, len(p.tri))
	p.side = newTable(3 * len(p.tri))
	p.fan = make([][]int32, int32(len(p.pos))-p.free)
	p.reserve()
	for i, t := range p.tri {
		for c := range 3 {
			u, v := t[c], t[(c+1)%3]
			if u == v {
				return broke("a triangle with a corner twice", p.pos[u])
			}
			if !p.side.add(key(u, v), int32(i)) && (u >= p.free || v >= p.free) {
				return broke("an edge run along twice", p.pos[u])
			} // else an edge of A that more than two triangles share, maybe: see check
			if u >= p.free {
				p.fan[u-p.free] = append(p.fan[u-p.free], int32(i))
			}
		}
	}
	return nil
}

// reserve gives every fan its room out of one piece.
func (p *patch) reserve() {
	size := make([]int32, len(p.fan))
	sum := int32(0)
	for _, t := range p.tri {
		for _, v := range t {
			if v >= p.free {
				size[v-p.free]++
				sum++
			}
		}
	}
	room := make([]int32, sum)
	for i, n := range size {
		p.fan[i], room = room[:0:n], room[n:]
	}
}

func (p *patch) has(t, v int32) bool {
	k := p.tri[t]
	return k[0] == v || k[1] == v || k[2] == v
}

// around returns the living triangles at a free vertex.
func (p *patch) around(v int32) []int32 {
	f := p.fan[v-p.free]
	n := 0
	for _, t := range f {
		if !p.dead[t] && p.has(t, v) {
			f[n] = t
			n++
		}
	}
	p.fan[v-p.free] = f[:n]
	return f[:n]
}

// kill takes a triangle out.
func (p *patch) kill(t int32) {
	k := p.tri[t]
	for c := range 3 {
		e := key(k[c], k[(c+1)%3])
		if o, ok := p.side.get(e); ok && o == t {
			p.side.drop(e)
		}
	}
	p.dead[t] = true
}

// put sets the corners of a triangle that was killed.
func (p *patch) put(t int32, k [3]int32) {
	p.tri[t], p.dead[t] = k, false
	for c := range 3 {
		*p.side.at(key(k[c], k[(c+1)%3])) = t
		if v := k[c]; v >= p.free && !slices.Contains(p.fan[v-p.free], t) {
			p.fan[v-p.free] = append(p.fan[v-p.free], t)
		}
	}
}

func (p *patch) flat(k [3]int32) bool {
	return exact.Collinear(p.pos[k[0]], p.pos[k[1]], p.pos[k[2]])
}

// apex returns the corner of t that is neither u nor v.
func (p *patch) apex(t, u, v int32) int32 {
	for _, x := range p.tri[t] {
		if x != u && x != v {
			return x
		}
	}
	return -1
}

// facing returns the cosine between the triangle with corners k and the plane
// it comes from, 0 when it has no area.
func (p *patch) facing(t int32, k [3]int32) float64 {
	s := p.src[t]
	a, b, c := p.w.op[s.own].corners(s.t)
	m := cross(sub(b, a), sub(c, a))
	n := cross(sub(p.pos[k[1]], p.pos[k[0]]), sub(p.pos[k[2]], p.pos[k[0]]))
	d := math.Sqrt(float64(dot(m, m) * dot(n, n)))
	if d == 0 {
		return 0
	}
	if s.flip {
		d = -d
	}
	return dot(m, n) / d
}

// ulp is the distance of neighbouring float32 at the largest coordinate of p.
func ulp(p vec) float64 {
	m := float32(0)
	for _, x := range p {
		m = max(m, max(x, -x))
	}
	return float64(math.Nextafter32(m, float32(math.Inf(1)))) - float64(m)
}

func distance(p, q vec) float64 {
	d := sub(p, q)
	return math.Sqrt(dot(d, d))
}
