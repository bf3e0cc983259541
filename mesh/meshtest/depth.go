package meshtest

import "math"

// within returns how deep two triangles that pierce each other are in each
// other: the segment they have in common lies, on one of them at least,
// nowhere further than r from the border, and the rim of that width stands out
// of the other's plane by r times the sine of the angle between the planes.
// Two large triangles that merely graze at their rims have next to none,
// however far each reaches beyond the plane of the other.
func within(a, b tri) float64 {
	var ps [][3]float64
	ps = append(ps, crossings(a, b)...)
	ps = append(ps, crossings(b, a)...)
	if len(ps) < 2 {
		return 0 // one point, a corner shared by both
	}
	// The two ends of the common segment: the points furthest apart.
	p, q, l := ps[0], ps[0], -1.0
	for i := range ps {
		for j := range i {
			if d := norm(minus(ps[i], ps[j])); d > l {
				p, q, l = ps[i], ps[j], d
			}
		}
	}
	m, n := normal2(a[0], a[1], a[2]), normal2(b[0], b[1], b[2])
	sine := norm(outer(m, n)) / (norm(m) * norm(n))
	return min(inlandOf(a, p, q), inlandOf(b, p, q)) * sine
}

func minus(p, q [3]float64) [3]float64 { return [3]float64{p[0] - q[0], p[1] - q[1], p[2] - q[2]} }

func dot(p, q [3]float64) float64 { return p[0]*q[0] + p[1]*q[1] + p[2]*q[2] }

func outer(p, q [3]float64) [3]float64 {
	return [3]float64{p[1]*q[2] - p[2]*q[1], p[2]*q[0] - p[0]*q[2], p[0]*q[1] - p[1]*q[0]}
}

// crossings returns where edges of a go through the plane of b inside b, and
// corners of a that are corners of b.
func crossings(a, b tri) (ps [][3]float64) {
	n := normal2(b[0], b[1], b[2])
	for i := range 3 {
		for j := range 3 {
			if a[i] == b[j] {
				ps = append(ps, a[i])
			}
		}
		p, q := a[i], a[(i+1)%3]
		s, t := orient(b[0], b[1], b[2], p), orient(b[0], b[1], b[2], q)
		if s*t >= 0 {
			continue
		}
		o := [3]int{orient(p, q, b[0], b[1]), orient(p, q, b[1], b[2]), orient(p, q, b[2], b[0])}
		if min(o[0], o[1], o[2]) < 0 && max(o[0], o[1], o[2]) > 0 {
			continue
		}
		dp, dq := dot(n, minus(p, b[0])), dot(n, minus(q, b[0]))
		if dp == dq {
			continue
		}
		u := math.Min(1, math.Max(0, dp/(dp-dq)))
		var x [3]float64
		for k := range x {
			x[k] = p[k] + u*(q[k]-p[k])
		}
		ps = append(ps, x)
	}
	return ps
}

// inlandOf returns the greatest distance of a point of segment pq, which lies
// in triangle a, from the border of a. Each side's distance changes linearly
// along the segment, so the greatest least one is at an end or where two are
// equal.
func inlandOf(a tri, p, q [3]float64) float64 {
	n := normal2(a[0], a[1], a[2])
	var dp, dq [3]float64
	for i := range 3 {
		e := minus(a[(i+1)%3], a[i])
		l := norm(e) * norm(n)
		side := func(x [3]float64) float64 {
			r := minus(x, a[i])
			return dot(outer(e, r), n) / l
		}
		dp[i], dq[i] = side(p), side(q)
	}
	at := func(u float64) float64 {
		d := math.Inf(1)
		for i := range 3 {
			d = math.Min(d, dp[i]+u*(dq[i]-dp[i]))
		}
		return d
	}
	best := math.Max(at(0), at(1))
	for i := range 3 {
		for j := range i {
			if w := (dq[i] - dp[i]) - (dq[j] - dp[j]); w != 0 {
				if u := (dp[j] - dp[i]) / w; u > 0 && u < 1 {
					best = math.Max(best, at(u))
				}
			}
		}
	}
	return math.Max(best, 0)
}
