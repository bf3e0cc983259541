package mesh

import "context"

// A Shell is a piece of the surface whose triangles hang together over their
// edges.
type Shell struct {
	First     int     // its first triangle
	Triangles int     // how many
	Closed    bool    // every edge has its two sides, facing alike
	Volume    float64 // signed, cubic millimetres; of a closed shell negative when inside out
	Area      float64 // square millimetres
	Bounds    Box
	Depth     int // closed shells that hold all of this one; 0 for open shells, and for all where none faces inwards
}

// Cavity tells whether the shell bounds a hollow: it faces inwards and lies
// inside an odd number of others.
func (s Shell) Cavity() bool { return s.Closed && s.Volume < 0 && s.Depth%2 == 1 }

// flood numbers the shells in the order of their first triangles and returns
// the number of each triangle's shell. Crooked mates hang together too.
// Broken triangles have no mates and are shells of their own; they get -1.
func flood(ctx context.Context, m *Mesh, mates Mates) ([]int32, []Shell) {
	of := make([]int32, len(m.Triangles))
	for t := range of {
		of[t] = -1
	}
	var shells []Shell
	var todo []int32
	for t := range of {
		if of[t] >= 0 || broken(m.Triangles[t]) {
			continue
		}
		if ctx.Err() != nil {
			return nil, nil
		}
		id := int32(len(shells))
		s := Shell{First: t, Closed: true}
		of[t] = id
		todo = append(todo[:0], int32(t))
		for len(todo) > 0 {
			t := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			s.Triangles++
			for _, h := range mates[t] {
				if h < 0 {
					s.Closed = false
					if h == None {
						continue
					}
					h = Crooked(h)
				}
				if n := h / 3; of[n] < 0 {
					of[n] = id
					todo = append(todo, n)
				}
			}
		}
		shells = append(shells, s)
	}
	return of, shells
}

// measureShells fills in volumes, areas and bounds; total is that of all
// triangles.
func measureShells(m *Mesh, a *Audit, total sum) {
	shells := a.Shells
	if len(shells) == 1 {
		shells[0].Volume, shells[0].Area, shells[0].Bounds = total.volume, total.area, a.Bounds
		return
	}
	for i := range shells {
		p := m.point(shells[i].First, 0)
		shells[i].Bounds = Box{p, p}
	}
	o := a.Bounds.Middle()
	for t, id := range a.ShellOf {
		if id < 0 {
			continue
		}
		s := &shells[id]
		v, area, _ := m.measure(t, o)
		s.Volume += v
		s.Area += area
		for c := range 3 {
			s.Bounds.grow(m.point(t, c))
		}
	}
}

// grow makes the box hold p.
func (b *Box) grow(p [3]float64) {
	for i, x := range p {
		b.Min[i], b.Max[i] = min(b.Min[i], x), max(b.Max[i], x)
	}
}
