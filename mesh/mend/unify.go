package mend

import "falsework/mesh"

// unify turns triangles so that neighbours face alike, shell by shell, the
// fewer of the two sorts. A shell that has no two sides stays as it is.
func (w *work) unify() error {
	if !w.has(mesh.Misoriented) {
		return nil
	}
	sort := make([]int8, len(w.m.Triangles)) // 1 as the shell's first triangle, -1 the other way, 0 not yet reached
	turn := make([]bool, len(w.m.Triangles))
	n, first := 0, -1
	for t := range sort {
		if sort[t] != 0 {
			continue
		}
		shell, sound := w.spread(sort, int32(t))
		if !sound {
			continue
		}
		var count [2]int
		for _, s := range shell {
			count[(sort[s]+1)/2]++
		}
		which := int8(-1)
		if count[1] < count[0] {
			which = 1
		}
		for _, s := range shell {
			if sort[s] == which {
				turn[s] = true
				n++
				if first < 0 || int(s) < first {
					first = int(s)
				}
			}
		}
	}
	if n == 0 {
		return nil
	}
	m := &mesh.Mesh{Vertices: w.m.Vertices, Triangles: make([][3]int32, len(w.m.Triangles))}
	src := make([]int32, len(m.Triangles))
	for t, tri := range w.m.Triangles {
		src[t] = int32(t)
		if turn[t] {
			tri[1], tri[2] = tri[2], tri[1]
		}
		m.Triangles[t] = tri
	}
	a, err := m.Audit(w.ctx)
	if err != nil {
		return err
	}
	if badness(a) < w.bad() {
		w.note(Turned, n, w.middle(first), 0)
		w.adopt(m, src, a)
	}
	return nil
}

// spread sorts the triangles of a shell by which way they face, and tells
// whether that is without contradiction.
func (w *work) spread(sort []int8, t int32) (shell []int32, sound bool) {
	sound = true
	sort[t] = 1
	shell = []int32{t}
	for i := 0; i < len(shell); i++ {
		t := shell[i]
		for _, h := range w.a.Mates[t] {
			if h == mesh.None {
				continue
			}
			want := sort[t]
			if h < 0 {
				h, want = mesh.Crooked(h), -want
			}
			switch n := h / 3; sort[n] {
			case 0:
				sort[n] = want
				shell = append(shell, n)
			case -want:
				sound = false
			}
		}
	}
	return shell, sound
}
