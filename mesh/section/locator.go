package section

import "math"

// A Locator answers for one region, asked often, what [Polygons.Contains] does,
// bit for bit: edges are filed by bands of equal height, so that a question looks
// only at those that cross the point's own band. It may be shared by goroutines.
type Locator struct {
	from, scale float64 // of bands: band of y is (y-from)*scale, rounded down
	start       []int32 // band i owns edges[start[i]:start[i+1]]
	edges       [][2]Point
	lo, hi      float64 // heights beyond which nothing is inside
}

// mostFiled is how many times as many entries as edges a locator may hold: long
// upright edges lie in every band.
const mostFiled = 8

// NewLocator files the edges of a region. What it holds is that region for good,
// whatever becomes of the paths.
func NewLocator(p Polygons) *Locator {
	l := &Locator{lo: math.Inf(1), hi: math.Inf(-1)}
	n := 0
	for _, r := range p {
		n += len(r)
		for _, q := range r {
			l.lo, l.hi = math.Min(l.lo, q[1]), math.Max(l.hi, q[1])
		}
	}
	l.from = l.lo
	for bands := min(max(n/2, 1), 4096); ; bands /= 2 {
		if l.scale = float64(bands) / (l.hi - l.lo); bands <= 1 || !(l.scale < math.MaxFloat64) {
			l.scale, bands = 0, 1
		}
		l.start = make([]int32, bands+1)
		filed := 0
		l.file(p, func(band int, _ [2]Point) { l.start[band+1]++; filed++ })
		if filed <= mostFiled*n || bands == 1 {
			break
		}
	}
	for i := range l.start[1:] {
		l.start[i+1] += l.start[i]
	}
	l.edges = make([][2]Point, l.start[len(l.start)-1])
	next := append([]int32(nil), l.start...)
	l.file(p, func(band int, e [2]Point) { l.edges[next[band]] = e; next[band]++ })
	return l
}

// file hands out each edge that is not level, once for every band it lies in.
func (l *Locator) file(p Polygons, put func(band int, e [2]Point)) {
	for _, r := range p {
		for i, b := range r {
			a := r[(i+len(r)-1)%len(r)]
			if a[1] == b[1] {
				continue
			}
			for k := l.band(math.Min(a[1], b[1])); k <= l.band(math.Max(a[1], b[1])); k++ {
				put(k, [2]Point{a, b})
			}
		}
	}
}

// band never falls where y grows, so that a point between the ends of an edge is
// in one of the edge's bands.
func (l *Locator) band(y float64) int {
	return min(max(int((y-l.from)*l.scale), 0), len(l.start)-2)
}

// Contains reports whether q lies inside the region.
func (l *Locator) Contains(q Point) bool {
	if !(q[1] >= l.lo && q[1] <= l.hi) {
		return false
	}
	k := l.band(q[1])
	w := 0
	for i := l.start[k]; i < l.start[k+1]; i++ {
		w += winds(&l.edges[i][0], &l.edges[i][1], q)
	}
	return w != 0
}

// winds is what an edge adds to the winding number round q.
func winds(a, b *Point, q Point) int {
	up := a[1] <= q[1]
	if up == (b[1] <= q[1]) {
		return 0
	}
	left := float64((b[0]-a[0])*(q[1]-a[1])) > float64((b[1]-a[1])*(q[0]-a[0]))
	switch {
	case up && left:
		return 1
	case !up && !left:
		return -1
	}
	return 0
}
