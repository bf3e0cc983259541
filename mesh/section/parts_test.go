package section

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"falsework/mesh/stl"
)

// parts returns the folder of real parts, or skips the test.
func parts(t testing.TB) string {
	dir := os.Getenv("FALSEWORK_PARTS")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "parts")
	}
	if _, err := os.Stat(dir); err != nil {
		t.Skip("no folder of real parts; set FALSEWORK_PARTS to one")
	}
	return dir
}

// Every section of every real part is a valid region, and its area is that of
// its raster within what the border can hide.
func TestRealParts(t *testing.T) {
	files, _ := filepath.Glob(filepath.Join(parts(t), "*.stl"))
	if len(files) == 0 {
		t.Fatal("the folder of real parts is empty")
	}
	for _, f := range files {
		file, err := stl.ReadFile(context.Background(), f)
		if err != nil {
			t.Logf("%s: %v", filepath.Base(f), err)
			continue
		}
		m := file.Mesh
		s, c := NewSlicer(m), NewCutter(m)
		b := m.Bounds()
		size := math.Max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1])
		plan := Rect{Point{b.Min[0], b.Min[1]}, Point{b.Max[0], b.Max[1]}}
		gaps := 0
		for i := range 25 {
			z := b.Min[2] + (b.Max[2]-b.Min[2])*(float64(i)+0.5)/25
			if i%2 == 0 { // through a vertex
				z = float64(m.Vertices[i*7919%len(m.Vertices)][2])
			}
			p, err := s.At(z)
			var open *OpenError
			if errors.As(err, &open) {
				gaps++
			}
			validate(t, filepath.Base(f), p)
			checkTriangles(t, p)
			if err == nil {
				cell := size / 300
				got := float64(s.Raster(z, cell, plan).Count()) * cell * cell
				near(t, filepath.Base(f)+" area of the raster", got, p.Area(), 0.5*cell*p.Perimeter()+4*cell*cell)
			}
			x := b.Min[0] + (b.Max[0]-b.Min[0])*(float64(i)+0.5)/25
			v, _ := c.At(Line{Point{x, 0}, Point{math.Cos(float64(i)), math.Sin(float64(i))}})
			validate(t, filepath.Base(f), v)
			checkTriangles(t, v)
		}
		if gaps > 0 {
			t.Logf("%s: %d of 25 sections do not close", filepath.Base(f), gaps)
		}
	}
}
