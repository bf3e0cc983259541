package picture

import (
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/font/gofont/gobold"

	"falsework/mesh/par"
)

// A Frame is one picture of a contact sheet.
type Frame struct {
	Name   string   // over it
	Lines  []string // under it
	Bodies []Body
	// Where it is seen from: degrees counter-clockwise from the front (-y) as
	// seen from above, and degrees above the horizon, negative for below.
	Azimuth, Elevation float64
}

// A Contact is a sheet of frames in rows, with one legend.
type Contact struct {
	Title   string
	Note    string // one line under the title, may be empty
	Classes []Class
	Frames  []Frame
	Columns int
	// OneScale draws every frame at the scale of the largest, so that their
	// sizes compare; otherwise each fills its place.
	OneScale bool

	Width, Height int // of the picture in pixels; zero for 1600 x 1000
}

// scene is one frame as a scene of its own.
func (c *Contact) scene(f *Frame) Scene {
	return Scene{Classes: c.Classes, Bodies: f.Bodies, Width: c.Width, Height: c.Height}
}

// RenderContact draws a contact sheet and writes it as PNG.
func RenderContact(w io.Writer, c Contact) error {
	if c.Width == 0 && c.Height == 0 {
		c.Width, c.Height = defaultWidth, defaultHeight
	}
	if len(c.Frames) == 0 || c.Columns < 1 {
		return fmt.Errorf("picture: %d frames in %d columns", len(c.Frames), c.Columns)
	}
	for i := range c.Frames {
		s := c.scene(&c.Frames[i])
		if err := s.check(); err != nil {
			return fmt.Errorf("frame %d: %w", i+1, err)
		}
	}
	img, err := contact(&c)
	if err != nil {
		return err
	}
	return png.Encode(w, img)
}

// contact lays out the sheet: title on top, frames in rows, legend at the foot.
func contact(c *Contact) (image.Image, error) {
	pg, err := newPage(&Scene{Title: c.Title, Note: c.Note, Classes: c.Classes, Width: c.Width, Height: c.Height})
	if err != nil {
		return nil, err
	}
	name, err := newPen(gobold.TTF, 17)
	if err != nil {
		return nil, err
	}
	img, text, top, foot := pg.img, pg.text, pg.top, pg.foot

	const row, head = 22, 26
	lines := 0
	for _, f := range c.Frames {
		lines = max(lines, len(f.Lines))
	}
	rows := (len(c.Frames) + c.Columns - 1) / c.Columns
	w := (c.Width - (c.Columns+1)*edgeX) / c.Columns
	cell := (foot - top) / rows
	h := cell - head - lines*row - 14
	if w < 40 || h < 40 {
		return nil, fmt.Errorf("picture: %d x %d pixels leave no room for %d frames", c.Width, c.Height, len(c.Frames))
	}
	views := c.views(w, h)
	drawn := make([]*image.NRGBA, len(c.Frames))
	par.Each(len(c.Frames), func(i int) {
		s := c.scene(&c.Frames[i])
		g := s.stage(0)
		canvas := raster(s.Bodies, views[i], w*finer, h*finer)
		frame, _ := g.paint(canvas, views[i])
		drawn[i] = shrink(frame)
	})
	for i, f := range c.Frames {
		at := image.Pt(edgeX+i%c.Columns*(w+edgeX), top+i/c.Columns*cell)
		name.write(img, at.X, at.Y+18, name.fit(f.Name, w), ink)
		draw.Draw(img, image.Rectangle{at.Add(image.Pt(0, head)), at.Add(image.Pt(w, head+h))}, drawn[i], image.Point{}, draw.Src)
		for k, l := range f.Lines {
			text.write(img, at.X, at.Y+head+h+16+k*row, text.fit(l, w), ink)
		}
	}
	return img, nil
}

// views aims at every frame. At one scale all are seen from as far away as
// the one that must be seen from farthest.
func (c *Contact) views(w, h int) []view {
	out := make([]view, len(c.Frames))
	middles := make([]vec, len(c.Frames))
	far := 0.0
	for i, f := range c.Frames {
		s := c.scene(&c.Frames[i])
		b := s.bounds()
		out[i], middles[i] = look(b, f.Azimuth, f.Elevation, w, h), b.Middle()
		far = math.Max(far, dot(sub(out[i].eye, middles[i]), out[i].back))
	}
	for i := range out {
		v := &out[i]
		if !c.OneScale {
			*v = v.centred(c.Frames[i].Bodies)
			continue
		}
		depth := v.far - dot(sub(v.eye, middles[i]), v.back) // behind the middle
		v.eye = along(middles[i], v.back, far)
		v.far = far + depth
		v.near = math.Max(v.far/1000, (far-depth)/2)
	}
	return out
}
