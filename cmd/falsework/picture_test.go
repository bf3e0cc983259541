package main

import (
	"image/color"
	"math"
	"testing"
)

// luminance is the relative luminance of WCAG 2.1 (W3C Recommendation, 2018).
func luminance(c color.NRGBA) float64 {
	f := func(x uint8) float64 {
		v := float64(x) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*f(c.R) + 0.7152*f(c.G) + 0.0722*f(c.B)
}

// deuteranope is what a reader without green cones sees (Machado, Oliveira
// and Fernandes, 2009, table for severity 1; coefficients from memory), on
// linear light.
func deuteranope(c color.NRGBA) [3]float64 {
	lin := func(x uint8) float64 { return math.Pow(float64(x)/255, 2.2) }
	r, g, b := lin(c.R), lin(c.G), lin(c.B)
	return [3]float64{
		0.367322*r + 0.860646*g - 0.227968*b,
		0.280085*r + 0.672501*g + 0.047413*b,
		-0.011820*r + 0.042940*g + 0.968881*b,
	}
}

// Every two classes differ in lightness by a contrast of 1.25 and more,
// shading aside, and in what a deuteranope sees.
func TestClassesStayApart(t *testing.T) {
	for i, a := range classes {
		for _, b := range classes[i+1:] {
			la, lb := luminance(a.Color), luminance(b.Color)
			contrast := (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
			if contrast < 1.25 {
				t.Errorf("%s and %s: contrast %.2f", a.Name, b.Name, contrast)
			}
			x, y := deuteranope(a.Color), deuteranope(b.Color)
			d := math.Sqrt((x[0]-y[0])*(x[0]-y[0]) + (x[1]-y[1])*(x[1]-y[1]) + (x[2]-y[2])*(x[2]-y[2]))
			if d < 0.2 {
				t.Errorf("%s and %s look alike to a deuteranope: %.2f apart", a.Name, b.Name, d)
			}
			t.Logf("%s / %s: contrast %.2f, %.2f apart", a.Name, b.Name, contrast, d)
		}
	}
}
