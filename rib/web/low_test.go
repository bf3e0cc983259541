package web

import (
	"testing"

	"falsework/mesh/section"
)

// A ceiling may rise from the bed itself: at that end there is a wall, but none of
// it is above the bed.
func TestCeilingFromTheBed(t *testing.T) {
	webs := 0
	for i := range 600 {
		low, long, rise := []float64{-0.05, 0, 0.05, 0.15, 1}[i%5], 8+16*float64(i/5%6), 3+4*float64(i/30%10)
		for _, turned := range []float64{1, -1} {
			p := section.Polygons{{{-10 * turned, low}, {0, low}, {long * turned, low + rise}, {long * turned, low + rise + 10}, {-10 * turned, low + rise + 10}}}
			under := Interval{From: 0, To: long, Z: [2]float64{low, low + rise}, Hold: [2]bool{true, false}}
			if turned < 0 {
				for a, b := 0, len(p[0])-1; a < b; a, b = a+1, b-1 {
					p[0][a], p[0][b] = p[0][b], p[0][a]
				}
				under.From, under.To, under.Hold = -long, 0, [2]bool{false, true}
			}
			w, err := Shape(Site{Sections: [3]section.Polygons{p, p, p}, Under: []Interval{under}, Settings: DefaultSettings()})
			if err != nil {
				continue // too low for a web
			}
			webs++
			if w.Area <= 0 || w.Bottom < -0.2 {
				t.Errorf("low %g, %g long, rise %g, turned %g: a web of %g mm2 from %g up", low, long, rise, turned, w.Area, w.Bottom)
			}
		}
	}
	if webs < 600 {
		t.Errorf("only %d webs", webs)
	}
}
