package web

// Shape returns the web for a site. Its errors wrap one of [ErrThin],
// [ErrCeiling], [ErrStand], [ErrGraze] in a [PlaceError].
func Shape(site Site) (*Web, error) { return nil, ErrCeiling }
