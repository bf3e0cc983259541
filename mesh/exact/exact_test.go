package exact

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"falsework/mesh/meshtest/property"
)

// near draws numbers that make determinants vanish often: small integers,
// their neighbours in the last place, and a few of any size.
func near(t *rapid.T, name string) float64 {
	x := float64(rapid.IntRange(-4, 4).Draw(t, name))
	switch rapid.IntRange(0, 3).Draw(t, name+"+") {
	case 0:
		return math.Nextafter(x, math.Inf(1))
	case 1:
		return x / 3
	case 2:
		return math.Ldexp(x, rapid.IntRange(-1074, 1000).Draw(t, name+"^"))
	}
	return x
}

func near32(t *rapid.T, name string) float32 {
	x := float32(rapid.IntRange(-4, 4).Draw(t, name))
	switch rapid.IntRange(0, 3).Draw(t, name+"+") {
	case 0:
		return math.Nextafter32(x, float32(math.Inf(1)))
	case 1:
		return x / 3
	case 2:
		return float32(math.Ldexp(float64(x), rapid.IntRange(-149, 120).Draw(t, name+"^")))
	}
	return x
}

func point2(t *rapid.T, name string) [2]float64 {
	return [2]float64{near(t, name+"x"), near(t, name+"y")}
}

func point3(t *rapid.T, name string) [3]float32 {
	return [3]float32{near32(t, name+"x"), near32(t, name+"y"), near32(t, name+"z")}
}

// rat2 is the brute-force twin: the same determinant in rational numbers.
func rat2(a, b, c, d [2]float64) int {
	r := func(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }
	s := func(x, y float64) *big.Rat { return new(big.Rat).Sub(r(x), r(y)) }
	m := func(x, y *big.Rat) *big.Rat { return new(big.Rat).Mul(x, y) }
	return m(s(b[0], a[0]), s(d[1], c[1])).Cmp(m(s(b[1], a[1]), s(d[0], c[0])))
}

func rat3(a, b, c, d [3]float32) int {
	var m [3][3]*big.Rat
	for i, p := range [3][3]float32{b, c, d} {
		for k := range 3 {
			m[i][k] = new(big.Rat).Sub(new(big.Rat).SetFloat64(float64(p[k])), new(big.Rat).SetFloat64(float64(a[k])))
		}
	}
	det := new(big.Rat)
	for _, p := range [][4]int{{0, 1, 2, 1}, {1, 2, 0, 1}, {2, 0, 1, 1}, {2, 1, 0, -1}, {1, 0, 2, -1}, {0, 2, 1, -1}} {
		t := new(big.Rat).Mul(m[0][p[0]], m[1][p[1]])
		t.Mul(t, m[2][p[2]])
		if p[3] < 0 {
			t.Neg(t)
		}
		det.Add(det, t)
	}
	return det.Sign()
}

func TestPlanarIdentities(t *testing.T) {
	property.Check(t, func(t *rapid.T) {
		a, b, c, d := point2(t, "a"), point2(t, "b"), point2(t, "c"), point2(t, "d")
		o := Orient2D(a, b, c)
		if want := rat2(a, b, a, c); o != want {
			t.Fatalf("Orient2D = %d, in rational numbers %d", o, want)
		}
		if r := Orient2D(b, c, a); r != o {
			t.Fatalf("rotated: %d, not %d", r, o)
		}
		if s := Orient2D(b, a, c); s != -o {
			t.Fatalf("swapped: %d, not %d", s, -o)
		}
		x := Cross2D(a, b, c, d)
		if want := rat2(a, b, c, d); x != want {
			t.Fatalf("Cross2D = %d, in rational numbers %d", x, want)
		}
		if y := Cross2D(c, d, a, b); y != -x {
			t.Fatalf("Cross2D swapped: %d, not %d", y, -x)
		}
	})
}

func TestSpatialIdentities(t *testing.T) {
	property.Check(t, func(t *rapid.T) {
		a, b, c, d := point3(t, "a"), point3(t, "b"), point3(t, "c"), point3(t, "d")
		o := Orient3D(a, b, c, d)
		if want := rat3(a, b, c, d); o != want {
			t.Fatalf("Orient3D = %d, in rational numbers %d", o, want)
		}
		if r := Orient3D(b, c, a, d); r != o {
			t.Fatalf("rotated: %d, not %d", r, o)
		}
		for name, s := range map[string]int{
			"ab": Orient3D(b, a, c, d), "bc": Orient3D(a, c, b, d), "cd": Orient3D(a, b, d, c), "ad": Orient3D(d, b, c, a),
		} {
			if s != -o {
				t.Fatalf("%s swapped: %d, not %d", name, s, -o)
			}
		}
		det, bound := Volume(a, b, c, d)
		v, _ := VolumeExact(a, b, c, d)
		f := new(big.Float).SetPrec(2000).SetInt(v)
		f.SetMantExp(f, -3*scale)
		f.Sub(f, big.NewFloat(det))
		if f.Abs(f).Cmp(big.NewFloat(bound)) > 0 {
			t.Fatalf("Volume is off by %v, more than its bound %v", f, bound)
		}
	})
}

func TestKnownSides(t *testing.T) {
	up := [3]float32{0, 0, 1}
	o, x, y := [3]float32{0, 0, 0}, [3]float32{1, 0, 0}, [3]float32{0, 1, 0}
	if got := Orient3D(o, x, y, up); got != 1 {
		t.Errorf("a point above a counter-clockwise triangle: %d, want 1", got)
	}
	if got := Orient2D([2]float64{0, 0}, [2]float64{1, 0}, [2]float64{0, 1}); got != 1 {
		t.Errorf("a counter-clockwise turn: %d, want 1", got)
	}
	// A triangle seen from +k stays counter-clockwise when k is dropped.
	for k := range 3 {
		var a, b, c [3]float32
		b[(k+1)%3], c[(k+2)%3] = 1, 1
		if got := Orient2D(Drop(a, k), Drop(b, k), Drop(c, k)); got != 1 {
			t.Errorf("axis %d dropped: %d, want 1", k, got)
		}
	}
}

// A grid of points one unit in the last place apart round a line far from the
// origin: float64 alone gets thousands of these wrong (Kettner et al.,
// "Classroom Examples of Robustness Problems in Geometric Computations", 2008).
func TestNearlyCollinearGrid(t *testing.T) {
	const n = 64
	wrong := 0
	for i := range n {
		for j := range n {
			a := [2]float64{0.5 + float64(i)*0x1p-53, 0.5 + float64(j)*0x1p-53}
			b, c := [2]float64{12, 12}, [2]float64{24, 24}
			want := 0
			switch {
			case i > j:
				want = -1
			case i < j:
				want = 1
			}
			if got := Orient2D(b, c, a); got != want {
				t.Fatalf("point %d,%d: %d, want %d", i, j, got, want)
			}
			naive := (c[0]-b[0])*(a[1]-b[1]) - (c[1]-b[1])*(a[0]-b[0])
			if int(math.Copysign(1, naive)) != want && (naive != 0 || want != 0) {
				wrong++
			}
		}
	}
	t.Logf("%d of %d points would be wrong in float64 alone", wrong, n*n)
}

func TestCollinear(t *testing.T) {
	a, b := [3]float32{1, 2, 3}, [3]float32{3, 6, 9}
	for _, c := range []struct {
		p    [3]float32
		want bool
	}{
		{[3]float32{2, 4, 6}, true},
		{a, true},
		{[3]float32{2, 4, math.Nextafter32(6, 7)}, false},
		{[3]float32{2, math.Nextafter32(4, 3), 6}, false},
	} {
		if got := Collinear(a, b, c.p); got != c.want {
			t.Errorf("Collinear(%v) = %v", c.p, got)
		}
	}
}

func TestNotFinite(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	for _, bad := range []float32{nan, inf, -inf} {
		if got := Orient3D([3]float32{bad, 0, 0}, [3]float32{1, 0, 0}, [3]float32{0, 1, 0}, [3]float32{0, 0, 1}); got != 0 {
			t.Errorf("Orient3D with %v: %d, want 0", bad, got)
		}
		if got := Orient2D([2]float64{float64(bad), 0}, [2]float64{1, 0}, [2]float64{0, 1}); got != 0 {
			t.Errorf("Orient2D with %v: %d, want 0", bad, got)
		}
	}
}

func BenchmarkOrient3D(b *testing.B) {
	p := [4][3]float32{{0, 0, 0}, {100, 0, 1}, {0, 100, 2}, {30, 30, 4}}
	b.Run("filter", func(b *testing.B) {
		for b.Loop() {
			Orient3D(p[0], p[1], p[2], p[3])
		}
	})
	p[3] = [3]float32{50, 50, 1.5}
	b.Run("exact", func(b *testing.B) {
		for b.Loop() {
			Orient3D(p[0], p[1], p[2], p[3])
		}
	})
}
