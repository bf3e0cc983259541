package main

import (
	"bytes"
	"math"
	"os"
	"testing"

	"falsework/mesh/meshtest"
	"falsework/mesh/stl"
)

// The stored file is what the program makes, byte for byte, on any machine.
func TestStoredFileIsUpToDate(t *testing.T) {
	want, err := os.ReadFile("../tide-housing.stl")
	if err != nil {
		t.Fatal(err)
	}
	var got bytes.Buffer
	if err := stl.Write(t.Context(), &got, housing(), stl.Source{}); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got.Bytes(), want) {
		t.Fatal("examples/tide-housing.stl is not what the program makes; run: go run ./examples/tidehousing examples/tide-housing.stl")
	}
}

// The mesh is sound, and no two bricks touch along an edge or corner alone.
func TestHousingIsClosed(t *testing.T) {
	m := housing()
	meshtest.Check(t, m)
	// A box with n holes through its walls, the open back one of them, has
	// genus n - 1: window, doorway, back, mast hole, two glands and the vents.
	const openings = 1 + 1 + 1 + 1 + 2 + slots
	if got := meshtest.Genus(m); got != openings-1 {
		t.Errorf("genus %d, want %d", got, openings-1)
	}
	if got := meshtest.Shells(m); got != 1 {
		t.Errorf("%d shells, want 1", got)
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
	got := meshtest.Volume(m)
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
