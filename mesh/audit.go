package mesh

import (
	"context"
	"math"
	"slices"
	"sync"
)

// An Audit says what a surface is, and everything that keeps it from being
// the skin of a solid. It describes the mesh as it was audited.
type Audit struct {
	Triangles, Vertices int
	Bounds              Box
	Volume, Area        float64 // of all shells together
	Shells              []Shell
	ShellOf             []int32 // per triangle, -1 for one that names a vertex twice
	Mates               Mates
	Faults              []Fault // at most one of each kind, worst first
}

// Audit examines the surface: every edge, every triangle, every shell. The
// only error is that of ctx.
func (m *Mesh) Audit(ctx context.Context) (*Audit, error) {
	a := &Audit{Triangles: len(m.Triangles), Vertices: len(m.Vertices), Bounds: m.Bounds()}
	var crowds []crowd
	var err error
	if a.Mates, crowds, err = match(ctx, m); err != nil {
		return nil, err
	}
	f := faults{of: map[FaultKind]*Fault{}, twins: map[int32]bool{}}
	for i, c := range crowds {
		if i&0xfff == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		f.crowd(m, c, c.seat(m, a.Mates))
	}
	total, err := f.triangles(ctx, m, a)
	if err != nil {
		return nil, err
	}
	a.ShellOf, a.Shells = flood(ctx, m, a.Mates)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	measureShells(m, a, total)
	if err := nest(ctx, m, a); err != nil {
		return nil, err
	}
	for _, s := range a.Shells {
		a.Volume += s.Volume
		a.Area += s.Area
	}
	f.whole(m, a)
	a.Faults = f.sorted()
	return a, nil
}

// Brief returns what was found without the tables by triangle, which are as
// large as the mesh: for those who keep an audit only for what it says.
func (a *Audit) Brief() *Audit {
	b := *a
	b.ShellOf, b.Mates = nil, nil
	return &b
}

// Closed tells whether the surface parts inside from outside: every edge has
// its two sides, facing alike.
func (a *Audit) Closed() bool {
	return a.Triangles > 0 && a.Fault(OpenEdge) == nil && a.Fault(Unbalanced) == nil && a.Fault(Misoriented) == nil
}

// Fault returns the fault of a kind, or nil.
func (a *Audit) Fault(k FaultKind) *Fault {
	for i := range a.Faults {
		if a.Faults[i].Kind == k {
			return &a.Faults[i]
		}
	}
	return nil
}

// Err returns the worst fault that keeps the surface from bounding a solid,
// or nil. Duplicate and degenerate triangles, and bodies that touch along an
// edge, do not.
func (a *Audit) Err() error {
	if len(a.Faults) > 0 && a.Faults[0].Kind <= InsideOut {
		return &a.Faults[0]
	}
	return nil
}

// faults gathers what is found, by kind.
type faults struct {
	of    map[FaultKind]*Fault
	twins map[int32]bool // triangles counted as duplicates
}

// add counts n faults of a kind in triangle t; at says where.
func (f faults) add(k FaultKind, n, t int, at func() [3]float64) {
	switch old := f.of[k]; {
	case n == 0:
	case old == nil:
		f.of[k] = &Fault{k, n, t, at()}
	default:
		old.Count += n
		if t < old.Triangle {
			old.Triangle, old.At = t, at()
		}
	}
}

func (f faults) sorted() []Fault {
	var out []Fault
	for k := Empty; k <= NonManifold; k++ {
		if f.of[k] != nil {
			out = append(out, *f.of[k])
		}
	}
	return out
}

// crowd counts an edge that has not just two sides; left is how many of its
// half-edges found no mate.
func (f faults) crowd(m *Mesh, c crowd, left int) {
	half := c[0].code >> 1
	for _, e := range c {
		half = min(half, e.code>>1)
	}
	k := NonManifold
	switch {
	case len(c) == 1:
		k = OpenEdge
	case len(c) == 2:
		k = Misoriented
	case left > 0:
		k = Unbalanced
	}
	f.add(k, 1, int(half/3), func() [3]float64 { return m.edgeMiddle(half) })
	if len(c) == 1 {
		return
	}
	// Triangles with the same corners share all their edges; they are counted
	// at the side that joins their two least corners, and so once.
	third := func(e halfEdge) int32 { return m.Triangles[e.code>>1/3][(e.code>>1%3+2)%3] }
	seen := map[int32]bool{} // by third corner
	for i, e := range c {
		t := e.code >> 1 / 3
		if !leastSide(m.Triangles[t], e.code) {
			continue
		}
		var again bool
		if len(c) < 8 {
			again = slices.ContainsFunc(c[:i], func(d halfEdge) bool { return third(d) == third(e) })
		} else {
			again = seen[third(e)]
			seen[third(e)] = true
		}
		if again {
			f.twins[t] = true
			f.add(Duplicate, 1, int(t), func() [3]float64 { return m.middle(int(t)) })
		}
	}
}

// leastSide tells whether the half-edge joins the two least corners of its
// triangle.
func leastSide(t [3]int32, code int32) bool {
	c := int(code >> 1 % 3)
	return max(t[c], t[next(c)]) < t[(c+2)%3]
}

// backToBack tells whether an earlier triangle with the same corners lies
// across the side that joins the two least of them. Their other sides may be
// crowded, and mated otherwise.
func (m *Mesh) backToBack(t int, mates [3]int32) bool {
	k := m.Triangles[t]
	for c, h := range mates {
		if n := h / 3; h >= 0 && int(n) < t && leastSide(k, int32(3*t+c)<<1) {
			return m.Triangles[n][(h%3+2)%3] == k[(c+2)%3]
		}
	}
	return false
}

// triangles counts degenerate triangles and pairs that lie back to back, and
// adds up what all enclose.
func (f faults) triangles(ctx context.Context, m *Mesh, a *Audit) (sum, error) {
	var mu sync.Mutex
	return m.sum(ctx, a.Bounds.Middle(), func(t int, solid bool) {
		flat := m.degenerate(t, solid)
		twin := m.backToBack(t, a.Mates[t]) && !f.twins[int32(t)]
		if flat || twin {
			mu.Lock()
			defer mu.Unlock()
		}
		if flat {
			f.add(Degenerate, 1, t, func() [3]float64 { return m.middle(t) })
		}
		if twin {
			f.add(Duplicate, 1, t, func() [3]float64 { return m.middle(t) })
		}
	})
}

// whole judges the surface as one thing, and its shells.
func (f faults) whole(m *Mesh, a *Audit) {
	if a.Triangles == 0 {
		f.of[Empty] = &Fault{Kind: Empty, Triangle: -1}
		return
	}
	if s := a.Bounds.Size(); min(s[0], s[1], s[2]) == 0 {
		f.of[Flat] = &Fault{Kind: Flat, Count: 1, Triangle: -1, At: a.Bounds.Middle()}
	}
	closed, volume := 0, 0.0
	for _, s := range a.Shells {
		if !s.Closed {
			continue
		}
		closed++
		volume += math.Abs(s.Volume)
		if s.Volume < 0 && s.Depth%2 == 0 && !s.hollow() {
			f.add(InsideOut, 1, s.First, func() [3]float64 { return m.middle(s.First) })
		}
	}
	if closed == len(a.Shells) && volume <= a.Area*noise(a.Bounds) {
		f.of[NoVolume] = &Fault{Kind: NoVolume, Count: 1, Triangle: -1, At: a.Bounds.Middle()}
	}
}

// hollow tells whether a shell's volume is nothing but rounding, so that it
// has no inside.
func (s Shell) hollow() bool { return math.Abs(s.Volume) <= s.Area*noise(s.Bounds) }

// noise is the thickness below which a skin is taken to hold nothing: the
// spacing of float32 numbers at the far end of the box.
func noise(b Box) float64 {
	far := 0.0
	for i := range 3 {
		far = max(far, math.Abs(b.Min[i]), math.Abs(b.Max[i]))
	}
	return far * 0x1p-24
}
