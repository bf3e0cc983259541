package web

import "testing"

func BenchmarkShape(b *testing.B) {
	for _, c := range []struct {
		name string
		site Site
	}{{"roof 147 x 254", roof(147, 254)}, {"hall 300 x 100", hall(300, 100)}, {"column", lintel(105)}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := Shape(c.site); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
