package picture

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// A pen writes text of one size.
type pen struct{ face font.Face }

func newPen(ttf []byte, size float64) (pen, error) {
	f, err := opentype.Parse(ttf)
	if err != nil {
		return pen{}, fmt.Errorf("picture: font: %w", err)
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingFull})
	if err != nil {
		return pen{}, fmt.Errorf("picture: font: %w", err)
	}
	return pen{face}, nil
}

func (p pen) width(s string) int { return font.MeasureString(p.face, s).Ceil() }

// write puts text with its base line at y.
func (p pen) write(img draw.Image, x, y int, s string, c color.Color) {
	d := font.Drawer{Dst: img, Src: image.NewUniform(c), Face: p.face, Dot: fixed.P(x, y)}
	d.DrawString(s)
}

// fit shortens text to a width.
func (p pen) fit(s string, w int) string {
	if p.width(s) <= w {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && p.width(string(r)+"...") > w {
		r = r[:len(r)-1]
	}
	return string(r) + "..."
}
