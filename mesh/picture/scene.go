// Package picture draws still pictures of meshes: a sheet with two views side
// by side, one from outside and one that looks in, with a legend and numbers.
//
// The package knows nothing of what it draws: bodies and regions belong to
// classes, and the caller gives each class its name and colour. Views are
// chosen so that as much as possible is seen of the regions, and of the bodies
// that stand on the first one.
//
// A sheet is made in stages, a file each: scene.go says what to draw, view.go
// chooses where to look from, raster.go finds the triangle behind every pixel
// (the one place that knows the rasteriser), shade.go turns triangles into
// colours and lines, sheet.go sets title, legend and numbers. The same scene
// gives the same bytes on the same kind of machine; pictures are the one
// output that may differ in a last bit between processors.
package picture

import (
	"errors"
	"fmt"
	"image/color"
	"image/png"
	"io"

	"falsework/mesh"
	"falsework/mesh/section"
)

// A Class is a kind of surface: an entry of the legend.
type Class struct {
	Name  string
	Color color.NRGBA
}

// A Body is a mesh drawn in the colour of a class.
type Body struct {
	Mesh  *mesh.Mesh
	Class int  // index into Scene.Classes
	Whole bool // not cut where a view cuts the scene open

	Regions []Region // painted on this body
}

// A Region marks the undersides of a body that lie within an area in plan
// and a range of heights.
type Region struct {
	Area  section.Polygons
	Z     [2]float64
	Class int    // index into Scene.Classes
	Label string // shown beside it; empty for none
}

// A Scene is everything on one sheet.
type Scene struct {
	Title   string
	Note    string // one line under the title, may be empty
	Classes []Class
	Bodies  []Body

	Width, Height int // of the picture in pixels; zero for 1600 x 1000
}

// The size of a sheet whose scene names none, and the smallest that holds
// the text.
const (
	defaultWidth, defaultHeight = 1600, 1000
	leastWidth, leastHeight     = 400, 300
	mostSide                    = 8000
)

// Render draws the scene and writes it as PNG.
func Render(w io.Writer, s Scene) error {
	if s.Width == 0 && s.Height == 0 {
		s.Width, s.Height = defaultWidth, defaultHeight
	}
	if err := s.check(); err != nil {
		return err
	}
	img, err := sheet(&s)
	if err != nil {
		return err
	}
	return png.Encode(w, img)
}

// check refuses scenes that cannot be drawn.
func (s *Scene) check() error {
	if s.Width < leastWidth || s.Height < leastHeight || s.Width > mostSide || s.Height > mostSide {
		return fmt.Errorf("picture: size %d x %d is not between %d x %d and %d x %d",
			s.Width, s.Height, leastWidth, leastHeight, mostSide, mostSide)
	}
	triangles := 0
	for i, b := range s.Bodies {
		if b.Mesh == nil {
			return fmt.Errorf("picture: body %d has no mesh", i)
		}
		if b.Class < 0 || b.Class >= len(s.Classes) {
			return fmt.Errorf("picture: body %d is of class %d of %d", i, b.Class, len(s.Classes))
		}
		for j, r := range b.Regions {
			if r.Class < 0 || r.Class >= len(s.Classes) {
				return fmt.Errorf("picture: region %d of body %d is of class %d of %d", j, i, r.Class, len(s.Classes))
			}
		}
		triangles += len(b.Mesh.Triangles)
	}
	if triangles == 0 {
		return errors.New("picture: nothing to draw")
	}
	return nil
}
