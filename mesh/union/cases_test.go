package union

import (
	"math"
	"math/rand/v2"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// A trial is a part and solids to unite with it.
type trial struct {
	part  *mesh.Mesh
	tools []*mesh.Mesh
}

// randomTrial makes a random housing with random ribs: across its openings and
// under its roof, with braces, or thrown in at any angle; the whole then
// turned, subdivided, moved and scaled.
func randomTrial(seed uint64) trial {
	r := rand.New(rand.NewPCG(seed, 17))
	h := meshtest.RandomHouse(seed)
	tr := trial{part: h.Mesh}
	for _, b := range h.Front {
		if r.IntN(3) > 0 {
			tr.tools = append(tr.tools, openingRibs(r, b)...)
		}
	}
	if r.IntN(2) == 0 {
		tr.tools = append(tr.tools, roofRibs(r, h)...)
	}
	for range r.IntN(3) {
		tr.tools = append(tr.tools, thrownRib(r, h))
	}
	if len(tr.tools) == 0 {
		tr.tools = append(tr.tools, thrownRib(r, h))
	}
	if r.IntN(2) == 0 {
		tr.part = meshtest.Subdivide(tr.part, 1+r.IntN(2))
	}
	tr.vary(r)
	return tr
}

// openingRibs stands ribs in an opening, braced, embedded in sill and lintel.
func openingRibs(r *rand.Rand, b mesh.Box) (out []*mesh.Mesh) {
	x0, x1, z0, z1 := b.Min[0], b.Max[0], b.Min[2], b.Max[2]
	y0, y1 := b.Min[1]+0.4, b.Max[1]-0.4
	embed := 0.05 + 0.15*r.Float64()
	n := 1 + r.IntN(4)
	for i := range n {
		x := x0 + (x1-x0)*float64(i+1)/float64(n+1)
		out = append(out, meshtest.Blocks(meshtest.Add(x-0.25, y0, z0-embed, x+0.25, y1, z1+embed)))
	}
	for z := z0 + 35; z < z1-5; z += 35 {
		out = append(out, meshtest.Blocks(meshtest.Add(x0-embed, y0+0.02, z, x1+embed, y1-0.02, z+0.4)))
	}
	return out
}

// roofRibs stands arched webs under the roof, at any angle in plan.
func roofRibs(r *rand.Rand, h meshtest.House) (out []*mesh.Mesh) {
	top := h.Tall - h.Roof
	deg := 90.0
	if r.IntN(2) == 0 {
		deg = 60 + 60*r.Float64()
	}
	for i := range 1 + r.IntN(5) {
		x := h.Width * (0.2 + 0.12*float64(i))
		f := meshtest.Upright(x, h.Wall-0.1, deg)
		run := h.Depth - 2*h.Wall + 0.2
		out = append(out, meshtest.PrismIn(f, -0.25, 0.25, arch(run, h.Floor-0.1, top+0.1, 1+r.IntN(2))))
	}
	return out
}

// arch is a web with n pointed arches open below a crest.
func arch(run, z0, z1 float64, n int) (o [][2]float64) {
	leg := run / float64(8*n)
	o = append(o, [2]float64{0, z1}, [2]float64{0, z0}, [2]float64{leg, z0})
	for i := range n {
		a, b := run*float64(i)/float64(n)+leg, run*float64(i+1)/float64(n)-leg
		rise := min((b-a)/2, (z1-z0)*0.6)
		o = append(o, [2]float64{a, z1 - 2 - rise}, [2]float64{(a + b) / 2, z1 - 2}, [2]float64{b, z1 - 2 - rise}, [2]float64{b, z0})
		if i < n-1 {
			o = append(o, [2]float64{b + 2*leg, z0})
		}
	}
	return append(o, [2]float64{run, z0}, [2]float64{run, z1})
}

// thrownRib is a sheet of any size anywhere, at any angle.
func thrownRib(r *rand.Rand, h meshtest.House) *mesh.Mesh {
	l := 0.2 + r.Float64()*h.Width
	b := meshtest.Blocks(meshtest.Add(0, 0, 0, l, 0.3+r.Float64()*2, 0.2+r.Float64()*h.Tall))
	if r.IntN(4) == 0 {
		b = meshtest.Cylinder(0.5+r.Float64()*10, 1+r.Float64()*h.Tall, 5+r.IntN(20))
	}
	b = meshtest.Turn(b, [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}, r.Float64()*360)
	return meshtest.Move(b, (0.1+0.6*r.Float64())*h.Width, (0.1+0.6*r.Float64())*h.Depth, (0.1+0.6*r.Float64())*h.Tall)
}

// vary turns, moves and scales part and tools together.
func (tr *trial) vary(r *rand.Rand) {
	all := func(f func(*mesh.Mesh) *mesh.Mesh) {
		tr.part = f(tr.part)
		for i := range tr.tools {
			tr.tools[i] = f(tr.tools[i])
		}
	}
	switch r.IntN(4) {
	case 0:
		deg := r.Float64() * 360
		all(func(m *mesh.Mesh) *mesh.Mesh { return meshtest.TurnZ(m, deg) })
	case 1:
		axis, deg := [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}, r.Float64()*360
		all(func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Turn(m, axis, deg) })
	}
	switch r.IntN(6) {
	case 0:
		s := math.Exp(r.Float64()*math.Log(2000)) / 200 // 1 mm to 2 m
		all(func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Scale(m, s, s, s) })
	case 1:
		all(func(m *mesh.Mesh) *mesh.Mesh { return meshtest.Move(m, 1000, -700, 300) })
	}
}
