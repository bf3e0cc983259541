package report

import "testing"

func TestCeilingsNamed(t *testing.T) {
	for _, c := range []struct {
		ids  []int
		want string
	}{
		{[]int{4}, "ceiling 4"},
		{[]int{4, 5}, "ceilings 4, 5"},
		{[]int{1, 3, 4, 5, 9, 10}, "ceilings 1, 3 to 5, 9, 10"},
		{[]int{7, 8, 9}, "ceilings 7 to 9"},
	} {
		if got := ceilingsNamed(c.ids); got != c.want {
			t.Errorf("%v: %q, want %q", c.ids, got, c.want)
		}
	}
}
