package section

// Contains reports whether q lies inside the region (borders may go either
// way).
func (p Polygons) Contains(q Point) bool {
	w := 0
	for _, r := range p {
		w += r.winding(q)
	}
	return w != 0
}

// winding returns how often the ring winds round q, counter-clockwise positive.
func (p Path) winding(q Point) int {
	w := 0
	for i, a := range p {
		b := p[next(i, len(p))]
		if (a[1] <= q[1]) == (b[1] <= q[1]) {
			continue
		}
		left := float64((b[0]-a[0])*(q[1]-a[1])) > float64((b[1]-a[1])*(q[0]-a[0]))
		if b[1] > a[1] {
			if left {
				w++
			}
		} else if !left {
			w--
		}
	}
	return w
}
