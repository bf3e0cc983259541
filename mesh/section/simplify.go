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
	// From the lowest point round to it again, so that no index needs wrapping.
	at := make([]Point, 0, n+1)
	at = append(append(append(at, r[a:]...), r[:a]...), r[a])
	far, b := -1.0, 0
	for i, q := range at[:n] {
		if d := dist2(at[0], q); d > far {
			far, b = d, i
		}
	}
	keep := make([]bool, n+1)
	keep[0], keep[b] = true, true
	type span struct{ from, to int }
	for work := []span{{0, b}, {b, n}}; len(work) > 0; {
		s := work[len(work)-1]
		work = work[:len(work)-1]
		if k := standsOut(at, s.from, s.to, tol*tol); k >= 0 {
			keep[k] = true
			work = append(work, span{s.from, k}, span{k, s.to})
		}
	}
	out := make(Path, 0, n)
	for i, q := range at[:n] {
		if keep[i] {
			out = append(out, q)
		}
	}
	return out
}

// standsOut returns the point between from and to that lies farthest from the
// straight way from the one to the other, -1 when none is further than the
// square root of least. Squares of distances are compared, times the square of
// the way's length: no division.
func standsOut(at []Point, from, to int, least float64) int {
	a, b := at[from], at[to]
	dx, dy := b[0]-a[0], b[1]-a[1]
	l := float64(dx*dx) + float64(dy*dy)
	if l == 0 {
		l = 1 // and every point lies before the way
	}
	least *= l
	k := -1
	for i := from + 1; i < to; i++ {
		x, y := at[i][0]-a[0], at[i][1]-a[1]
		var d float64
		switch t := float64(x*dx) + float64(y*dy); {
		case !(t > 0):
			d = (float64(x*x) + float64(y*y)) * l
		case t >= l:
			d = dist2(b, at[i]) * l
		default:
			d = float64(x*dy) - float64(y*dx)
			d = float64(d * d)
		}
		if d > least {
			least, k = d, i
		}
	}
	return k
}

func dist2(a, b Point) float64 {
	dx, dy := a[0]-b[0], a[1]-b[1]
	return float64(dx*dx) + float64(dy*dy)
}
