package report

import "testing"

func TestAmount(t *testing.T) {
	for _, c := range []struct {
		x     float64
		least int
		want  string
	}{
		{12.34, 1, "12.3"}, {1.26, 1, "1.3"}, {0.96, 1, "1.0"}, {0.94, 1, "0.94"},
		{0.0461, 1, "0.046"}, {0, 1, "0.0"}, {-0.0461, 2, "-0.046"},
		{2.36, 0, "2.4"}, {23.6, 0, "24"}, {1e-15, 2, "0.000000000"},
	} {
		if got := amount(c.x, c.least); got != c.want {
			t.Errorf("amount(%v, %d) is %q, want %q", c.x, c.least, got, c.want)
		}
	}
}
