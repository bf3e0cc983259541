package mesh

import "slices"

// A Flip is a shell whose triangles were turned round.
type Flip struct {
	Shell     int // in the audit
	Triangles int
	Volume    float64    // before, negative for a body that was inside out
	At        [3]float64 // the middle of its first triangle
}

// Orient turns closed shells that face the wrong way, as audited: a shell of
// negative volume inside an even number of others is a body turned inside
// out and is flipped; inside an odd number it is a cavity and stays. A
// positive shell inside another is material in material and stays, unless
// every body of the file is inside out: then its hollows are too, and all is
// turned.
//
// Where nothing is flipped m itself comes back, otherwise a new mesh with the
// same vertices and its triangles in the same order.
func (m *Mesh) Orient(a *Audit) (*Mesh, []Flip) {
	reversed := true
	for _, s := range a.Shells {
		if s.Closed && s.Depth%2 == 0 && s.Volume > 0 && !s.hollow() {
			reversed = false
		}
	}
	var flips []Flip
	turn := make([]bool, len(a.Shells))
	for id, s := range a.Shells {
		odd := s.Depth%2 == 1
		if s.Closed && !s.hollow() && (!odd && s.Volume < 0 || odd && s.Volume > 0 && reversed) {
			turn[id] = true
			flips = append(flips, Flip{id, s.Triangles, s.Volume, m.middle(s.First)})
		}
	}
	if flips == nil {
		return m, nil
	}
	out := &Mesh{Vertices: m.Vertices, Triangles: slices.Clone(m.Triangles)}
	for t, id := range a.ShellOf {
		if id >= 0 && turn[id] {
			out.Triangles[t] = reverse(m.Triangles[t])
		}
	}
	return out, flips
}

// reverse turns a triangle round.
func reverse(t [3]int32) [3]int32 { return [3]int32{t[0], t[2], t[1]} }
