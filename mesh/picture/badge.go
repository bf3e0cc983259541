package picture

import (
	"cmp"
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"
)

// A badge is the label of a region with the place it points to.
type badge struct {
	label string
	seen  int // pixels of the region
	at    image.Point
}

// badges finds, for every labelled region that is seen, the seen pixel
// nearest to the middle of what is seen of it, given the region at each pixel in
// rows of w. Places are in pixels of the finished picture.
func (g *stage) badges(regions []int32, w int) []badge {
	var out []badge
	all := middles(regions, w, g.count)
	number := 0
	for _, b := range g.s.Bodies {
		for _, r := range b.Regions {
			if m := all[number]; r.Label != "" && m.n >= 12 {
				out = append(out, badge{r.Label, m.n, image.Pt(m.at%w/finer, m.at/w/finer)})
			}
			number++
		}
	}
	slices.SortStableFunc(out, func(a, b badge) int { return cmp.Compare(b.seen, a.seen) })
	return out[:min(len(out), 30)]
}

// A spread is the pixels of a region: how many, their middle, and the one of
// them nearest to that.
type spread struct {
	n, x, y  int
	at, best int
}

func middles(regions []int32, w, count int) []spread {
	out := make([]spread, count)
	for i, r := range regions {
		if r >= 0 {
			m := &out[r]
			m.x, m.y, m.n = m.x+i%w, m.y+i/w, m.n+1
		}
	}
	for i := range out {
		if m := &out[i]; m.n > 0 {
			m.x, m.y, m.best = m.x/m.n, m.y/m.n, math.MaxInt
		}
	}
	for i, r := range regions {
		if r >= 0 {
			m := &out[r]
			dx, dy := i%w-m.x, i/w-m.y
			if d := dx*dx + dy*dy; d < m.best {
				m.best, m.at = d, i
			}
		}
	}
	return out
}

// number draws the badges of a panel: the label on a disc some way off, and
// a line to the place.
func (p *panel) number(img *image.NRGBA, at image.Point, text pen) {
	const radius = 13
	box := image.Rectangle{at, at.Add(p.img.Rect.Size())}
	var taken []image.Point
	for _, b := range p.badges {
		half := max(radius, text.width(b.label)/2+7)
		target := at.Add(b.at)
		disc, ok := freeSpot(target, box, half, taken)
		if !ok {
			continue
		}
		taken = append(taken, disc)
		stroke(img, target, disc, ink)
		dot := image.Rect(target.X-2, target.Y-2, target.X+3, target.Y+3)
		draw.Draw(img, dot, image.NewUniform(ink), image.Point{}, draw.Src)
		pill(img, disc, half, radius, ink)
		pill(img, disc, half-2, radius-2, paper)
		text.write(img, disc.X-text.width(b.label)/2, disc.Y+6, b.label, ink)
	}
}

// freeSpot looks for a free spot round a target, nearest first.
func freeSpot(target image.Point, box image.Rectangle, half int, taken []image.Point) (image.Point, bool) {
	for _, r := range []float64{36, 60, 90, 130} {
		for k := range 12 {
			a := -math.Pi/2 + math.Pi/6*float64((k+1)/2*(1-2*(k%2)))
			q := target.Add(image.Pt(int(math.Round(r*math.Cos(a))), int(math.Round(r*math.Sin(a)))))
			if !image.Rect(q.X-half, q.Y-14, q.X+half, q.Y+14).In(box) {
				continue
			}
			free := true
			for _, t := range taken {
				if d := t.Sub(q); d.X*d.X+d.Y*d.Y < 4*half*half+200 {
					free = false
				}
			}
			if free {
				return q, true
			}
		}
	}
	return image.Point{}, false
}

// pill fills a disc stretched sideways to the given half width.
func pill(img *image.NRGBA, c image.Point, half, radius int, col color.NRGBA) {
	for y := -radius; y <= radius; y++ {
		for x := -half; x <= half; x++ {
			dx := max(0, max(x, -x)-(half-radius))
			d := math.Sqrt(float64(dx*dx+y*y)) - float64(radius)
			blend(img, c.X+x, c.Y+y, col, 0.5-d)
		}
	}
}

// stroke draws a line about one and a half pixels wide.
func stroke(img *image.NRGBA, a, b image.Point, col color.NRGBA) {
	d := b.Sub(a)
	l := math.Hypot(float64(d.X), float64(d.Y))
	r := image.Rectangle{a, b}.Canon().Inset(-2)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			px, py := float64(x-a.X), float64(y-a.Y)
			t := math.Max(0, math.Min(1, (px*float64(d.X)+py*float64(d.Y))/(l*l)))
			away := math.Hypot(px-t*float64(d.X), py-t*float64(d.Y))
			blend(img, x, y, col, 1.25-away)
		}
	}
}

// blend mixes a colour into a pixel; a share outside 0 to 1 is cut off.
func blend(img *image.NRGBA, x, y int, c color.NRGBA, share float64) {
	if !image.Pt(x, y).In(img.Rect) || share <= 0 {
		return
	}
	share = math.Min(share, 1)
	p := img.Pix[img.PixOffset(x, y):]
	mix := func(a, b uint8) uint8 { return uint8(float64(a)*(1-share) + float64(b)*share + 0.5) }
	p[0], p[1], p[2], p[3] = mix(p[0], c.R), mix(p[1], c.G), mix(p[2], c.B), 255
}
