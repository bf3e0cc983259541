package picture

import (
	"image"
	"image/color"
	"math"
	"sort"

	"falsework/mesh"
)

// A spot is what is seen at one pixel.
type spot struct {
	body    int32 // -1 for the background
	region  int32 // counted through all bodies, -1 for none
	section bool  // the inside of a body where the scene is cut
	p, n    vec
}

// A stage is a scene made ready for shading: where the triangles of each body
// begin, and its regions ready to be asked.
type stage struct {
	s       *Scene
	first   []uint32 // number of the first triangle of each body
	regions [][]marked
	count   int
}

func (s *Scene) stage(widen float64) *stage {
	g := &stage{s: s}
	face := uint32(1)
	for _, b := range s.Bodies {
		g.first = append(g.first, face)
		face += uint32(len(b.Mesh.Triangles))
		var rs []marked
		for _, r := range b.Regions {
			rs = append(rs, marked{newArea(r.Area), r.Z[0] - widen, r.Z[1] + widen, r.Class, g.count})
			g.count++
		}
		g.regions = append(g.regions, rs)
	}
	return g
}

// spots finds out what is seen at the pixels of one row of a canvas.
func (g *stage) spots(c *canvas, v view, y int, out []spot) {
	var f surface
	for x := range c.w {
		out[x] = g.spot(c, v, x, y, &f)
	}
}

// A surface is the triangle seen last, as neighbours mostly show the same.
type surface struct {
	face uint32
	body int
	n    vec
}

func (g *stage) spot(c *canvas, v view, x, y int, f *surface) spot {
	i := y*c.w + x
	face := c.face[i]
	if face == 0 {
		return spot{body: -1, region: -1}
	}
	if face != f.face {
		b := sort.Search(len(g.first), func(k int) bool { return g.first[k] > face }) - 1
		*f = surface{face, b, normal(g.s.Bodies[b].Mesh, int(face-g.first[b]))}
	}
	body := &g.s.Bodies[f.body]
	ray := v.ray(x, y, c.w, c.h)
	s := spot{body: int32(f.body), region: -1, p: along(v.eye, ray, c.depth[i]), n: f.n}
	if dot(s.n, ray) > 0 { // seen from behind
		if v.cut != nil && !body.Whole {
			if t := (v.cut.at - dot(v.eye, v.cut.n)) / dot(ray, v.cut.n); t > 0 && t < c.depth[i] {
				s.p, s.n, s.section = along(v.eye, ray, t), vec{-v.cut.n[0], -v.cut.n[1], -v.cut.n[2]}, true
				return s
			}
		}
		s.n = vec{-s.n[0], -s.n[1], -s.n[2]}
		return s
	}
	if s.n[2] >= -lean {
		return s // no underside
	}
	for k := range g.regions[f.body] {
		if r := &g.regions[f.body][k]; r.inside(s.p) {
			s.region = int32(r.number)
			break
		}
	}
	return s
}

func normal(m *mesh.Mesh, t int) vec {
	var p [3]vec
	for c := range p {
		q := m.Corner(t, c)
		p[c] = vec{float64(q[0]), float64(q[1]), float64(q[2])}
	}
	return unit(cross(sub(p[1], p[0]), sub(p[2], p[0])))
}

// seen counts, in a trial picture, the pixels of each region, and behind those
// the pixels of each class of body other than that of the first body, which is
// taken for the ground that the others stand on.
func (g *stage) seen(v view, w, h int) []float64 {
	seen := make([]float64, g.count+len(g.s.Classes))
	c := raster(g.s.Bodies, v, w, h)
	row := make([]spot, c.w)
	for y := range c.h {
		g.spots(c, v, y, row)
		for _, p := range row {
			switch {
			case p.region >= 0:
				seen[p.region]++
			case p.body > 0 && !p.section:
				if class := g.s.Bodies[p.body].Class; class != g.s.Bodies[0].Class {
					seen[g.count+class]++
				}
			}
		}
	}
	return seen
}

// Strengths of light and line. Classes must stay apart in lightness, so
// shading stays within a fifth.
const (
	darkest   = 0.80
	line      = 0.45 // of the colour is left on an edge
	crease    = 0.88 // cosine of the angle from which an edge is drawn
	hatchStep = 11   // pixels
)

// paint turns what is seen into colours: class, soft light from above the
// viewer's left shoulder, hatching where the scene is cut, lines along edges. It
// also returns the region at each pixel. Spots are large, so that only the rows
// are kept that a line may need.
func (g *stage) paint(c *canvas, v view) (img *image.NRGBA, regions []int32) {
	light := unit(along(along(v.back, v.right, -0.5), v.up, 0.7))
	classes := g.classes()
	img = image.NewNRGBA(image.Rect(0, 0, c.w, c.h))
	regions = make([]int32, 0, c.w*c.h)
	above, row, below := []spot(nil), make([]spot, c.w), make([]spot, c.w)
	g.spots(c, v, 0, row)
	for y := range c.h {
		if y+1 < c.h {
			g.spots(c, v, y+1, below)
		} else {
			below = nil
		}
		for x := range row {
			s := &row[x]
			regions = append(regions, s.region)
			if s.body < 0 {
				img.SetNRGBA(x, y, paper)
				continue
			}
			col := g.s.Classes[g.s.Bodies[s.body].Class].Color
			if s.region >= 0 {
				col = g.s.Classes[classes[s.region]].Color
			}
			f := darkest + (1-darkest)*(0.5+0.5*dot(s.n, light))
			if s.section {
				f = 0.62
				if (x+y)%hatchStep < 3 {
					f = 0.45
				}
			}
			if g.edge(above, row, below, x, 2*v.tanY/float64(c.h)*c.depth[y*c.w+x]) {
				f *= line
			}
			img.SetNRGBA(x, y, dim(col, f))
		}
		if above == nil {
			above = make([]spot, c.w)
		}
		above, row, below = row, below, above
	}
	return img, regions
}

func (g *stage) classes() []int {
	var out []int
	for _, rs := range g.regions {
		for _, r := range rs {
			out = append(out, r.class)
		}
	}
	return out
}

func dim(c color.NRGBA, f float64) color.NRGBA {
	ch := func(x uint8) uint8 { return uint8(math.Min(255, float64(x)*f+0.5)) }
	return color.NRGBA{ch(c.R), ch(c.G), ch(c.B), 255}
}

// edge reports whether a line runs between a pixel of the given size and its
// neighbour to the right, left, below or above.
func (g *stage) edge(above, row, below []spot, x int, pixel float64) bool {
	s := &row[x]
	return x+1 < len(row) && g.apart(s, &row[x+1], pixel) ||
		x > 0 && g.apart(s, &row[x-1], pixel) ||
		below != nil && g.apart(s, &below[x], pixel) ||
		above != nil && g.apart(s, &above[x], pixel)
}

// apart reports whether two neighbouring pixels show different surfaces.
// Regions end without a line; their colour is their border.
func (g *stage) apart(a, b *spot, pixel float64) bool {
	if b.body < 0 || a.section != b.section {
		return true
	}
	if a.section {
		return false
	}
	if dot(a.n, b.n) < crease {
		return true
	}
	// A step between parallel surfaces: the neighbour is off the plane.
	return math.Abs(dot(sub(b.p, a.p), a.n)) > 1.5*pixel && math.Abs(dot(sub(a.p, b.p), b.n)) > 1.5*pixel
}
