package union

import (
	"errors"
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/exact"
	"falsework/mesh/meshtest"
)

// Tetrahedra with corners on a small grid meet in every degenerate way that
// slanted faces can: face in face, edge on edge, corner on face, edge through
// corner. Volumes must add up all the same.

// tetra reads a tetrahedron from four bytes, each a corner of a grid of four
// by four by four; nil when it is flat.
func tetra(b []byte) *mesh.Mesh {
	m := &mesh.Mesh{Triangles: [][3]int32{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}}}
	for _, x := range b[:4] {
		m.Vertices = append(m.Vertices, [3]float32{float32(x % 4), float32(x / 4 % 4), float32(x / 16 % 4)})
	}
	v := m.Vertices
	switch exact.Orient3D(v[0], v[1], v[2], v[3]) {
	case 0:
		return nil
	case -1:
		return meshtest.Flip(m)
	}
	return m
}

// deepest returns the place where a surface goes deepest through itself.
func deepest(m *mesh.Mesh) (d meshtest.Contact) {
	for _, c := range meshtest.Contacts(m) {
		if c.Kind == meshtest.Pierce && c.Depth > d.Depth {
			d = c
		}
	}
	return d
}

// tetraCase tries all operations on the tetrahedra and tells how many were
// refused for a skin.
func tetraCase(t *testing.T, data []byte) (refused int) {
	if len(data) < 8 {
		return 0
	}
	var all []*mesh.Mesh
	for ; len(data) >= 4 && len(all) < 4; data = data[4:] {
		if m := tetra(data); m != nil {
			all = append(all, m)
		}
	}
	if len(all) < 2 {
		return 0
	}
	part, tools := all[0], all[1:]
	tool, err := Combine(tools)
	if s := (skinned{}); errors.As(err, &s) {
		return 1
	}
	if err != nil {
		t.Errorf("combine: %v", err)
		return 0
	}
	for _, s := range meshtest.Skins(tool, 1e-6, 1e-3) {
		t.Errorf("combine: %v", s)
	}
	measure := func(name string, f func() (*Result, error)) float64 {
		r, err := f()
		if s := (skinned{}); errors.As(err, &s) {
			refused++ // with its place
			return math.NaN()
		}
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return math.NaN()
		}
		for _, f := range meshtest.Faults(r.Mesh) {
			if f.Kind != meshtest.Empty && f.Kind != meshtest.InsideOut {
				t.Errorf("%s: %v", name, f)
			}
		}
		// A swollen tool leaves slivers as thin as it was swollen or shrunk; rounding may
		// lay one across another, no deeper than that.
		if c := deepest(r.Mesh); c.Depth > 1e-5+math.Abs(r.Report.Swell) {
			t.Errorf("%s: %v", name, c)
		}
		for _, s := range meshtest.Skins(r.Mesh, 1e-6, 1e-3) {
			if len(r.Report.Notes) == 0 {
				t.Errorf("%s: %v", name, s)
			}
		}
		v := meshtest.Volume(r.Mesh)
		if math.Abs(v-r.Report.Volume) > 1e-4 {
			t.Errorf("%s: volume %g, reported %g", name, v, r.Report.Volume)
		}
		return v
	}
	if c := deepest(tool); c.Depth > 1e-5 {
		t.Errorf("combine: %v", c)
	}
	a, b := meshtest.Volume(part), meshtest.Volume(tool)
	or := measure("unite", func() (*Result, error) { return Unite(part, tools) })
	and := measure("intersect", func() (*Result, error) { return Intersect(part, tool) })
	less := measure("subtract", func() (*Result, error) { return Subtract(part, tool) })
	// A union moves the tools by 3 mm / 2^15; on faces of this size that is
	// some 0.003 mm3.
	if math.Abs(or+and-a-b) > 0.01 {
		t.Errorf("unite %g, intersect %g, of %g and %g", or, and, a, b)
	}
	if math.Abs(less+and-a) > 0.01 {
		t.Errorf("subtract %g, intersect %g, of %g", less, and, a)
	}
	return refused
}

var tetraSeeds = [][]byte{
	{0, 3, 12, 48, 0, 3, 12, 48},   // one in the same place
	{0, 3, 12, 48, 63, 60, 51, 15}, // corner in corner
	{0, 3, 12, 48, 0, 3, 12, 63},   // on a common base, one in the other
	{0, 3, 12, 48, 1, 2, 4, 32},    // edges along edges
	{0, 3, 12, 48, 21, 22, 25, 37}, // inside, on a face
	{0, 15, 51, 60, 3, 12, 48, 63}, // the two that make a star
	{52, 240, 30, 235, 143, 166, 165, 106, 186, 183, 135, 102, 56, 116, 85, 169}, // a skin that winds two ways
	{170, 120, 169, 35, 210, 63, 212, 127, 238, 236, 115, 94, 31, 178, 108, 237}, // an outline laid across itself
	{144, 76, 145, 5, 16, 130, 107, 71},                                          // a wedge whose tip is a corner
	{0, 15, 51, 60, 3, 12, 48, 63, 0, 63, 3, 60, 5, 10, 37, 58},
	[]byte("\xd9\x00\x03\f0\x00\x03\f"), // two alike: nothing is left of one without the other
	{78, 105, 166, 138, 177, 178, 156, 124, 212, 116, 157, 178, 53, 114, 241, 203},
	{198, 0, 0, 30, 220, 255, 127, 255, 255, 186, 205, 214, 102, 184, 116, 0, 0, 30, 220, 255}, // tips that meet at the origin
	{239, 212, 155, 78, 191, 48, 131, 42, 171, 206, 237, 230, 39, 52, 11, 168},                 // points joined on either side of a pinch
	{10, 71, 19, 26, 158, 203, 88, 41, 84, 26, 42, 225},                                        // nothing in common but a speck
	{226, 68, 182, 171, 51, 204, 232, 190, 158, 77, 17, 147},                                   // points in one place along a side
	[]byte("\x14\x93=\xcfJt\x11\x85\xb6\r\xe5\x9d\xcd"),                                        // slivers of a swollen tool, laid across each other
	{79, 20, 147, 61, 207, 74, 116, 17, 133, 178, 13, 23, 229, 157, 60, 205},                   // a slit of a unit in the last place
	{249, 59, 130, 28, 61, 66, 55, 115, 195, 57, 123, 85},                                      // a skin far thinner, and narrower, than the tool was moved
	{206, 82, 36, 174, 145, 189, 227, 153, 223, 137, 7, 169, 220, 200, 43, 85},                 // a third solid by a corner that rounding lays through the first two
	[]byte("\x00\x03\f0?<3*B\x00d\xb4\x00\xedN\xb8"),                                           // a fold at the origin, as wide as the triangles there are coarse
	[]byte("4\xf0\x1e\xeb\x8f\xa6\xa5\xba\x87jf\xa5\x15\xba\x97"),                              // a fold in the middle of a face: a loop that turns the wrong way
	{0, 128, 147, 128, 0, 13, 94, 208, 209, 0, 150, 16, 0, 13, 92, 194},                        // a knot of tips at the origin, which a shift lays into one place
	[]byte("\xaax?\xf3\xec?\xf3\xecs\x7f\x981s\x7f\x981"),                                      // a face a unit in the last place beyond the tool
	[]byte("\x00\x0f3<\x00\x0f\xe8la*O3<\x03@\x04\x00?\x03"),                                   // vertices a few units apart, which a swollen tool moves
}

func FuzzTetrahedra(f *testing.F) {
	for _, s := range tetraSeeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, data []byte) { tetraCase(t, data) })
}

// Of drawn ones next to none may be refused.
func TestTetrahedra(t *testing.T) {
	t.Parallel()
	n, refused := few(100, 20000), 0
	seed := uint64(7)
	for range n {
		data := make([]byte, 8+4*(mix(&seed)%3))
		for i := range data {
			data[i] = byte(mix(&seed))
		}
		refused += tetraCase(t, data)
		if t.Failed() {
			t.Fatalf("data %v", data)
		}
	}
	t.Logf("%d of %d refused for a skin", refused, 3*n)
	if refused > int(n/100) {
		t.Errorf("%d of %d refused", refused, 3*n)
	}
}
