package meshtest

import (
	"math"
	"math/rand/v2"

	"falsework/mesh"
)

// A House is a housing with openings, standing on z = 0 with its front at
// y = 0, and what it was made from.
type House struct {
	Mesh                *mesh.Mesh
	Blocks              []Block
	Width, Depth, Tall  float64
	Wall, Floor, Roof   float64
	Front, Left, Behind []mesh.Box // clear openings through those walls, wall thickness included
	Holes               []mesh.Box // through the roof
}

// RandomHouse makes a random housing: walls, floor and roof round a cavity;
// doorways, windows and slots in front and side; the back open or closed;
// roofs with steps and holes, shelves and posts inside. Lengths are multiples
// of 0.1 mm, so that some lie on layer boundaries and some do not. The same
// seed makes the same housing.
func RandomHouse(seed uint64) House {
	r := rand.New(rand.NewPCG(seed, 0x5eed))
	for {
		h := drawHouse(r)
		if m, err := TryBlocks(h.Blocks...); err == nil {
			h.Mesh = m
			return h
		}
	}
}

// tenth draws a multiple of 0.1 between two lengths.
func tenth(r *rand.Rand, lo, hi float64) float64 {
	return math.Round(10*(lo+r.Float64()*(hi-lo))) / 10
}

func chance(r *rand.Rand, p float64) bool { return r.Float64() < p }

func drawHouse(r *rand.Rand) House {
	h := House{
		Width: tenth(r, 50, 240), Depth: tenth(r, 40, 150), Tall: tenth(r, 50, 250),
		Wall: tenth(r, 1.6, 6), Floor: tenth(r, 1, 5), Roof: tenth(r, 1.2, 5),
	}
	top := h.Tall - h.Roof
	h.Blocks = []Block{Add(0, 0, 0, h.Width, h.Depth, h.Tall)}
	cave := Cut(h.Wall, h.Wall, h.Floor, h.Width-h.Wall, h.Depth-h.Wall, top)
	if chance(r, 0.25) { // a roof in two steps, the lower one in front
		at, drop := tenth(r, 0.3*h.Depth, 0.7*h.Depth), tenth(r, 5, 0.4*h.Tall)
		h.Blocks = append(h.Blocks, Cut(0, 0, h.Tall-drop, h.Width, at, h.Tall),
			Cut(h.Wall, at+h.Wall, h.Floor, h.Width-h.Wall, h.Depth-h.Wall, top))
		top -= drop
		cave.Box.Max[2] = top
	}
	h.Blocks = append(h.Blocks, cave)
	h.drawFront(r, top)
	if chance(r, 0.4) {
		h.Left = append(h.Left, h.cut(Cut(0, tenth(r, h.Wall+2, 0.4*h.Depth), tenth(r, 0, 0.5*top), h.Wall, tenth(r, 0.6*h.Depth, h.Depth-h.Wall-2), tenth(r, 0.6*top, top-2))))
	}
	if chance(r, 0.4) {
		h.Behind = append(h.Behind, h.cut(Cut(h.Wall, h.Depth-h.Wall, h.Floor, h.Width-h.Wall, h.Depth, top)))
	}
	if chance(r, 0.4) {
		w := tenth(r, 4, 0.3*h.Width)
		x := tenth(r, h.Wall+1, h.Width-h.Wall-1-w)
		h.Holes = append(h.Holes, h.cut(Cut(x, tenth(r, h.Wall+1, 0.4*h.Depth), top, x+w, tenth(r, 0.6*h.Depth, h.Depth-h.Wall-1), h.Tall)))
	}
	h.drawInside(r, top)
	return h
}

// cut adds a cut and returns its box.
func (h *House) cut(b Block) mesh.Box {
	h.Blocks = append(h.Blocks, b)
	return b.Box
}

// drawFront cuts one to three openings or a row of slots into the front.
func (h *House) drawFront(r *rand.Rand, top float64) {
	n := 1 + r.IntN(3)
	bay := (h.Width - 2*h.Wall) / float64(n)
	for i := range n {
		x := h.Wall + float64(i)*bay
		x0, x1 := tenth(r, x+1, x+0.3*bay), tenth(r, x+0.7*bay, x+bay-1)
		z0 := tenth(r, h.Floor, 0.5*top)
		if chance(r, 0.4) {
			z0 = 0 // a doorway
		}
		h.Front = append(h.Front, h.cut(Cut(x0, 0, z0, x1, h.Wall, tenth(r, 0.6*top, top-1))))
	}
}

// drawInside adds shelves on a wall and posts.
func (h *House) drawInside(r *rand.Rand, top float64) {
	if chance(r, 0.3) {
		z := tenth(r, h.Floor+5, top-5)
		h.Blocks = append(h.Blocks, Add(0, tenth(r, 0.5*h.Depth, 0.9*h.Depth), z, h.Wall+tenth(r, 3, 0.3*h.Width), h.Depth-h.Wall, z+2))
	}
	if chance(r, 0.3) {
		x, y := tenth(r, 0.4*h.Width, 0.6*h.Width), tenth(r, 0.3*h.Depth, 0.5*h.Depth)
		h.Blocks = append(h.Blocks, Add(x, y, 0, x+3, y+4, top))
	}
}
