package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// finite returns a pointer to x rounded for JSON, nil (null) where x is
// infinite or no number.
func finite(x float64) *float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return nil
	}
	x = round(x)
	return &x
}

// round keeps a tenth of a micron, so that files stay readable.
func round(x float64) float64 {
	r := math.Round(x*1e4) / 1e4
	if r == 0 {
		return 0 // never -0
	}
	return r
}

func round2(p [2]float64) [2]float64 { return [2]float64{round(p[0]), round(p[1])} }
func round3(p [3]float64) [3]float64 { return [3]float64{round(p[0]), round(p[1]), round(p[2])} }

// length writes millimetres with one decimal, "-" where infinite.
func length(x float64) string {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return "-"
	}
	return strconv.FormatFloat(math.Round(x*10)/10, 'f', 1, 64)
}

// plain writes a number without needless zeros.
func plain(x float64) string {
	return strconv.FormatFloat(math.Round(x*1e6)/1e6, 'f', -1, 64)
}

// thousands writes a count with commas.
func thousands(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// count writes a number of things: "1 rib", "3 ribs".
func count(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return thousands(n) + " " + plural(one)
}

func plural(one string) string {
	switch {
	case one == "foot":
		return "feet"
	case strings.HasSuffix(one, "s"):
		return one + "es"
	}
	return one + "s"
}

// amount writes a quantity with the given decimals, and with more where it is
// so small that less than two figures of it would be left.
func amount(x float64, least int) string {
	return strconv.FormatFloat(x, 'f', decimals(x, least), 64)
}

// decimals is how many decimals amount writes.
func decimals(x float64, least int) int {
	for a := math.Abs(x); a > 0 && least < 9 && a*math.Pow10(least) < 9.5; {
		least++
	}
	return least
}

// duration writes minutes as a person would say them.
func duration(minutes float64) string {
	m := int(math.Ceil(minutes - 1e-9))
	switch {
	case math.IsNaN(minutes) || minutes < 0 || minutes > 1e7:
		return "an unknown time"
	case m < 60:
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}

// box writes the size of a box.
func box(lo, hi [3]float64) string {
	return fmt.Sprintf("%s x %s x %s mm", length(hi[0]-lo[0]), length(hi[1]-lo[1]), length(hi[2]-lo[2]))
}
