package main

import (
	"bytes"
	"math"
	"os"
	"testing"

	"falsework/mesh"
)

// The stored file is what the program makes, byte for byte, on any machine.
func TestStoredFileIsUpToDate(t *testing.T) {
	want, err := os.ReadFile("../tide-housing.stl")
	if err != nil {
		t.Fatal(err)
	}
	if got := encode(housing()); !bytes.Equal(got, want) {
		t.Fatal("examples/tide-housing.stl is not what the program makes; run: go run ./examples/tidehousing examples/tide-housing.stl")
	}
}

// Every edge has one triangle on each side, none is degenerate, and no two
// bricks touch along an edge or corner alone.
func TestHousingIsClosed(t *testing.T) {
	m := housing()
	edges := map[[2]int32]int{}
	for n, tri := range m.Triangles {
		if area(m, n) < 1e-6 {
			t.Errorf("triangle %d is degenerate: %v %v %v", n, m.Corner(n, 0), m.Corner(n, 1), m.Corner(n, 2))
		}
		for c := range 3 {
			edges[[2]int32{tri[c], tri[(c+1)%3]}]++
		}
	}
	for e, n := range edges {
		if n != 1 || edges[[2]int32{e[1], e[0]}] != 1 {
			t.Errorf("edge %v %v is used %d times and %d times back", m.Vertices[e[0]], m.Vertices[e[1]], n, edges[[2]int32{e[1], e[0]}])
		}
	}
	// One shell. Euler's formula: V - E + F = 2 - 2 genus.
	euler := len(m.Vertices) - len(edges)/2 + len(m.Triangles)
	// Handles: window, doorway, mast hole, glands, vents; the open back is
	// the mouth of the cavity that joins them, and the air over the lower roof
	// is outside. A box with n holes through its walls, one of them the back,
	// has genus n - 1; the opening under the step is part of the inside.
	const openings = 1 + 1 + 1 + 1 + 2 + slots
	if want := 2 - 2*(openings-1); euler != want {
		t.Errorf("V - E + F = %d, want %d (genus %d)", euler, want, openings-1)
	}
}

func TestSize(t *testing.T) {
	b := housing().Bounds()
	for i, want := range [3]float64{width, depth, 250} {
		if got := b.Max[i] - b.Min[i]; math.Abs(got-want) > 0.0011 {
			t.Errorf("size along axis %d is %.4f mm, want %.0f", i, got, want)
		}
	}
}

// The volume is that of the walls added up by hand: areas in plan by closed
// forms, times heights. The chords of the bow and of the holes lie inside or
// outside their circles, hence the tolerance.
func TestVolume(t *testing.T) {
	m := housing()
	var got float64
	for n := range m.Triangles {
		a, b, c := m.Corner(n, 0), m.Corner(n, 1), m.Corner(n, 2)
		got += det(a, b, c) / 6
	}
	// A circular segment of radius r and half angle a has area r*r*(a - sin a cos a).
	segment := func(r, half float64) float64 {
		a := math.Asin(half / r)
		return float64(r*r) * (a - math.Sin(a)*math.Cos(a))
	}
	inner := radius - thick
	chordY := corner(0)[1]                                // y of the inner corners
	outside := segment(radius, width/2)                   // in front of y = drip + bow
	inside := segment(inner, width/2-thick)               // in front of y = chordY
	shell := outside + width*(chordY-(drip+bow)) - inside // front wall in plan
	frontLow := shell + 2*thick*(stepFrom-chordY)         // walls in front of the step
	back := 2 * thick * (depth - stepFrom)                // walls behind it
	bayArea := inside + (width-2*thick)*(stepFrom-chordY) // inside in front of the step
	strip := (width - 2*thick) * (stepTo - stepFrom)      // under the step
	rear := (width - 2*thick) * (depth - stepTo)          // behind it
	ring := func(s, out0, out1 float64) float64 {         // s long on the outer face
		return s / radius / 2 * (math.Pow(radius+out1, 2) - math.Pow(radius+out0, 2))
	}
	want := frontLow*220 + back*250
	want += 3 * (bayArea + strip + rear)                       // floor
	want += 3*bayArea + 3*strip                                // lower roof
	want += strip * 27                                         // step
	want += 3 * (strip + rear - math.Pi*mastR*mastR)           // upper roof
	want -= ring(120, -thick, 0)*48 + ring(150, -thick, 0)*105 // doorway and window
	want -= thick * (2*math.Pi*glandR*glandR + slots*slotWidth*(slotHigh-slotLow))
	for _, s := range []float64{135, 165} { // drip edges
		want += ring(s, 0, drip)*2 + wedge(s)
	}
	if math.Abs(got-want) > 5e-5*want {
		t.Errorf("volume %.1f mm3, want %.1f", got, want)
	}
	t.Logf("volume %.1f mm3, closed form %.1f, %d triangles", got, want, len(m.Triangles))
}

// wedge is the integral over its height of the ring between the face and the
// 45 degree underside.
func wedge(s float64) float64 {
	return s / radius / 2 * (radius*drip*drip + drip*drip*drip/3)
}

func area(m *mesh.Mesh, n int) float64 {
	a, b, c := m.Corner(n, 0), m.Corner(n, 1), m.Corner(n, 2)
	var u, v [3]float64
	for i := range 3 {
		u[i], v[i] = float64(b[i]-a[i]), float64(c[i]-a[i])
	}
	x, y, z := u[1]*v[2]-u[2]*v[1], u[2]*v[0]-u[0]*v[2], u[0]*v[1]-u[1]*v[0]
	return math.Sqrt(x*x+y*y+z*z) / 2
}

func det(a, b, c [3]float32) float64 {
	f := func(x float32) float64 { return float64(x) }
	return f(a[0])*(f(b[1])*f(c[2])-f(b[2])*f(c[1])) -
		f(a[1])*(f(b[0])*f(c[2])-f(b[2])*f(c[0])) +
		f(a[2])*(f(b[0])*f(c[1])-f(b[1])*f(c[0]))
}
