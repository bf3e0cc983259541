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
	body    int16 // -1 for the background
	region  int16 // counted through all bodies, -1 for none
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

// spots finds out what is seen at every pixel of a canvas.
func (g *stage) spots(c *canvas, v view) []spot {
	out := make([]spot, len(c.face))
	for y := range c.h {
		for x := range c.w {
			i := y*c.w + x
			out[i] = g.spot(c, v, x, y)
		}
	}
	return out
}

func (g *stage) spot(c *canvas, v view, x, y int) spot {
	i := y*c.w + x
	face := c.face[i]
	if face == 0 {
		return spot{body: -1, region: -1}
	}
	b := sort.Search(len(g.first), func(k int) bool { return g.first[k] > face }) - 1
	body := g.s.Bodies[b]
	ray := v.ray(x, y, c.w, c.h)
	s := spot{body: int16(b), region: -1, p: along(v.eye, ray, c.depth[i]), n: normal(body.Mesh, int(face-g.first[b]))}
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
	for k := range g.regions[b] {
		if r := &g.regions[b][k]; r.inside(s.p, s.n) {
			s.region = int16(r.number)
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
	for _, p := range g.spots(c, v) {
		switch {
		case p.region >= 0:
			seen[p.region]++
		case p.body > 0 && !p.section:
			if class := g.s.Bodies[p.body].Class; class != g.s.Bodies[0].Class {
				seen[g.count+class]++
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

// paint turns spots into colours: class, soft light from above the viewer's
// left shoulder, hatching where the scene is cut, lines along edges.
func (g *stage) paint(spots []spot, c *canvas, v view) *image.NRGBA {
	light := unit(along(along(v.back, v.right, -0.5), v.up, 0.7))
	classes := g.classes()
	img := image.NewNRGBA(image.Rect(0, 0, c.w, c.h))
	for y := range c.h {
		for x := range c.w {
			s := spots[y*c.w+x]
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
			if g.edge(spots, c, v, x, y) {
				f *= line
			}
			img.SetNRGBA(x, y, dim(col, f))
		}
	}
	return img
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

// edge reports whether a line runs between the pixel and its neighbour to
// the right, left, below or above.
func (g *stage) edge(spots []spot, c *canvas, v view, x, y int) bool {
	s := &spots[y*c.w+x]
	pixel := 2 * v.tanY / float64(c.h) * c.depth[y*c.w+x]
	for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		nx, ny := x+d[0], y+d[1]
		if nx < 0 || ny < 0 || nx >= c.w || ny >= c.h {
			continue
		}
		if g.apart(s, &spots[ny*c.w+nx], pixel) {
			return true
		}
	}
	return false
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
