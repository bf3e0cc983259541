package picture

import (
	"bytes"
	"image"
	"image/png"
	"strings"
	"testing"

	"falsework/mesh/meshtest"
)

func block(x, y, z float64) []Body {
	return []Body{{Mesh: meshtest.Blocks(meshtest.Add(0, 0, 0, x, y, z))}}
}

// contactOf is a sheet of blocks of three sizes.
func contactOf(one bool) Contact {
	return Contact{Title: "blocks", Note: "three", Classes: table().Classes, Columns: 2, OneScale: one, Width: 800, Height: 600,
		Frames: []Frame{
			{Name: "small", Lines: []string{"10 mm"}, Bodies: block(10, 10, 10), Azimuth: -30, Elevation: 20},
			{Name: "large", Lines: []string{"40 mm"}, Bodies: block(40, 40, 40), Azimuth: -30, Elevation: 20},
			{Name: "long", Bodies: block(40, 5, 5), Azimuth: -30, Elevation: 20}}}
}

func drawnContact(t *testing.T, c Contact) image.Image {
	t.Helper()
	var b bytes.Buffer
	if err := RenderContact(&b, c); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// inked counts the pixels of a rectangle that are not paper.
func inked(img image.Image, r image.Rectangle) int {
	n := 0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if c, _, _, _ := img.At(x, y).RGBA(); c < 0xF800 {
				n++
			}
		}
	}
	return n
}

func TestContactSheetScales(t *testing.T) {
	left, right := image.Rect(24, 120, 390, 280), image.Rect(412, 120, 776, 280)
	img := drawnContact(t, contactOf(true))
	small, large := inked(img, left), inked(img, right)
	if small == 0 || large < 8*small {
		t.Errorf("at one scale a block four times as large covers %d pixels, the other %d", large, small)
	}
	img = drawnContact(t, contactOf(false))
	small, large = inked(img, left), inked(img, right)
	if small < large*9/10 || large < small*9/10 {
		t.Errorf("each filling its place, equal shapes cover %d and %d pixels", small, large)
	}
}

func TestContactSheetsThatCannotBeDrawn(t *testing.T) {
	for want, edit := range map[string]func(*Contact){
		"0 frames":          func(c *Contact) { c.Frames = nil },
		"0 columns":         func(c *Contact) { c.Columns = 0 },
		"no room":           func(c *Contact) { c.Columns, c.Width, c.Height = 40, 600, 400 },
		"frame 2":           func(c *Contact) { c.Frames[1].Bodies = nil },
		"is not between":    func(c *Contact) { c.Width = 20 },
		"frame 1: picture:": func(c *Contact) { c.Frames[0].Bodies[0].Class = 99 },
	} {
		c := contactOf(true)
		edit(&c)
		err := RenderContact(&bytes.Buffer{}, c)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want an error with %q", err, want)
		}
	}
}
