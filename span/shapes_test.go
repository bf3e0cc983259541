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

// basket is an opening w wide under an arch of three arcs: haunches of radius
// haunch, a crown of radius crown.
func basket(w, haunch, crown float64) [][2]float64 {
	c := w/2 - haunch
	deep := math.Sqrt((crown-haunch)*(crown-haunch) - c*c) // of the crown's centre below the springing
	turn := math.Atan2(deep, c)                            // where the arcs meet
	out := [][2]float64{{-w / 2, 0}, {w / 2, 0}}
	arc := func(x, z, r, from, to float64) {
		for i := range 96 {
			a := from + (to-from)*float64(i)/96
			out = append(out, [2]float64{x + r*math.Cos(a), 30 + z + r*math.Sin(a)})
		}
	}
	arc(c, 0, haunch, 0, turn)
	arc(0, -deep, crown, turn, math.Pi-turn)
	arc(-c, 0, haunch, math.Pi-turn, math.Pi)
	return append(out, [2]float64{-w / 2, 30})
}

// corners6 is a hexagon of radius r, one corner at first degrees.
func corners6(r, first float64) [][2]float64 {
	var out [][2]float64
	for i := range 6 {
		a := (first + 60*float64(i)) * math.Pi / 180
		out = append(out, [2]float64{r * math.Cos(a), 40 + r*math.Sin(a)})
	}
	return out
}

// teardrop is a circle of radius r with a point of 45 degrees above.
func teardrop(r float64) [][2]float64 {
	out := [][2]float64{{0, 40 + r*math.Sqrt2}}
	for i := 0; i <= 64; i++ {
		a := (135 + 270*float64(i)/64) * math.Pi / 180
		out = append(out, [2]float64{r * math.Cos(a), 40 + r*math.Sin(a)})
	}
	return out
}

// corbelled is an opening w wide that courses of the given size close, each
// standing out as far as it is high.
func corbelled(w, course float64) [][2]float64 {
	out := [][2]float64{{-w / 2, 0}, {w / 2, 0}}
	n := int(w / 2 / course)
	for i := range n {
		x, z := w/2-course*float64(i), 40+course*float64(i)
		out = append(out, [2]float64{x, z}, [2]float64{x - course, z})
	}
	out = out[:len(out)-1]
	for i := n - 1; i >= 0; i-- {
		x, z := w/2-course*float64(i), 40+course*float64(i)
		if i < n-1 {
			out = append(out, [2]float64{course - x, z})
		}
		out = append(out, [2]float64{-x, z})
	}
	return out
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
	// A rail in front, laid well before the roof, holds it once it is held itself:
	// between two posts by its span, from one post by ribs.
	{"roof behind a rail on two posts", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 46, 3, 33), add(0, 20, 0, 3, 22, 30), add(43, 20, 0, 46, 22, 30), add(3, 20, 26, 43, 22, 30), add(0, 3, 30, 46, 22, 33))
	}, none, 40, 0.2},
	{"roof behind a rail on one post", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 46, 3, 33), add(0, 20, 0, 3, 22, 30), add(3, 20, 26, 46, 22, 30), add(0, 3, 30, 46, 22, 33))
	}, []wanted{{Ledge, 43}}, 17, 0.2},
	// An arch of three arcs passes the slope limit in its haunches, here of radius
	// 20 about centres 25 from the middle.
	{"three-centred arch", func() *mesh.Mesh { return opening(basket(90, 20, 70)...) }, []wanted{{Bridge, 50 + 20*math.Sqrt2}}, 0, 0.5},
	{"hexagonal hole, a side up", func() *mesh.Mesh { return opening(corners6(12, 0)...) }, none, 12, 0.3},
	// And up to half a layer of either haunch, flat as they are.
	{"hexagonal hole, a corner up", func() *mesh.Mesh { return opening(corners6(35, 30)...) }, none, 35 * math.Sqrt(3), 0.7},
	{"teardrop hole", func() *mesh.Mesh { return opening(teardrop(30)...) }, none, 0, 0.2},
	{"corbelled opening at the slope limit", func() *mesh.Mesh { return opening(corbelled(60, 1.5)...) }, none, -1, 0.2},
	// A point between four posts hangs on the way from one to the one across.
	{"roof on a grid of posts", func() *mesh.Mesh {
		b := []meshtest.Block{add(0, 0, 30, 85, 85, 33)}
		for i := range 9 {
			x, y := 40*float64(i%3), 40*float64(i/3)
			b = append(b, add(x, y, 0, x+5, y+5, 30))
		}
		return meshtest.Blocks(b...)
	}, none, -1, 0.2},
	{"beam over two posts and beyond", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 5, 5, 30), add(55, 0, 0, 60, 5, 30), add(0, 0, 30, 75, 5, 35))
	}, []wanted{{Ledge, 15}}, 50, 0.2},
	{"shelves 1 apart", func() *mesh.Mesh {
		return meshtest.Blocks(add(0, 0, 0, 5, 40, 30), add(5, 0, 10, 25, 40, 11), add(5, 0, 12, 25, 40, 13), add(5, 0, 14, 25, 40, 15))
	}, []wanted{{Ledge, 20}, {Ledge, 20}, {Ledge, 20}}, 0, 0.2},
	// Rounded by 5 at the bed: beyond the slope cone of what the first layer lays
	// stand 5 (sqrt 2 - 1), less that layer's own width at its middle.
	{"wide fillet at the bed", func() *mesh.Mesh {
		return meshtest.Revolve(128, append(meshtestArc(25, 5, 5, -90, 0), [2]float64{30, 20}, [2]float64{0, 20}, [2]float64{0, 0})...)
	}, none, 5*(math.Sqrt2-1) - (1 - 0.1), 0.4},
	{"ball on the bed", func() *mesh.Mesh { return meshtest.Sphere(20, 128) }, []wanted{{Ledge, 20*(math.Sqrt2-1) - (2 - 0.1)}}, 0, 0.6},
	{"roof with ripples", func() *mesh.Mesh {
		out := [][2]float64{{0, 0}, {5, 0}, {5, 30}}
		for i := 1; i < 200; i++ {
			x := 50 * float64(i) / 200
			out = append(out, [2]float64{5 + x, 31 - math.Cos(x/5*math.Pi)})
		}
		return profile(append(out, [2]float64{55, 30}, [2]float64{55, 0}, [2]float64{60, 0}, [2]float64{60, 40}, [2]float64{0, 40})...)
	}, none, 50, 0.2},
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
