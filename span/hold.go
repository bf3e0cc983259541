package span

// dropTicks marks as free what of a ring is held for less than a bead: a bead
// that runs over the border there has nothing to lie on. The ends of layers and
// of the tiles that joining looks at leave such ticks along a border that is
// free. A row of them counts when half of it is held: the hold beside a crown may
// be a row of short steps, whatever their heights. The rims follow one another
// round the ring.
func dropTicks(rims []rim, bead float64) {
	n := len(rims)
	first := -1 // begin of a stretch, where there is more than one kind
	for i := range rims {
		if rims[i].held && !rims[(i+n-1)%n].held {
			first = i
			break
		}
	}
	if first < 0 {
		return
	}
	from := make([]float64, n+1) // arc length at which each begins, from the first
	for i := range n {
		from[i+1] = from[i] + rims[(first+i)%n].length()
	}
	round := from[n]
	if round < 4*bead {
		return
	}
	type stretch struct {
		at, n    int
		lo, hi   float64
		dropping bool
	}
	var held []stretch
	for i := 0; i < n; {
		j := i
		for j < n && rims[(first+j)%n].held {
			j++
		}
		if j > i {
			held = append(held, stretch{at: i, n: j - i, lo: from[i], hi: from[j]})
		}
		i = max(j, i+1)
	}
	// on returns how much is held between two arc lengths.
	on := func(lo, hi float64) float64 {
		sum := 0.0
		for _, h := range held {
			for _, turn := range [3]float64{-round, 0, round} {
				sum += max(min(hi, h.hi+turn)-max(lo, h.lo+turn), 0)
			}
		}
		return sum
	}
	least := bead - hair // a wall just one bead thick holds
	for i := range held {
		h := &held[i]
		if h.hi-h.lo >= least {
			continue
		}
		mid := (h.lo + h.hi) / 2
		h.dropping = max(on(h.lo, h.lo+2*bead), on(h.hi-2*bead, h.hi), on(mid-bead, mid+bead)) < least
	}
	for _, h := range held {
		for i := 0; h.dropping && i < h.n; i++ {
			rims[(first+h.at+i)%n].held = false
		}
	}
}
