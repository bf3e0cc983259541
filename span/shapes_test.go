package span

import (
	"math"
	"math/rand/v2"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// opening is a wall with one hole, drawn from the middle of its foot.
func opening(outline ...[2]float64) *mesh.Mesh {
	for i := range outline {
		outline[i] = [2]float64{80 + outline[i][0], 20 + outline[i][1]}
	}
	return wall(outline)
}

// room has a roof over a floor of any outline, held all round by walls 3
// thick, and may have holes in the roof.
func room(outer, inner [][2]float64, holes ...[][2]float64) *mesh.Mesh {
	return meshtest.Join(meshtest.Prism(0, 30, outer, inner), meshtest.Prism(30, 33, outer, holes...))
}

// around draws an ellipse of half axes a and b.
func around(a, b float64) [][2]float64 {
	p := meshtest.Circle(0, 0, 1, 256)
	for i := range p {
		p[i] = [2]float64{a * p[i][0], b * p[i][1]}
	}
	return p
}

// tunnel is a barrel vault of radius r over upright walls, 40 deep.
func tunnel(r float64) *mesh.Mesh {
	out := [][2]float64{{-r - 5, 0}, {-r, 0}, {-r, 20}}
	for i := 1; i < 256; i++ {
		a := math.Pi * float64(i) / 256
		out = append(out, [2]float64{-r * math.Cos(a), 20 + r*math.Sin(a)})
	}
	return profile(append(out, [2]float64{r, 20}, [2]float64{r, 0}, [2]float64{r + 5, 0}, [2]float64{r + 5, r + 25}, [2]float64{-r - 5, r + 25})...)
}

// pointed is an opening w wide under two arcs of radius w, each struck from
// the other's springing.
func pointed(w float64) *mesh.Mesh {
	out := [][2]float64{{-w / 2, 0}, {w / 2, 0}}
	for i := 0; i <= 128; i++ {
		a := math.Pi / 3 * float64(i) / 128
		out = append(out, [2]float64{-w/2 + w*math.Cos(a), 30 + w*math.Sin(a)})
	}
	for i := 127; i >= 0; i-- {
		a := math.Pi / 3 * float64(i) / 128
		out = append(out, [2]float64{w/2 - w*math.Cos(a), 30 + w*math.Sin(a)})
	}
	return opening(out...)
}

// bent is a wall 1.2 thick that turns by deg, with a window that reaches side
// to either hand of the bend, measured on the outside.
func bent(deg, side float64) *mesh.Mesh {
	const t = 1.2
	leg := func(far, z0, z1, near float64) *mesh.Mesh {
		// From near to far along the leg, mitred at the bend where near is 0.
		k := 0.0
		if near == 0 {
			k = t * math.Tan(deg/2*math.Pi/180)
		}
		return meshtest.Prism(z0, z1, [][2]float64{{near, 0}, {far, 0}, {far, t}, {near + k, t}})
	}
	both := func(f func() *mesh.Mesh) *mesh.Mesh {
		return meshtest.Join(f(), meshtest.TurnZ(meshtest.Mirror(f(), 0), -deg))
	}
	return meshtest.Join(
		both(func() *mesh.Mesh { return leg(side+15, 0, 10, 0) }),
		both(func() *mesh.Mesh { return leg(side+15, 10, 40, side) }),
		both(func() *mesh.Mesh { return leg(side+15, 40, 50, 0) }))
}

// leanTo is a roof between two walls wide apart, its underside rising by 20
// degrees from front to back.
func leanTo(wide float64) *mesh.Mesh {
	roof := meshtest.PrismIn(meshtest.Upright(0, 0, 90), -1, wide+1, [][2]float64{{0, 30}, {40, 30 + 40*math.Tan(20*math.Pi/180)}, {40, 50}, {0, 50}})
	return meshtest.Join(roof, meshtest.Blocks(add(-5, 0, 0, 0, 40, 50)), meshtest.Blocks(add(wide, 0, 0, wide+5, 40, 50)))
}

// scanned moves every vertex above the bed by up to d, as the noise of a scan
// does.
func scanned(m *mesh.Mesh, d float64) *mesh.Mesh {
	r := rand.New(rand.NewPCG(5, 7))
	for i, v := range m.Vertices {
		for a := range v {
			if step := float32(d * (2*r.Float64() - 1)); v[2] > 1 {
				m.Vertices[i][a] += step
			}
		}
	}
	return m
}

// letters writes TEH in strokes of 0.8 on the front of a wall 6 thick: cut in,
// or raised, by depth.
func letters(depth float64, raised bool) *mesh.Mesh {
	solids := []meshtest.Block{add(0, 0, 0, 40, 6, 30)}
	stroke := func(x0, z0, x1, z1 float64) {
		if raised {
			solids = append(solids, add(x0, -depth, z0, x1, 0, z1))
		} else {
			solids = append(solids, cut(x0, 0, z0, x1, depth, z1))
		}
	}
	stroke(5, 18.2, 11, 19)
	stroke(7.6, 11, 8.4, 18.2)
	stroke(14, 11, 14.8, 19)
	for _, z := range []float64{11, 14.6, 18.2} {
		stroke(14.8, z, 18, z+0.8)
	}
	stroke(21, 11, 21.8, 19)
	stroke(21.8, 14.6, 25, 15.4)
	stroke(25, 11, 25.8, 19)
	return meshtest.Blocks(solids...)
}

// shapes are more parts of closed form (see parts_test.go).
var shapes = []part{
	{"chamfered lintel", func() *mesh.Mesh {
		return opening([2]float64{-45, 0}, [2]float64{45, 0}, [2]float64{45, 40}, [2]float64{25, 60}, [2]float64{-25, 60}, [2]float64{-45, 40})
	}, none, 50, 0.5}, // and up to half a layer of either haunch
	{"doorway with a mullion", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 120, 3, 60), cut(9, 0, 0, 59, 3, 40), cut(61, 0, 0, 111, 3, 40))
	}, none, 50, 0.2},
	{"screw hole", func() *mesh.Mesh { return wall(ellipse(5, 5)) }, none, 5 * math.Sqrt2, 0.5},
	// Arcs of radius w pass the slope limit at w/sqrt 2 from their centres.
	{"pointed arch of two arcs", func() *mesh.Mesh { return pointed(100) }, none, 2 * 100 * (1/math.Sqrt2 - 0.5), 0.5},
	{"barrel vault", func() *mesh.Mesh { return tunnel(30) }, none, 30 * math.Sqrt2, 0.5},
	{"wide barrel vault", func() *mesh.Mesh { return tunnel(60) }, []wanted{{Bridge, 60 * math.Sqrt2}}, 0, 0.5},
	// Held at both ends of the strip: along it, on the outside of the bend.
	{"window round a bend", func() *mesh.Mesh { return bent(50, 25) }, none, 50, 0.2},
	{"wide window round a bend", func() *mesh.Mesh { return bent(50, 45) }, []wanted{{Bridge, 90}}, 0, 0.2},
	// No bead turns a square corner in the air.
	{"window round a corner", func() *mesh.Mesh { return bent(90, 25) }, []wanted{{Ledge, 25}}, 0, 0.3},
	{"lintel on a layer's mid-plane", func() *mesh.Mesh { return wall(meshtest.Rectangle(20, 20, 120, 80.1)) }, []wanted{{Bridge, 100}}, 0, 0.2},
	{"lintel off every boundary", func() *mesh.Mesh { return wall(meshtest.Rectangle(20, 20, 120, 80.07)) }, []wanted{{Bridge, 100}}, 0, 0.2},
	{"oval roof", func() *mesh.Mesh { return room(around(53, 33), around(50, 30)) }, none, 60, 0.2},
	// Beside the hole the way is along, from wall to wall.
	{"roof with a hole", func() *mesh.Mesh {
		return room(meshtest.Rectangle(-33, -28, 33, 28), meshtest.Rectangle(-30, -25, 30, 25), meshtest.Rectangle(-10, -10, 10, 10))
	}, none, 60, 0.4},
	// Chords touch the hole: 2 sqrt(R R - r r).
	{"ring shelf in a tube", func() *mesh.Mesh {
		return meshtest.Revolve(256, [2]float64{20, 0}, [2]float64{23, 0}, [2]float64{23, 40}, [2]float64{10, 40}, [2]float64{10, 30}, [2]float64{20, 30})
	}, none, 2 * math.Sqrt(300), 0.4},
	{"wide ring shelf in a tube", func() *mesh.Mesh {
		return meshtest.Revolve(256, [2]float64{60, 0}, [2]float64{63, 0}, [2]float64{63, 40}, [2]float64{40, 40}, [2]float64{40, 30}, [2]float64{60, 30})
	}, []wanted{{Bridge, 2 * math.Sqrt(2000)}}, 0, 0.5},
	{"hopper at the slope limit", func() *mesh.Mesh {
		return meshtest.Revolve(64, [2]float64{5, 0}, [2]float64{10, 0}, [2]float64{40, 30}, [2]float64{35, 30})
	}, none, 0, 0.2},
	{"two storeys", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 106, 86, 63), cut(3, 3, 0, 103, 83, 30), cut(3, 3, 33, 103, 83, 60))
	}, []wanted{{Bridge, 80}, {Bridge, 80}}, 0, 0.2},
	// A step of 1 does not part a roof, and a bead goes over it.
	{"roof with a step", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 96, 126, 35), cut(3, 3, 0, 48, 123, 30), cut(48, 3, 0, 93, 123, 31))
	}, []wanted{{Bridge, 90}}, 0, 0.4},
	{"lean-to", func() *mesh.Mesh { return leanTo(60) }, none, 60, 0.5},
	{"wide lean-to", func() *mesh.Mesh { return leanTo(90) }, []wanted{{Bridge, 90}}, 0, 0.5},
	{"shelf on brackets far apart", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 200, 20, 33), cut(3, 5, 0, 98.5, 20, 30), cut(101.5, 5, 0, 197, 20, 30))
	}, []wanted{{Bridge, 95.5}, {Bridge, 95.5}}, 0, 0.4},
	{"corner plate with a post", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 43, 43, 33), cut(5, 5, 0, 43, 43, 30), add(40, 40, 0, 43, 43, 30))
	}, none, -1, 0.4},
	{"tab of 45 degrees", func() *mesh.Mesh {
		return meshtest.Join(meshtest.Blocks(add(0, 0, 0, 10, 40, 50)),
			meshtest.PrismIn(meshtest.Upright(0, 0, 0), -30, -10, [][2]float64{{9, 19}, {22, 32}, {22, 36}, {9, 36}}))
	}, none, 0, 0.2},
	{"block in a closed cavity", func() *mesh.Mesh {
		return meshtest.Join(meshtest.Blocks(add(0, 0, 0, 80, 80, 60)), meshtest.Flip(meshtest.Blocks(add(10, 10, 10, 70, 70, 50))), meshtest.Blocks(add(30, 30, 20, 50, 50, 40)))
	}, []wanted{{Island, 0}}, 60, 0.2},
	{"needle under a roof", func() *mesh.Mesh {
		return meshtest.Join(meshtest.Blocks(add(0, 0, 0, 56, 56, 33), cut(3, 3, 0, 53, 53, 30)),
			meshtest.Move(meshtest.Revolve(32, [2]float64{0, 10}, [2]float64{12, 31}, [2]float64{0, 31}), 28, 28, 0))
	}, []wanted{{Island, 0}}, -1, 0.2},
	// A blade that no bead can make neither hangs nor makes the ledge longer.
	{"blade thinner than a bead on a narrow ledge", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 60, 6.5, 33), cut(0, 5, 0, 60, 6.5, 30), add(30, 6.5, 30, 30.1, 26, 33))
	}, none, -1, 0.2},
	{"letters cut in", func() *mesh.Mesh { return letters(0.6, false) }, none, 0, 0.2},
	{"letters raised", func() *mesh.Mesh { return letters(0.6, true) }, none, 0, 0.2},
	{"letters in the underside", func() *mesh.Mesh {
		return meshtest.Turn(letters(0.6, false), [3]float64{1, 0, 0}, -90)
	}, none, 0, 0.2},
	{"scanned dome", func() *mesh.Mesh { return scanned(meshtest.Vault(33, 30, 128), 0.05) }, none, 30 * math.Sqrt2, 2.5},
	{"wide scanned dome", func() *mesh.Mesh { return scanned(meshtest.Vault(63, 60, 128), 0.05) }, []wanted{{Bridge, 60 * math.Sqrt2}}, -1, 4},
}
