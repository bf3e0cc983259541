package section

import "math"

// Clean returns the region without what the grid cannot tell from nothing:
// doubled points, points within a grid step of the line between their
// neighbours, and slivers no wider than a few steps.
func Clean(p Polygons) Polygons {
	step := GridFor(reach(p)).Step()
	out := Simplify(p, step)
	n := 0
	for _, r := range out {
		if math.Abs(r.Area()) > 2*step*r.Perimeter() {
			out[n] = r
			n++
		}
	}
	return out[:n:n]
}

// Simplify drops points of the border so that it moves nowhere by more than tol
// millimetres, and returns the region of what is left (Douglas and Peucker 1973,
// each ring anchored at its lowest point and the point farthest from it).
func Simplify(p Polygons, tol float64) Polygons {
	out := make(Polygons, 0, len(p))
	for _, r := range p {
		if len(r) < 3 || !finite(r) {
			continue
		}
		if s := simplifyRing(r, tol); len(s) > 2 {
			out = append(out, s)
		}
	}
	return Nonzero(out)
}

func simplifyRing(r Path, tol float64) Path {
	a := 0
	for i, q := range r {
		if q[0] < r[a][0] || q[0] == r[a][0] && q[1] < r[a][1] {
			a = i
		}
	}
	n := len(r)
	at := func(i int) Point { return r[(a+i)%n] }
	far, b := -1.0, 0
	for i := range n {
		if d := dist2(at(0), at(i)); d > far {
			far, b = d, i
		}
	}
	keep := make([]bool, n+1)
	keep[0], keep[b] = true, true
	type span struct{ from, to int }
	for work := []span{{0, b}, {b, n}}; len(work) > 0; {
		s := work[len(work)-1]
		work = work[:len(work)-1]
		worst, k := tol*tol, -1
		for i := s.from + 1; i < s.to; i++ {
			c := nearestOn(at(s.from), at(s.to), at(i))
			if d := dist2(c, at(i)); d > worst {
				worst, k = d, i
			}
		}
		if k >= 0 {
			keep[k] = true
			work = append(work, span{s.from, k}, span{k, s.to})
		}
	}
	out := make(Path, 0, n)
	for i := range n {
		if keep[i] {
			out = append(out, at(i))
		}
	}
	return out
}

func dist2(a, b Point) float64 {
	dx, dy := a[0]-b[0], a[1]-b[1]
	return float64(dx*dx) + float64(dy*dy)
}
