package span

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"falsework/mesh/meshtest/property"
)

func look(at float64, s Seen) Observation { return Observation{At: at, Seen: s} }
func sag(at, mm float64) Observation      { return Observation{At: at, Seen: Measured, Sag: mm} }

func TestCalibrateLength(t *testing.T) {
	cases := []struct {
		name string
		seen []Observation
		want float64
	}{
		// Common practice, no published source: 30 and 70 print, at 100 strands droop.
		{"facts of the trade", []Observation{look(30, Clean), look(70, Clean), look(100, Sagging)}, 70},
		{"order does not matter", []Observation{look(100, Sagging), look(70, Clean), look(30, Clean)}, 70},
		{"a lucky one beyond a failure", []Observation{look(30, Clean), look(40, Failed), look(50, Clean)}, 30},
		{"all clean is not stretched", []Observation{look(20, Clean), look(120, Clean)}, 120},
		{"seen twice, once sagging", []Observation{look(20, Clean), look(30, Clean), look(30, Sagging)}, 20},
		// sag = 0.0001 L^2 exactly: 0.3 mm at sqrt(3000).
		{"square law", []Observation{sag(20, 0.04), sag(40, 0.16), sag(60, 0.36), sag(80, 0.64)}, math.Sqrt(3000)},
		{"sags all within", []Observation{sag(20, 0.02), sag(40, 0.1)}, 40},
		{"a failure holds the fit", []Observation{sag(20, 0.04), sag(40, 0.16), sag(60, 0.36), look(50, Failed)}, 40},
		{"a failure holds what is within", []Observation{sag(20, 0.04), sag(60, 0.1), look(50, Failed)}, 20},
		{"held at what is accepted", []Observation{sag(20, 0.04), sag(40, 0.31), sag(60, 0.2), sag(80, 0.9), look(45, Failed)}, 20},
		// sag = 0.0001 L^2: 0.3 mm lies beyond the last bridge measured.
		{"never past what was measured", []Observation{sag(20, 0.04), sag(40, 0.16), sag(53, 0.301), sag(54, 0.27)}, 54},
	}
	for _, c := range cases {
		got, err := CalibrateLength(c.seen, AcceptedSag)
		if err != nil || math.Abs(got.Limit-c.want) > 1e-9 {
			t.Errorf("%s: limit %v (%v), want %v", c.name, got.Limit, err, c.want)
		}
		if got.Why == "" {
			t.Errorf("%s: no reason given", c.name)
		}
	}
}

func TestCalibrateRefuses(t *testing.T) {
	cases := []struct {
		name string
		seen []Observation
		want string
	}{
		{"nothing", nil, "nothing was seen"},
		{"none clean", []Observation{look(20, Sagging)}, "begins lower"},
		{"sag beyond the shortest", []Observation{sag(20, 1), sag(40, 4), sag(60, 9)}, "begins lower"},
		{"two sags", []Observation{sag(20, 0.1), sag(40, 0.5)}, "too few measured sags"},
		{"sag falls with length", []Observation{sag(20, 0.9), sag(40, 0.5), sag(60, 0.2)}, "do not grow"},
		{"scatter", []Observation{sag(20, 0.1), sag(40, 0.9), sag(60, 0.1), sag(80, 0.8)}, "scatter"},
		{"negative sag", []Observation{sag(20, -1)}, "cannot be"},
		{"no length", []Observation{look(0, Clean)}, "outside"},
		{"not a number", []Observation{look(math.NaN(), Clean)}, "outside"},
	}
	for _, c := range cases {
		if got, err := CalibrateLength(c.seen, AcceptedSag); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, %v; want an error with %q", c.name, got, err, c.want)
		}
	}
}

func TestCalibrateSlope(t *testing.T) {
	// sag = 0.2 tan(lean)^3 exactly: 0.3 mm at atan(1.5^(1/3)).
	var cubed []Observation
	for _, a := range []float64{35, 45, 55, 65} {
		cubed = append(cubed, sag(a, 0.2*math.Pow(math.Tan(a*math.Pi/180), 3)))
	}
	cases := []struct {
		name string
		seen []Observation
		want float64
	}{
		// Common practice, no published source: walls lean up to 45 degrees unaided.
		{"facts of the trade", []Observation{look(40, Clean), look(45, Clean), look(50, Sagging)}, 45},
		{"the last before the first", []Observation{look(35, Clean), look(45, Clean), look(50, Clean), look(55, Sagging), look(60, Failed)}, 50},
		{"cube of the tangent", cubed, math.Atan(math.Cbrt(1.5)) * 180 / math.Pi},
		{"a failure holds the fit", append(cubed[:3:3], look(46, Failed)), 45},
	}
	for _, c := range cases {
		got, err := CalibrateSlope(c.seen, AcceptedSag)
		if err != nil || math.Abs(got.Limit-c.want) > 1e-9 {
			t.Errorf("%s: slope %v (%v), want %v", c.name, got.Limit, err, c.want)
		}
	}
	if _, err := CalibrateSlope([]Observation{look(90, Clean)}, AcceptedSag); err == nil {
		t.Error("a step that lies flat was taken")
	}
}

// norris is the data set Norris of the linear regression problems of the NIST
// Statistical Reference Datasets (36 pairs x, y; level of difficulty lower),
// typed from memory. The certified values below hold to nine figures, so the
// typing is right.
var norris = [][2]float64{
	{0.2, 0.1}, {337.4, 338.8}, {118.2, 118.1}, {884.6, 888.0}, {10.1, 9.2}, {226.5, 228.1}, {666.3, 668.5}, {996.3, 998.5}, {448.6, 449.1},
	{777.0, 778.9}, {558.2, 559.2}, {0.4, 0.3}, {0.6, 0.1}, {775.5, 778.1}, {666.9, 668.8}, {338.0, 339.3}, {447.5, 448.9}, {11.6, 10.8},
	{556.0, 557.7}, {228.1, 228.3}, {995.8, 998.0}, {887.6, 888.8}, {120.2, 119.6}, {0.3, 0.3}, {0.3, 0.6}, {556.8, 557.6}, {339.1, 339.3},
	{887.2, 888.0}, {999.0, 998.5}, {779.0, 778.9}, {11.1, 10.2}, {118.3, 117.6}, {229.2, 228.9}, {669.1, 668.4}, {448.9, 449.2}, {0.5, 0.2},
}

// Certified by NIST (values from memory): intercept -0.262323073774029, slope
// 1.00211681802045, residual standard deviation 0.884796396144373, R-squared
// 0.999993745883712. Lengths and sags are the exponentials of a thousandth of
// the data, so that fitSag meets the data on its logarithms.
func TestFitAgainstNorris(t *testing.T) {
	var sags []Observation
	for _, p := range norris {
		sags = append(sags, sag(math.Exp(p[0]/1000), math.Exp(p[1]/1000)))
	}
	f, err := fitSag(sags, false)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"intercept", 1000 * math.Log(f.Factor), -0.262323073774029},
		{"slope", f.Power, 1.00211681802045},
		{"residual standard deviation", 1000 * math.Log(f.Spread), 0.884796396144373},
		{"R-squared", f.R2, 0.999993745883712},
	} {
		if math.Abs(c.got/c.want-1) > 1e-9 {
			t.Errorf("%s %.15g, certified %.15g", c.name, c.got, c.want)
		}
	}
	if f.Points != len(norris) || f.Quality != "good" {
		t.Errorf("%d points, quality %s", f.Points, f.Quality)
	}
}

// F. J. Anscombe, Graphs in Statistical Analysis, The American Statistician 27
// (1973), first data set; figures from memory: y = 3.00 + 0.500 x, R2 = 0.67.
// The same data as logarithms must give the same line through fitSag.
func TestFitAgainstTextbook(t *testing.T) {
	x := []float64{10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5}
	y := []float64{8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68}
	a, b := stat.LinearRegression(x, y, nil, false)
	if math.Abs(a-3.0001) > 1e-4 || math.Abs(b-0.5001) > 1e-4 {
		t.Fatalf("line %v + %v x", a, b)
	}
	var sags []Observation
	for i := range x {
		sags = append(sags, sag(math.Exp(x[i]), math.Exp(y[i])))
	}
	f, err := fitSag(sags, false)
	if err == nil {
		t.Fatalf("a fit with R2 of %.2f was accepted", f.R2)
	}
	if !strings.Contains(err.Error(), "R2 0.67") {
		t.Errorf("the fit explains otherwise than the textbook: %v", err)
	}
}

func TestCalibrateNeverBeyondThePrint(t *testing.T) {
	property.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "n")
		obs := make([]Observation, n)
		longest := 0.0
		for i := range obs {
			obs[i] = Observation{At: rapid.Float64Range(1, 200).Draw(t, "at"),
				Seen: Seen(rapid.IntRange(0, 3).Draw(t, "seen")), Sag: rapid.Float64Range(0, 3).Draw(t, "sag")}
			longest = math.Max(longest, obs[i].At)
		}
		c, err := CalibrateLength(obs, AcceptedSag)
		if err != nil {
			return
		}
		if c.Limit > longest || !(c.Limit > 0) {
			t.Fatalf("limit %v from a piece of at most %v", c.Limit, longest)
		}
		if first := firstNotClean(obs); c.Limit >= first {
			t.Fatalf("limit %v at or beyond a bridge of %v that was not clean", c.Limit, first)
		}
	})
}
