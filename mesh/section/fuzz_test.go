package section

import (
	"math"
	"testing"

	clipper "github.com/ctessum/go.clipper"
	"pgregory.net/rapid"

	"falsework/mesh/meshtest/property"
)

// decode makes two lists of rings with corners on a 16 by 16 grid from bytes:
// degeneracy everywhere. A byte of 255 ends a ring, 254 goes on to the second.
func decode(data []byte) (a, b Polygons) {
	cur, r := &a, Path(nil)
	end := func() {
		if len(r) > 0 {
			*cur = append(*cur, r)
		}
		r = nil
	}
	for _, c := range data {
		switch c {
		case 255:
			end()
		case 254:
			end()
			cur = &b
		default:
			r = append(r, Point{float64(c & 15), float64(c >> 4)})
		}
	}
	end()
	return a, b
}

func FuzzClip(f *testing.F) {
	f.Add([]byte{0, 4, 0x44, 0x40, 254, 0x22, 0x26, 0x66, 0x62})
	f.Add([]byte{0, 4, 0x44, 0x40, 255, 0x11, 0x31, 0x33, 0x13, 254, 0x04, 0x08, 0x48, 0x44})
	f.Add([]byte{0, 8, 8, 0, 254, 1, 1})
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 60 {
			return
		}
		a, b := decode(data)
		u, i, d, x := Union(a, b), Intersect(a, b), Subtract(a, b), Xor(a, b)
		for _, p := range []Polygons{u, i, d, x} {
			validate(t, "clip", p)
			checkTriangles(t, p)
		}
		area := Nonzero(a).Area()
		near(t, "a", d.Area()+i.Area(), area, 1e-4)
		near(t, "xor", x.Area()+i.Area(), u.Area(), 1e-4)
		grown, shrunk := Offset(a, 0.7, Miter), Offset(a, -0.7, Round)
		validate(t, "grown", grown)
		validate(t, "shrunk", shrunk)
		near(t, "a in its growth", Subtract(a, grown).Area(), 0, 1e-4)
		near(t, "a without its growth", Beyond(a, Nonzero(a), 0.7).Area(), 0, 1e-4)
		near(t, "shrunk in a", Subtract(shrunk, a).Area(), 0, 1e-4)
		near(t, "opened in a", Subtract(OpenBy(a, 1.1), a).Area(), 0, 1e-4)
		a.Components()
		a.Inside()
		a.ClipLine([]Point{{1, 1}, {9, 7}, {3, 12}})
		Simplify(a, 0.3)
		Triangulate(a)
		if m, err := Prism(a, Level(3), 0, 1); err == nil {
			near(t, "volume", checkSolid(t, m), area, 0.05*(1+area))
		}
	})
}

// Nothing panics and nothing hangs on numbers that are no places.
func TestOddNumbers(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	odd := []float64{0, -1, 1e-310, -1e300, 1e9, inf, nan, math.MaxFloat64}
	for _, x := range odd {
		for _, y := range odd {
			p := Polygons{{{0, 0}, {x, 0}, {x, y}}, {{x, y}}, {}, nil, {{1, 1}, {2, 1}, {2, 2}}}
			for _, q := range []Polygons{Union(p, p), Offset(p, x, Miter), Offset(p, y, Round), Beyond(p, p, x), OpenBy(p, y), Clean(p), Simplify(p, x)} {
				q.Area()
			}
			p.Components()
			p.Inside()
			p.Nearest(Point{x, y})
			p.Spans(Line{Point{x, y}, Point{y, x}})
			p.ClipLine([]Point{{x, y}, {y, x}, {0, 1}})
			Triangulate(p)
			Prism(p, Frame{Origin: [3]float64{x, y, 0}}, x, y)
			Raster(p, 1+math.Abs(x), Rect{Point{-5, -5}, Point{math.Min(y, 1e4), 5}})
			NewMask(Rect{Point{x, x}, Point{-x, y}}, 1e5)
			m := box(0, 0, 0, float32(x), float32(y), 3)
			s, c := NewSlicer(m), NewCutter(m)
			for _, z := range []float64{1, x, y} {
				s.At(z)
				s.Raster(z, 1, Rect{Point{-5, -5}, Point{5, 5}})
				c.At(Line{Point{x, z}, Point{1, 0}})
				c.At(Line{Point{1, 1}, Point{x, y}})
				Vertical(m, Line{Point{x, 1}, Point{y, 1}})
			}
		}
	}
	if p := Nonzero(Polygons{{{0, 0}, {nan, 0}, {1, 1}}, {{0, 0}, {1, 0}, {0, 1}}}); len(p) != 1 {
		t.Errorf("a ring that is no place gives %v", p)
	}
}

// Turned by quarters, mirrored and moved along the grid, the answer turns,
// mirrors and moves with the question, to the grid step of rounded crossings.
func TestMetamorphic(t *testing.T) {
	property.Check(t, func(rt *rapid.T) {
		ring := rapid.SliceOfN(rapid.Custom(func(rt *rapid.T) Point {
			return Point{float64(rapid.IntRange(-9, 9).Draw(rt, "x")), float64(rapid.IntRange(-9, 9).Draw(rt, "y"))}
		}), 3, 9)
		a, b := Polygons{ring.Draw(rt, "a")}, Polygons{ring.Draw(rt, "b")}
		d := float64(rapid.IntRange(-20, 20).Draw(rt, "d")) / 10
		for name, f := range map[string]func(Point) Point{
			"turn":   func(p Point) Point { return Point{-p[1], p[0]} },
			"mirror": func(p Point) Point { return Point{-p[0], p[1]} },
			"move":   func(p Point) Point { return Point{p[0] + 40.25, p[1] - 13.5} },
		} {
			image := func(p Polygons) Polygons {
				var out Polygons
				for _, r := range p {
					var q Path
					for _, v := range r {
						q = append(q, f(v))
					}
					out = append(out, q)
				}
				return out
			}
			if x, y := Subtract(a, b), Subtract(image(a), image(b)); Xor(image(x), y).Area() > 1e-3 {
				rt.Fatalf("%s: %v, then %v", name, x, y)
			}
			if x, y := Offset(a, d, Miter), Offset(image(a), d, Miter); Xor(image(x), y).Area() > 1e-3 {
				rt.Fatalf("%s: offset %v, then %v", name, x, y)
			}
		}
	})
}

// The clipping library agrees on regions in general position.
func TestAgainstClipper(t *testing.T) {
	const scale = 1 << 16
	path := func(r Path) clipper.Path {
		var out clipper.Path
		for _, q := range r {
			out = append(out, clipper.NewIntPoint(clipper.CInt(math.Round(q[0]*scale)), clipper.CInt(math.Round(q[1]*scale))))
		}
		return out
	}
	property.Check(t, func(rt *rapid.T) {
		ring := rapid.SliceOfN(rapid.Custom(func(rt *rapid.T) Point {
			return Point{rapid.Float64Range(0, 100).Draw(rt, "x"), rapid.Float64Range(0, 100).Draw(rt, "y")}
		}), 3, 6)
		a, b := Path(ring.Draw(rt, "a")), Path(ring.Draw(rt, "b"))
		c := clipper.NewClipper(clipper.IoNone)
		if !c.AddPath(path(a), clipper.PtSubject, true) || !c.AddPath(path(b), clipper.PtClip, true) {
			return // a flat ring; it will not have it
		}
		var got float64
		var ok bool
		func() {
			defer func() { _ = recover() }() // it gives up on some degenerate input
			var out clipper.Paths
			out, ok = c.Execute1(clipper.CtDifference, clipper.PftNonZero, clipper.PftNonZero)
			got = clipper.AreaCombined(out) / scale / scale
		}()
		if want := Subtract(Polygons{a}, Polygons{b}).Area(); ok && math.Abs(got-want) > 0.05 {
			rt.Logf("library %g, here %g", got, want)
			rt.Fail()
		}
	})
}
