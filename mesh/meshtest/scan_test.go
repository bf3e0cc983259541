package meshtest

import (
	"math"
	"testing"
)

func TestScanAreas(t *testing.T) {
	m := Tube(20, 10, 30, 180)
	for _, at := range []struct {
		name string
		deg  float64
	}{{"straight", 0}, {"turned", 33}} {
		r := TurnZ(m, at.deg)
		b := Scan(r, 15, r.Bounds(), 0.1)
		n := 0
		for _, s := range b.Solid {
			if s {
				n++
			}
		}
		want := math.Pi * (20*20 - 10*10)
		if got := float64(n) * 0.01; math.Abs(got-want) > 2e-3*want {
			t.Errorf("%s: area %.2f, want %.2f", at.name, got, want)
		}
	}
	if b := Scan(m, 31, m.Bounds(), 1); b.Distance()[0] != math.Inf(1) {
		t.Error("something is solid above the tube")
	}
}

func TestDistanceAgainstEveryCell(t *testing.T) {
	m := Blocks(Add(0, 0, 0, 3, 2, 5), Add(7, 6, 0, 9, 9, 5))
	b := Scan(m, 2, Blocks(Add(-2, -3, 0, 12, 11, 1)).Bounds(), 0.5)
	d := b.Distance()
	for y := range b.H {
		for x := range b.W {
			want := math.Inf(1)
			for v := range b.H {
				for u := range b.W {
					if b.Solid[v*b.W+u] {
						want = math.Min(want, math.Hypot(float64(u-x), float64(v-y))*b.Cell)
					}
				}
			}
			if got := d[y*b.W+x]; math.Abs(got-want) > 1e-9 {
				t.Fatalf("cell %d,%d: %v, want %v", x, y, got, want)
			}
		}
	}
}

func TestChords(t *testing.T) {
	m := Blocks(Add(0, 0, 0, 10, 10, 10), Cut(4, -1, 2, 6, 11, 8))
	got := Chords(m, [3]float64{-5, 5.1, 5.2}, [3]float64{1, 0, 0})
	want := [][2]float64{{5, 9}, {11, 15}}
	if len(got) != 2 {
		t.Fatalf("chords %v, want %v", got, want)
	}
	for i := range want {
		for k := range 2 {
			if math.Abs(got[i][k]-want[i][k]) > 1e-6 {
				t.Errorf("chords %v, want %v", got, want)
			}
		}
	}
	if got := Chords(m, [3]float64{-5, 5, 15}, [3]float64{1, 0, 0}); got != nil {
		t.Errorf("above the block: %v", got)
	}
}
