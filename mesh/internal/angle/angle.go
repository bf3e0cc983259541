// Package angle holds what turning needs to be exact where it can be.
package angle

import "math"

// Sincos returns sine and cosine of an angle in degrees. They are exact for
// multiples of 90, so that a part turned by a right angle keeps its flat faces
// flat.
func Sincos(deg float64) (s, c float64) {
	q := math.Mod(deg, 360)
	if q < 0 {
		q += 360
	}
	switch q {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	case 180:
		return 0, -1
	case 270:
		return -1, 0
	}
	return math.Sincos(q * math.Pi / 180)
}
