package union

import "math"

// specks takes out pieces of the patch that are closed in themselves and have
// nothing inside that rounding has left: flush or touching solids may leave
// them. What is nowhere thicker than edges that collapse is one.
func (p *patch) specks() {
	l := newLevels(len(p.pos))
	for t, k := range p.tri {
		if !p.dead[t] {
			l.tie(k[0], k[1], 0)
			l.tie(k[1], k[2], 0)
		}
	}
	type body struct {
		thin         bool // and so far nowhere open
		o            vec
		volume, area float64
		far          float32
	}
	bodies := map[int32]*body{}
	var b *body // that of the triangle before, mostly
	of := int32(-1)
	for t, k := range p.tri {
		if p.dead[t] {
			continue
		}
		if r, _ := l.root(k[0]); r != of {
			of = r
			if b = bodies[r]; b == nil {
				b = &body{o: p.pos[k[0]]}
				bodies[r] = b
			}
		}
		for _, v := range k {
			q := &p.pos[v]
			b.far = max(b.far, abs32(q[0]), abs32(q[1]), abs32(q[2]))
		}
		x, y, z := sub(p.pos[k[0]], b.o), sub(p.pos[k[1]], b.o), sub(p.pos[k[2]], b.o)
		b.volume += det(x, y, z) / 6
		n := cross(sub(p.pos[k[1]], p.pos[k[0]]), sub(p.pos[k[2]], p.pos[k[0]]))
		b.area += float64(math.Sqrt(dot(n, n)) / 2)
	}
	some := false
	for _, b := range bodies {
		// A sheet of thickness d has the volume d times half its area.
		b.thin = 2*abs(b.volume) <= shortest*ulp(vec{b.far})*b.area
		some = some || b.thin
	}
	if !some {
		return
	}
	for t, k := range p.tri {
		if p.dead[t] {
			continue
		}
		r, _ := l.root(k[0])
		for c := range 3 {
			if b := bodies[r]; b.thin {
				_, b.thin = p.side.get(key(k[(c+1)%3], k[c]))
			}
		}
	}
	for t, k := range p.tri {
		if r, _ := l.root(k[0]); !p.dead[t] && bodies[r].thin {
			p.dead[t] = true
		}
	}
}
