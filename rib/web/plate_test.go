package web

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
)

// A plate is a thin plate of a depth and height, clamped along its foot, free
// on the other three sides: a piece of web between a hold and its top.
type plate struct {
	depth, height float64
	poisson       float64
}

// flexibility is the deflection under a unit load across the plate at the top,
// at x from -1 (one corner) to +1, in units of height^2 / D, where D is the
// plate's bending stiffness. It is found by Ritz's method: the deflection is a
// polynomial that meets the clamped foot, its coefficients make the energy of
// Kirchhoff's theory least (S. Timoshenko and S. Woinowsky-Krieger, Theory of
// Plates and Shells, 2nd ed. 1959, the strain energy of bending in chapter 10;
// from memory).
func (p plate) flexibility(x float64, degree int) float64 {
	up, across := 6, degree+1 // eta^2..eta^7, Legendre polynomials 0..degree
	n := up * across
	k := mat.NewSymDense(n, nil)
	const points = 24
	xs, wx := make([]float64, points), make([]float64, points)
	ys, wy := make([]float64, points), make([]float64, points)
	quad.Legendre{}.FixedLocations(xs, wx, -1, 1)
	quad.Legendre{}.FixedLocations(ys, wy, 0, 1)
	a, b := p.depth/2, p.height
	wxx, wyy, wxy := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, xi := range xs {
		f := legendre(xi, degree)
		for j, eta := range ys {
			for m := range n {
				l, q := m/up, float64(m%up+2)
				wxx[m] = f[2][l] / (a * a) * math.Pow(eta, q)
				wyy[m] = f[0][l] * q * (q - 1) * math.Pow(eta, q-2) / (b * b)
				wxy[m] = f[1][l] / a * q * math.Pow(eta, q-1) / b
			}
			weight := wx[i] * wy[j] * a * b
			for r := range n {
				for c := r; c < n; c++ {
					e := (wxx[r]+wyy[r])*(wxx[c]+wyy[c]) -
						(1-p.poisson)*(wxx[r]*wyy[c]+wyy[r]*wxx[c]-2*wxy[r]*wxy[c])
					k.SetSym(r, c, k.At(r, c)+weight*e)
				}
			}
		}
	}
	load := mat.NewVecDense(n, nil)
	f := legendre(x, degree)
	for m := range n {
		load.SetVec(m, f[0][m/up])
	}
	var chol mat.Cholesky
	if !chol.Factorize(k) {
		return math.NaN()
	}
	var w mat.VecDense
	if err := chol.SolveVecTo(&w, load); err != nil {
		return math.NaN()
	}
	return mat.Dot(load, &w) / (p.height * p.height)
}

// legendre returns the Legendre polynomials up to a degree at x, and their
// first and second derivatives.
func legendre(x float64, degree int) [3][]float64 {
	var f [3][]float64
	for k := range f {
		f[k] = make([]float64, degree+1)
	}
	f[0][0] = 1
	if degree > 0 {
		f[0][1], f[1][1] = x, 1
	}
	for n := 1; n < degree; n++ {
		c := float64(2*n + 1)
		f[0][n+1] = (c*x*f[0][n] - float64(n)*f[0][n-1]) / float64(n+1)
		f[1][n+1] = f[1][n-1] + c*f[0][n]
		f[2][n+1] = f[2][n-1] + c*f[1][n]
	}
	return f
}

// The plates themselves against two known answers.
func TestPlateSolution(t *testing.T) {
	// A narrow strip is a beam: P L^3 / 3 E I, I = b t^3 / 12; any handbook.
	// With Poisson's ratio 0, D = E t^3 / 12.
	strip := plate{depth: 1, height: 20}
	if got, want := strip.flexibility(0, 4), 20.0/3; math.Abs(got-want) > 0.01*want {
		t.Errorf("strip: %.4f, want %.4f", got, want)
	}
	// An endless plate clamped along one edge, loaded in the middle of the
	// other: 0.168 P a^2 / D at Poisson's ratio 0.3 (T. J. Jaramillo, Deflections
	// and moments due to a concentrated load on a cantilever plate of infinite
	// length, J. Appl. Mech. 17, 1950; from memory).
	wide := plate{depth: 100, height: 20, poisson: 0.3}
	if got := wide.flexibility(0, 18); math.Abs(got-0.168) > 0.05*0.168 {
		t.Errorf("endless plate: %.4f, want 0.168", got)
	}
}

// The free length goes with the cube root of the depth, so that a web is as
// stiff across its plane at the end of its free length whatever its depth: for
// a strip that is the bending of a beam, k = E b t^3 / 4 L^3, exactly. A plate
// stops being a strip when it is about as deep as it is high; where the rule
// stops counting depth (40 mm) and its factor (1.15) are fitted, and this test
// holds how well.
func TestCubeRootOfDepth(t *testing.T) {
	s := DefaultSettings()
	stiff := func(depth, x float64) float64 {
		p := plate{depth: depth, height: s.FreeLength(depth), poisson: 0.3}
		return 1 / (p.flexibility(x, 10) * p.height * p.height)
	}
	base := stiff(10, 0)
	for _, depth := range []float64{3, 6, 10, 20, 40} {
		if r := stiff(depth, 0) / base; r < 0.9 || r > 1.1 {
			t.Errorf("depth %g, free length %.1f: %.2f times as stiff as depth 10", depth, s.FreeLength(depth), r)
		}
	}
	// Deeper than the cap: as stiff in the middle, at its corner not below half.
	for _, depth := range []float64{60, 80, 120} {
		if r := stiff(depth, 0) / base; r < 0.9 || r > 2 {
			t.Errorf("depth %g: %.2f in the middle", depth, r)
		}
		if r := stiff(depth, 1) / base; r < 0.4 {
			t.Errorf("depth %g: %.2f at the corner", depth, r)
		}
	}
	// A leg 3 deep and 35 high has about a tenth of the stiffness of a wide sheet
	// 35 high.
	leg, sheet := plate{3, 35, 0.3}, plate{140, 35, 0.3}
	if r := sheet.flexibility(0, 16) / leg.flexibility(0, 6); r > 0.1 {
		t.Errorf("leg 3 deep: %.3f of a sheet", r)
	}
}

// The table a maker reads.
func TestFreeLengthTable(t *testing.T) {
	s := DefaultSettings()
	for _, c := range []struct{ depth, want float64 }{{100, 30}, {40, 30}, {20, 24}, {10, 19}, {6, 16}, {3, 13}} {
		if got := s.FreeLength(c.depth); math.Abs(got-c.want) > 0.6 {
			t.Errorf("depth %g: %.2f, want %g", c.depth, got, c.want)
		}
	}
}
