package mesh

import (
	"context"

	"falsework/mesh/par"
)

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

// runGrain is how many triangles are joined on their own before the joints
// between such runs are made.
const runGrain = 1 << 15

// flood numbers the shells in the order of their first triangles and returns
// the number of each triangle's shell. Crooked mates hang together too.
// Broken triangles have no mates and are shells of their own; they get -1.
//
// Triangles are joined to their neighbours, each set named by its first
// triangle. Runs of triangles are joined side by side; what joins two runs is
// kept for the end, which is little, as neighbours mostly follow each other.
func flood(ctx context.Context, m *Mesh, mates Mates) ([]int32, []Shell) {
	up := make(forest, len(m.Triangles))
	between := make([][][2]int32, (len(up)+runGrain-1)/runGrain)
	open := make([][]int32, len(between)) // triangles at which a shell is open
	err := par.Range(ctx, len(up), runGrain, func(lo, hi int) {
		for t := lo; t < hi; t++ {
			up[t] = int32(t)
		}
		run := lo / runGrain
		for t := lo; t < hi; t++ {
			for _, h := range mates[t] {
				if h < 0 {
					if k := len(open[run]); k == 0 || open[run][k-1] != int32(t) {
						open[run] = append(open[run], int32(t))
					}
					if h == None {
						continue
					}
					h = Crooked(h)
				}
				if n := h / 3; int(n) >= t {
					continue // joined from there
				} else if int(n) >= lo {
					up.join(n, int32(t))
				} else {
					between[run] = append(between[run], [2]int32{n, int32(t)})
				}
			}
		}
	})
	if err != nil {
		return nil, nil
	}
	for _, joints := range between {
		for _, j := range joints {
			up.join(j[0], j[1])
		}
	}
	// A set's first triangle comes before the others of it, and becomes the
	// shell's number on the way.
	var shells []Shell
	for t, r := range up {
		switch {
		case int(r) < t:
			up[t] = up[r]
			if up[t] >= 0 {
				shells[up[t]].Triangles++
			}
		case broken(m.Triangles[t]):
			up[t] = -1
		default:
			up[t] = int32(len(shells))
			shells = append(shells, Shell{First: t, Triangles: 1, Closed: true})
		}
	}
	for _, run := range open {
		for _, t := range run {
			if up[t] >= 0 {
				shells[up[t]].Closed = false
			}
		}
	}
	return up, shells
}

// A forest of triangles: each names one before it in its set, the first names
// itself.
type forest []int32

func (f forest) root(t int32) int32 {
	for f[t] != t {
		f[t] = f[f[t]]
		t = f[t]
	}
	return t
}

func (f forest) join(a, b int32) {
	a, b = f.root(a), f.root(b)
	if a < b {
		f[b] = a
	} else {
		f[a] = b
	}
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
