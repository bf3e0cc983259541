package picture

import (
	"math"

	"github.com/fogleman/fauxgl"

	"falsework/mesh"
)

// A canvas holds, for every pixel, which triangle is seen there and how far
// away it is. Triangles of all bodies are counted through from 1; 0 is the
// background.
type canvas struct {
	w, h  int
	face  []uint32
	depth []float64 // along the axis of the view, millimetres
}

// raster finds the nearest triangle behind every pixel of a view. Triangles
// are drawn one after another, so that the result does not depend on the
// number of processors.
func raster(bodies []Body, v view, w, h int) *canvas {
	dc := fauxgl.NewContext(w, h)
	dc.AlphaBlend = false // colours are numbers here
	dc.Cull = fauxgl.CullNone
	ink := &numbering{matrix: v.matrix()}
	dc.Shader = ink
	var face uint32
	for _, b := range bodies {
		ink.cut = v.cut
		if b.Whole {
			ink.cut = nil
		}
		m := b.Mesh
		at := v.project(m, w, h, ink.cut)
		for t := range m.Triangles {
			face++
			if hidden(at, m.Triangles[t]) {
				continue
			}
			ink.colour = number(face)
			tri := fauxgl.Triangle{V1: corner(m, t, 0), V2: corner(m, t, 1), V3: corner(m, t, 2)}
			dc.DrawTriangle(&tri)
		}
	}
	c := &canvas{w: w, h: h, face: make([]uint32, w*h), depth: make([]float64, w*h)}
	for i := range c.face {
		p := dc.ColorBuffer.Pix[4*i : 4*i+4]
		c.face[i] = uint32(p[0]) | uint32(p[1])<<8 | uint32(p[2])<<16 | uint32(p[3])<<24
		// The depth buffer runs from 0 at near to 1 at far, linear in 1/depth.
		d := dc.DepthBuffer[i]
		c.depth[i] = v.near * v.far / (v.far - d*(v.far-v.near))
	}
	return c
}

// A place is where a vertex falls in the picture, in pixels; gone says that it
// is cut away.
type place struct {
	x, y float64
	gone bool
}

// project finds the place of every vertex.
func (v *view) project(m *mesh.Mesh, w, h int, cut *plane) []place {
	out := make([]place, len(m.Vertices))
	for i, q := range m.Vertices {
		p := vec{float64(q[0]), float64(q[1]), float64(q[2])}
		d := sub(p, v.eye)
		depth := -dot(d, v.back)
		out[i] = place{
			x:    (dot(d, v.right)/(depth*v.tanX) + 1) * float64(w) / 2,
			y:    (1 - dot(d, v.up)/(depth*v.tanY)) * float64(h) / 2,
			gone: cut != nil && dot(p, cut.n) < cut.at,
		}
	}
	return out
}

// hidden reports whether a triangle covers no pixel: it is cut away, or so
// small that it slips between the centres of pixels, as most triangles of a
// dense mesh do. What is doubtful is drawn.
func hidden(at []place, t [3]int32) bool {
	a, b, c := &at[t[0]], &at[t[1]], &at[t[2]]
	if a.gone && b.gone && c.gone {
		return true
	}
	const doubt = 1e-3
	between := func(p, q, r float64) bool {
		low, high := min(p, q, r)-doubt-0.5, max(p, q, r)+doubt-0.5
		return math.Ceil(low) > high
	}
	return between(a.x, b.x, c.x) || between(a.y, b.y, c.y)
}

func corner(m *mesh.Mesh, t, c int) fauxgl.Vertex {
	p := m.Corner(t, c)
	return fauxgl.Vertex{Position: fauxgl.Vector{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])}}
}

// matrix takes points to the clipping cube of the rasteriser.
func (v *view) matrix() fauxgl.Matrix {
	vector := func(a vec) fauxgl.Vector { return fauxgl.Vector{X: a[0], Y: a[1], Z: a[2]} }
	m := fauxgl.LookAt(vector(v.eye), vector(sub(v.eye, v.back)), vector(v.up))
	return fauxgl.Frustum(-v.near*v.tanX, v.near*v.tanX, -v.near*v.tanY, v.near*v.tanY, v.near, v.far).Mul(m)
}

// numbering is a shader that writes the number of a triangle as its colour
// and leaves out what is cut away.
type numbering struct {
	matrix fauxgl.Matrix
	cut    *plane
	colour fauxgl.Color
}

func (n *numbering) Vertex(v fauxgl.Vertex) fauxgl.Vertex {
	v.Output = n.matrix.MulPositionW(v.Position)
	return v
}

func (n *numbering) Fragment(v fauxgl.Vertex) fauxgl.Color {
	if n.cut != nil && dot(vec{v.Position.X, v.Position.Y, v.Position.Z}, n.cut.n) < n.cut.at {
		return fauxgl.Discard
	}
	return n.colour
}

// number writes a number into the four channels of a colour. The half keeps
// the rasteriser's rounding down harmless.
func number(n uint32) fauxgl.Color {
	c := func(shift uint) float64 { return (float64(n>>shift&255) + 0.5) / 255 }
	return fauxgl.Color{R: c(0), G: c(8), B: c(16), A: c(24)}
}

// coarse returns the scene with vertices pulled together on a grid, good
// enough for choosing a view, and by how much heights may be off in it.
func (s *Scene) coarse(b mesh.Box) (small *Scene, widen float64) {
	const steps, enough = 120, 30000
	size := 0.0
	for i := range 3 {
		size = math.Max(size, b.Max[i]-b.Min[i])
	}
	copied := *s
	small = &copied
	small.Bodies = nil
	for _, body := range s.Bodies {
		if len(body.Mesh.Triangles) > enough && size > 0 {
			widen = size / steps
			body.Mesh = pull(body.Mesh, b, widen)
		}
		small.Bodies = append(small.Bodies, body)
	}
	return small, widen
}

// pull moves all vertices of a grid cell to the first of them and drops the
// triangles that vanish.
func pull(m *mesh.Mesh, b mesh.Box, cell float64) *mesh.Mesh {
	first := map[[3]int32]int32{}
	to := make([]int32, len(m.Vertices))
	out := &mesh.Mesh{}
	for i, p := range m.Vertices {
		var k [3]int32
		for a := range k {
			k[a] = int32((float64(p[a]) - b.Min[a]) / cell)
		}
		j, ok := first[k]
		if !ok {
			j = int32(len(out.Vertices))
			first[k] = j
			out.Vertices = append(out.Vertices, p)
		}
		to[i] = j
	}
	seen := map[[3]int32]bool{}
	for _, t := range m.Triangles {
		t = [3]int32{to[t[0]], to[t[1]], to[t[2]]}
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] || seen[t] {
			continue
		}
		seen[t] = true
		out.Triangles = append(out.Triangles, t)
	}
	return out
}
