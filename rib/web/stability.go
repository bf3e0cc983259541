package web

// holds is the raster of the web and of what it may be held by.
type holds struct{}

// Slack returns the spare free length of the web when it is held by the given
// braces: slenderness x width less the longest walk, in weighted millimetres,
// and the point where that is. Stable means that it is not negative.
func (w *Web) Slack(braces []Brace) (slack, u, z float64) { return 0, 0, 0 }

// Stable says whether the given braces hold the web at every moment of the
// print.
func (w *Web) Stable(braces []Brace) bool {
	s, _, _ := w.Slack(braces)
	return s >= 0
}

// Brace returns the least set of braces among those that may takes, which is
// asked with the middle of the strip and its bottom; nil takes all. The error
// wraps [ErrSteady].
func (w *Web) Brace(may func(u, z float64) bool) ([]Brace, error) { return nil, nil }
