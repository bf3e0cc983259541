package rib

import "math"

// columnHeights sets braces through columns at the least number of equal gaps
// within the pitch, on layer boundaries: the practice for thin walls.
func (b *bracer) columnHeights() {
	low, high := math.Inf(1), math.Inf(-1)
	for _, w := range b.webs {
		low, high = min(low, w.Bottom), max(high, w.Top)
	}
	thick := float64(b.s.BraceLayers) * b.sv.Layer
	n := Braces(high-low-2*embed, b.s.BracePitch, thick)
	gap := (high - low - float64(n)*thick) / float64(n+1)
	for k := 0; k < n; k++ {
		z := low + gap + float64(float64(k)*(gap+thick))
		for _, shift := range []int{0, 1, -1, 2, -2, 4, -4, 7, -7, 12, -12} {
			layer := b.slices.nearest(z) + shift
			done := false
			for i := range b.webs {
				u, ok := b.columnMiddle(i, layer)
				if !ok {
					continue
				}
				if c, _ := b.chain(i, u, layer); c != nil {
					if b.clear(c) {
						b.chains = append(b.chains, c)
					}
					done = true
				}
			}
			if done {
				break
			}
		}
	}
}

// Braces is the least number of braces of a thickness that keep the clear gaps
// in an opening of a height within a pitch.
func Braces(height, pitch, thick float64) int {
	return max(0, int(math.Ceil((height-pitch)/(pitch+thick)-1e-9)))
}

// columnMiddle is the middle of a column at a layer.
func (b *bracer) columnMiddle(i, layer int) (float64, bool) {
	t, ok := b.tie(i, b.webs[i].Bottom, layer, math.Inf(1))
	return t.u, ok
}
