package section

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

// The areas of testdata/reference.json come from another library; the program
// that made them lies beside it.
func TestAgainstReference(t *testing.T) {
	data, err := os.ReadFile("testdata/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []struct {
		A, B                       Polygons
		D                          float64
		Union, Intersect, Subtract float64
		Grown, Shrunk, Round       float64
	}
	if err := json.Unmarshal(data, &cases); err != nil || len(cases) < 100 {
		t.Fatalf("%d cases: %v", len(cases), err)
	}
	differ := 0 // among mitred offsets that may
	for i, c := range cases {
		// The library works to 1e-6 or so, and rounds arcs with 2048 chords.
		r, _ := c.A.Bounds()
		tol := 1e-5 * (1 + r.Max[0])
		a := Nonzero(c.A)
		mitred := comparable(a)
		for _, x := range []struct {
			what      string
			got, want float64
			tol       float64
		}{
			{"union", Union(c.A, c.B).Area(), c.Union, tol},
			{"intersect", Intersect(c.A, c.B).Area(), c.Intersect, tol},
			{"subtract", Subtract(c.A, c.B).Area(), c.Subtract, tol},
			{"grown", Offset(a, c.D, Miter).Area(), c.Grown, 100 * tol},
			{"shrunk", Offset(a, -c.D, Miter).Area(), c.Shrunk, 100 * tol},
			{"round", Offset(a, c.D, Round).Area(), c.Round, 100*tol + ArcTolerance*a.Perimeter()},
		} {
			if !mitred && x.what == "grown" {
				if !(math.Abs(x.got-x.want) <= x.tol) {
					differ++
				}
				continue
			}
			if !(math.Abs(x.got-x.want) <= x.tol) {
				t.Errorf("case %d, %s: area %.9g, reference %.9g", i, x.what, x.got, x.want)
			}
		}
	}
	if differ > len(cases)/30 {
		t.Errorf("%d mitred offsets of %d differ", differ, len(cases))
	}
}

// comparable reports whether the mitred growth of a region must be the same for
// everybody. It need not be where two rings touch (as two rings or one, they have
// other corners there), nor at inner corners folded back to less than three
// degrees, which the other library turns as outer ones.
func comparable(p Polygons) bool {
	for i, r := range p {
		for k, q := range r {
			m, _ := normal(r[(k+len(r)-1)%len(r)], q)
			n, _ := normal(q, r[next(k, len(r))])
			if m[0]*n[0]+m[1]*n[1] < -0.999 {
				return false
			}
			for j, o := range p {
				if i == j {
					continue
				}
				if c, _ := (Polygons{o}).Nearest(q); dist2(c, q) < 1e-10 {
					return false
				}
			}
		}
	}
	return true
}
