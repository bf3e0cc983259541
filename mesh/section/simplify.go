package section

import (
	"math"
	"sync"
)

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
	s := simplifiers.Get().(*simplifier)
	for _, r := range p {
		if len(r) < 3 || !finite(r) {
			continue
		}
		if q := s.ring(r, tol); len(q) > 2 {
			out = append(out, q)
		}
	}
	region := Nonzero(out)
	s.free()
	return region
}

// A simplifier is the memory that rings are simplified in, used again: a survey
// simplifies those of hundreds of sections. The rings it returns are gone with it.
type simplifier struct {
	at   []Point
	keep []bool
	work [][2]int
	kept []Point
}

var simplifiers = sync.Pool{New: func() any { return new(simplifier) }}

// free gives the memory back.
func (s *simplifier) free() {
	s.kept = s.kept[:0]
	simplifiers.Put(s)
}

func (s *simplifier) ring(r Path, tol float64) Path {
	a := 0
	for i, q := range r {
		if q[0] < r[a][0] || q[0] == r[a][0] && q[1] < r[a][1] {
			a = i
		}
	}
	n := len(r)
	// From the lowest point round to it again, so that no index needs wrapping.
	at := append(append(append(s.at[:0], r[a:]...), r[:a]...), r[a])
	s.at = at
	far, b := -1.0, 0
	for i, q := range at[:n] {
		if d := dist2(at[0], q); d > far {
			far, b = d, i
		}
	}
	keep := zeroes(&s.keep, n+1)
	keep[0], keep[b] = true, true
	s.work = append(s.work[:0], [2]int{0, b}, [2]int{b, n})
	for len(s.work) > 0 {
		w := s.work[len(s.work)-1]
		s.work = s.work[:len(s.work)-1]
		if k := standsOut(at, w[0], w[1], tol*tol); k >= 0 {
			keep[k] = true
			s.work = append(s.work, [2]int{w[0], k}, [2]int{k, w[1]})
		}
	}
	first := len(s.kept)
	for i, q := range at[:n] {
		if keep[i] {
			s.kept = append(s.kept, q)
		}
	}
	return s.kept[first:len(s.kept):len(s.kept)]
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
