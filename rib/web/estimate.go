package web

import "math"

// grain is the width of a column of the raster that an estimate is made on. A
// web is drawn from one a quarter as wide.
const grain = 2.0

// Estimate foretells what the web for a site costs, in square millimetres of
// web, braces counted with their material and a fee for the trouble of each:
// what the search finds on a coarse raster, nothing drawn. Its errors are those
// of [Shape] that show without drawing.
func Estimate(site Site) (cost float64, err error) {
	site.narrow()
	for _, iv := range site.Under {
		ps, err := profiles(&site, iv)
		if err != nil {
			return 0, err
		}
		for i := range ps {
			c, err := estimate(&site, &ps[i])
			if err != nil {
				return 0, err
			}
			cost += c
		}
	}
	return cost, nil
}

// estimate is Estimate for one profile.
func estimate(site *Site, p *profile) (float64, error) {
	d, err := newDrawer(site, p)
	if err != nil {
		return 0, err
	}
	run := d.ends[1] - d.ends[0]
	if site.Column {
		mid := (d.ends[0] + d.ends[1]) / 2
		high := p.top(mid) - p.floor(mid)
		s := &site.Settings
		thick := float64(s.BraceLayers) * s.Layer
		strips := math.Max(0, math.Ceil((high-s.BracePitch)/(s.BracePitch+thick)))
		return run*high + strips*s.Spacing*run*thick/s.Width, nil
	}
	r := rasterOf(d, max(1, min(400, int(math.Ceil(run/math.Min(grain, math.Max(0.5, run/24)))))))
	best := math.Inf(1)
	for _, sc := range r.schemes(site.mostLegs(run), hopeless) {
		best = math.Min(best, sc.cost)
	}
	if math.IsInf(best, 1) {
		return 0, at(ErrStand, (d.ends[0]+d.ends[1])/2, p.top(d.ends[0]))
	}
	return best, nil
}

// mostLegs is how many legs are tried under a run.
func (site *Site) mostLegs(run float64) int {
	return max(len(site.Legs), min(mostLegs, 2+int(run/site.Settings.Spacing)))
}
