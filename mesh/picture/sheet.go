package picture

import (
	"image"
	"image/color"
	"image/draw"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"falsework/mesh"
	"falsework/mesh/par"
)

var (
	paper = color.NRGBA{255, 255, 255, 255}
	ink   = color.NRGBA{38, 38, 42, 255}
	grey  = color.NRGBA{120, 120, 126, 255}
)

const (
	finer = 2  // pixels computed for each one drawn, along a side
	edgeX = 24 // border of the sheet
)

// A page is a sheet with its words: title and note on top, legend at the foot.
// What lies between top and foot is free.
type page struct {
	img       *image.NRGBA
	text      pen
	top, foot int
}

// newPage begins the page of a scene.
func newPage(s *Scene) (*page, error) {
	title, err := newPen(gobold.TTF, 24)
	if err != nil {
		return nil, err
	}
	text, err := newPen(goregular.TTF, 17)
	if err != nil {
		return nil, err
	}
	p := &page{img: image.NewNRGBA(image.Rect(0, 0, s.Width, s.Height)), text: text, top: edgeX}
	draw.Draw(p.img, p.img.Bounds(), image.NewUniform(paper), image.Point{}, draw.Src)
	if s.Title != "" {
		title.write(p.img, edgeX, p.top+18, title.fit(s.Title, s.Width-2*edgeX), ink)
		p.top += 34
	}
	if s.Note != "" {
		text.write(p.img, edgeX, p.top+12, text.fit(s.Note, s.Width-2*edgeX), ink)
		p.top += 26
	}
	p.foot = s.Height - edgeX/2 - 30*legend(nil, s, text, 0)
	legend(p.img, s, text, p.foot)
	return p, nil
}

// sheet lays out the picture: two views between the words of the page.
func sheet(s *Scene) (image.Image, error) {
	pg, err := newPage(s)
	if err != nil {
		return nil, err
	}
	bold, err := newPen(gobold.TTF, 16)
	if err != nil {
		return nil, err
	}
	img, text, top, foot := pg.img, pg.text, pg.top, pg.foot
	const caption = 26
	w, h := (s.Width-3*edgeX)/2, foot-top-caption-edgeX/2
	if h < 50 {
		h = 50
	}
	for i, p := range panels(s, w, h) {
		at := image.Pt(edgeX+i*(w+edgeX), top+caption)
		draw.Draw(img, image.Rectangle{at, at.Add(image.Pt(w, h))}, p.img, image.Point{}, draw.Src)
		text.write(img, at.X, at.Y-8, p.name, grey)
		p.number(img, at, bold)
	}
	return img, nil
}

// A panel is one view drawn.
type panel struct {
	name   string
	img    *image.NRGBA
	badges []badge
}

// panels draws both views at once.
func panels(s *Scene, w, h int) [2]panel {
	box := s.bounds()
	views := choose(s, box, w, h)
	var out [2]panel
	par.Each(len(views), func(i int) {
		g := s.stage(0)
		v := views[i]
		c := raster(s.Bodies, v, w*finer, h*finer)
		img, regions := g.paint(c, v)
		out[i] = panel{v.name, shrink(img), g.badges(regions, c.w)}
	})
	return out
}

// shrink averages squares of finer x finer pixels.
func shrink(big *image.NRGBA) *image.NRGBA {
	w, h := big.Rect.Dx()/finer, big.Rect.Dy()/finer
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			var sum [3]int
			for dy := range finer {
				for dx := range finer {
					p := big.Pix[big.PixOffset(x*finer+dx, y*finer+dy):]
					for k := range sum {
						sum[k] += int(p[k])
					}
				}
			}
			q := out.Pix[out.PixOffset(x, y):]
			for k := range sum {
				q[k] = uint8((sum[k] + finer*finer/2) / (finer * finer))
			}
			q[3] = 255
		}
	}
	return out
}

func (s *Scene) bounds() mesh.Box {
	var all mesh.Box
	first := true
	for _, b := range s.Bodies {
		if len(b.Mesh.Triangles) == 0 {
			continue
		}
		box := b.Mesh.Bounds()
		if first {
			all, first = box, false
			continue
		}
		for i := range 3 {
			all.Min[i], all.Max[i] = min(all.Min[i], box.Min[i]), max(all.Max[i], box.Max[i])
		}
	}
	return all
}

// legend sets the swatches and names from the left, row by row, from y down,
// and returns the number of rows. A nil picture only counts.
func legend(img draw.Image, s *Scene, p pen, y int) int {
	const swatch, gap = 22, 34
	x, rows := edgeX, 1
	for _, c := range s.Classes {
		w := swatch + 9 + p.width(c.Name)
		if x > edgeX && x+w > s.Width-edgeX {
			x, rows, y = edgeX, rows+1, y+30
		}
		if img != nil {
			box := image.Rect(x, y+2, x+swatch, y+2+swatch)
			draw.Draw(img, box, image.NewUniform(ink), image.Point{}, draw.Src)
			draw.Draw(img, box.Inset(1), image.NewUniform(c.Color), image.Point{}, draw.Src)
			p.write(img, x+swatch+9, y+19, c.Name, ink)
		}
		x += w + gap
	}
	return rows
}
