package span

import (
	"sync"

	"falsework/mesh/section"
)

// hair is how far beside a border one looks to tell what lies there: far more
// than the grid the polygons are rounded to, far less than a bead.
const hair = 0.02

// A piece is a ceiling while it is being read: its units, and the sheet they
// make.
type piece struct {
	c      *cuts
	g      *ground
	units  []unit
	foot   section.Polygons
	core   section.Polygons // where the middle of a bead may lie
	which  *locator         // tells the unit at a point
	rims   []rim            // its border
	sheet  *sheet
	layers [2]int     // lowest and highest
	strips []*locator // by unit, made when asked for

	again sync.Mutex
}

// newPiece unites units into one footprint.
func newPiece(c *cuts, g *ground, units []unit) *piece {
	p := &piece{c: c, g: g, units: units, layers: [2]int{units[0].k, units[len(units)-1].k}}
	regions := make([]section.Polygons, len(units))
	var all section.Polygons
	for i, u := range units {
		regions[i] = u.foot
		all = append(all, u.foot...)
	}
	p.foot = all
	if len(units) > 1 {
		// Neighbouring pieces share borders to within the grid; a hair of
		// growth closes what rounding left open.
		p.foot = section.Offset(section.Offset(all, hair/4, section.Miter), -hair/4, section.Miter)
	}
	p.which = newLocators(regions)
	return p
}

// lay makes the sheet. Where a bead's width or more is cut off from what holds
// it, first steps of the underside are let pass, then the lattice is made
// finer: a neck may be narrower than a cell.
func (p *piece) lay(step, nozzle float64) {
	p.layOut(step, nozzle)
	if p.core == nil {
		p.core = middles(p.foot, nozzle)
	}
	p.sheet.findSlim(p.core, nozzle)
}

// fits reports whether a disc of the given diameter, the nozzle's, fits in.
func (p *piece) fits(diameter float64) bool {
	p.core = middles(p.foot, diameter)
	return !empty(p.core)
}

func (p *piece) layOut(step, nozzle float64) {
	cell := cellFor(p.foot)
	for range 3 {
		p.sheet = newSheet(p.foot, p.rims, cell, step, nil)
		p.sheet.bead = nozzle
		p.setHeights()
		split := p.sheet.split(nozzle)
		if split && p.sheet.cliffs {
			p.sheet.cliffs = false
			p.sheet.findClear()
			split = p.sheet.split(nozzle)
		}
		if cell <= 0.05 || !split {
			return
		}
		cell /= 2
	}
}

// lean lets go of what can be made again: sheets of all ceilings together are
// larger than most parts, and only few are asked for later.
func (p *piece) lean() {
	p.sheet, p.core = nil, nil
	for i := range p.units {
		p.units[i].cell, p.units[i].core = nil, nil
	}
}

// laid returns the sheet, laid anew where it was let go.
func (p *piece) laid(step, nozzle float64) *sheet {
	p.again.Lock()
	defer p.again.Unlock()
	if p.sheet == nil {
		p.lay(step, nozzle)
	}
	return p.sheet
}

// setHeights gives every node the lower boundary of its layer.
func (p *piece) setHeights() {
	s := p.sheet
	if p.layers[0] == p.layers[1] {
		for n := range s.z {
			s.z[n] = p.c.st.lower(p.layers[0])
		}
		return
	}
	known := make([]bool, len(s.at))
	for _, u := range p.units {
		z := p.c.st.lower(u.k)
		for _, r := range scan(u.foot, s.origin, s.cell) {
			if r.row < 0 || int(r.row) >= s.ny {
				continue // a sliver that closing the borders has cut off
			}
			for i := max(r.from, 0); i < min(r.to, int32(s.nx)); i++ {
				if n := s.id[int(r.row)*s.nx+int(i)]; n >= 0 {
					s.z[n], known[n] = z, true
				}
			}
		}
	}
	for changed := true; changed; {
		changed = false
		for n := range s.z {
			for w := 0; w < len(ways) && !known[n]; w++ {
				if m := s.id[int(s.at[n])+ways[w].dy*s.nx+ways[w].dx]; m >= 0 && known[m] {
					s.z[n], known[n], changed = s.z[m], true, true
				}
			}
		}
	}
	s.findCliffs()
	s.findClear()
}

// border cuts the outline of the footprint into straight rims and tells for
// each whether it is held.
func (p *piece) border(bead float64) []rim {
	const most = 0.5 // longest stretch judged by its middle
	var out []rim
	for _, r := range p.foot {
		first := len(out)
		for i, a := range r {
			b := r[(i+1)%len(r)]
			l := distance(a, b)
			if l == 0 {
				continue
			}
			at := func(t float64) Point {
				return Point{a[0] + float64(t*(b[0]-a[0])), a[1] + float64(t*(b[1]-a[1]))}
			}
			n := outward(r, i)
			k := int(l/most) + 1
			h0, z0 := p.rests(at(0.5/float64(k)), n)
			from := 0.0
			for j := 1; j < k; j++ {
				h, z := p.rests(at((float64(j)+0.5)/float64(k)), n)
				if h == h0 && z == z0 {
					continue
				}
				// The change lies between the two middles.
				lo, hi := (float64(j)-0.5)/float64(k), (float64(j)+0.5)/float64(k)
				for (hi-lo)*l > hair/4 {
					mid := (lo + hi) / 2
					if hm, zm := p.rests(at(mid), n); hm == h0 && zm == z0 {
						lo = mid
					} else {
						hi = mid
					}
				}
				out = append(out, rim{at(from), at(lo), h0, z0})
				from, h0, z0 = lo, h, z
			}
			out = append(out, rim{at(from), b, h0, z0})
		}
		dropTicks(out[first:], bead)
		out = append(out[:first], straighten(out[first:])...)
	}
	return out
}

// outward returns the unit normal of side i of a ring, to its outside. A side
// shorter than a hair may lie anyhow, by rounding: it is taken with a hair of
// the ring to either hand.
func outward(r section.Path, i int) Point {
	a, b := r[i], r[(i+1)%len(r)]
	p, q := a, b
	if distance(a, b) < hair {
		p, q = along(r, i, -1), along(r, (i+1)%len(r), 1)
	}
	l := distance(p, q)
	if l == 0 {
		p, q, l = a, b, distance(a, b)
	}
	return Point{(q[1] - p[1]) / l, -(q[0] - p[0]) / l}
}

// along returns the point of a ring a hair's length from corner i, onwards
// (way 1) or back (way -1).
func along(r section.Path, i, way int) Point {
	const most = 64 // sides walked
	left := hair
	for range min(most, len(r)) {
		j := (i + way + len(r)) % len(r)
		l := distance(r[i], r[j])
		if l >= left {
			t := left / l
			return Point{r[i][0] + float64(t*(r[j][0]-r[i][0])), r[i][1] + float64(t*(r[j][1]-r[i][1]))}
		}
		left -= l
		i = j
	}
	return r[i]
}

// straighten joins rims of a ring that go on in the same line, held alike.
func straighten(rims []rim) []rim {
	var out []rim
	for _, r := range rims {
		if n := len(out); n > 0 {
			l := &out[n-1]
			if l.held == r.held && l.z == r.z && l.b == r.a {
				q := rim{a: l.a, b: r.b}
				if _, d := q.nearest(r.a); d < 1e-5 && distance(l.a, r.b) > max(l.length(), r.length()) {
					l.b = r.b
					continue
				}
			}
		}
		out = append(out, r)
	}
	return out
}

// rests tells whether the border of the footprint at q, outside in direction
// n, lies on something that holds, and the height of the underside there.
func (p *piece) rests(q, n Point) (bool, float64) {
	var buf [16]int32
	k := -1
	for _, h := range [3]float64{hair, 3 * hair, 8 * hair} {
		in := Point{q[0] - float64(h*n[0]), q[1] - float64(h*n[1])}
		for _, u := range p.which.which(in, buf[:]) {
			k = max(k, p.units[u].k)
		}
		if k >= 0 {
			break
		}
	}
	if k < 0 {
		k = p.units[0].k
	}
	out := Point{q[0] + float64(hair*n[0]), q[1] + float64(hair*n[1])}
	z := p.c.st.lower(k)
	if p.g.at(k-1, out) || p.g.at(k-2, out) {
		return p.g.firm(k, out) || !p.bears(k, out), z
	}
	// What goes on in the same layer without being part of the ceiling
	// carries itself.
	return p.c.has(k, out) && !p.c.has(k-1, out) && (p.g.firm(k, out) || !p.bears(k, out)), z
}

// bears reports whether material of layer k about q may stand on what lower
// layers added to this very ceiling: whether it lies within the slope cone of
// that. Another ceiling just below holds this one as soon as it is held itself.
// So does not what is thinner than half that rise: the bumps of a scan.
func (p *piece) bears(k int, q Point) bool {
	for j := k - 1; j >= max(k-p.g.rise/2, 0); j-- {
		if !p.c.has(j, q) {
			return true
		}
	}
	if p.strips == nil {
		p.strips = make([]*locator, len(p.units))
	}
	for i, u := range p.units {
		if u.k >= k || u.k < k-p.g.rise {
			continue
		}
		if p.strips[i] == nil {
			p.strips[i] = newLocator(u.foot)
		}
		r := (p.c.st.mid(k)-p.c.st.mid(u.k))*p.g.lean + 2*hair
		if p.strips[i].has(q) || p.strips[i].near(q, r) {
			return true
		}
	}
	return false
}

// split reports whether nodes are cut off from the held rims although others
// are not, and a disc of the given diameter fits among them.
func (s *sheet) split(diameter float64) bool {
	var reached func(n int32) bool
	if s.cliffs {
		reached = s.flood()
	} else {
		reached = s.patches()
	}
	if reached == nil {
		return false
	}
	for n, c := range s.clear {
		if (float64(c)-0.5)*s.cell >= diameter/2 && !reached(int32(n)) {
			return true
		}
	}
	return false
}

// patches tells which nodes hang together with one at a held rim; nil when all or
// none do. It joins runs of nodes, row by row: on nearly all ceilings they are one
// patch, and none of them need be asked.
func (s *sheet) patches() func(n int32) bool {
	var root, from []int32 // by run: union-find, and its first lattice index
	run := make([]int32, len(s.at))
	find := func(i int32) int32 {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	several := 0
	below := 0 // the first run that may touch the one in hand
	for n, i := range s.at {
		if n > 0 && s.at[n-1] == i-1 {
			run[n] = run[n-1]
			continue
		}
		r := int32(len(root))
		root, from = append(root, r), append(from, i)
		run[n] = r
		several++
	}
	// The end of a run is found with its nodes: the last before the next run.
	end := make([]int32, len(root))
	for n, r := range run {
		end[r] = s.at[n]
	}
	nx := int32(s.nx)
	for r := range root {
		for end[below] < from[r]-nx-1 {
			below++
		}
		for b := below; b < r && from[b] <= end[r]-nx+1; b++ {
			if p, q := find(int32(b)), find(int32(r)); p != q {
				root[max(p, q)] = min(p, q)
				several--
			}
		}
	}
	held := make([]bool, len(root))
	some := false
	for _, r := range s.rims {
		if r.held && !(some && several == 1) {
			s.along(r, func(n int32) { held[find(run[n])], some = true, true })
		}
	}
	if !some || several == 1 {
		return nil
	}
	return func(n int32) bool { return held[find(run[n])] }
}

// flood is [sheet.patches] where neighbours may not touch; nil when no node is
// reached.
func (s *sheet) flood() func(n int32) bool {
	reached := make([]bool, len(s.at))
	var stack []int32
	visit := func(n int32) {
		if !reached[n] {
			reached[n] = true
			stack = append(stack, n)
		}
	}
	for _, r := range s.rims {
		if r.held {
			s.along(r, func(n int32) { visit(n) })
		}
	}
	if len(stack) == 0 {
		return nil
	}
	for len(stack) > 0 {
		n := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		for w := range ways {
			if m := s.next(n, w); m >= 0 {
				visit(m)
			}
		}
	}
	return func(n int32) bool { return reached[n] }
}
