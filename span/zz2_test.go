package span

import (
	"fmt"
	"testing"
)

func TestZZHotCount(t *testing.T) {
	for _, n := range []string{"plain-2k", "ribbed-2k", "ribbed-8k", "ribbed-97k", "ribbed-1.6M"} {
		m, _ := zzLoad(t, "/tmp/survey/data/"+n+".stl")
		s := Defaults()
		st := newStack(m.Bounds(), s)
		a, _ := findActivity(t.Context(), m, st, s.Slope)
		c := 0
		var l []int
		for k, h := range a.hang {
			if h {
				c++
				l = append(l, k)
			}
		}
		fmt.Println(n, c)
	}
}
