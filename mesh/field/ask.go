package field

import "math"

// distance returns how far p is from the nearest triangle.
func (t *tree) distance(p vec) float64 {
	best := math.Inf(1)
	var stack [depth]int32
	n := 1
	for n > 0 {
		n--
		x := &t.nodes[stack[n]]
		if x.gap(p) >= best {
			continue
		}
		if x.left == 0 {
			for _, tri := range t.tris[x.first : x.first+x.count] {
				d := minus(p, nearest(p, tri))
				best = min(best, dot(d, d))
			}
			continue
		}
		near, far := x.left, x.left+1
		if t.nodes[far].gap(p) < t.nodes[near].gap(p) {
			near, far = far, near
		}
		stack[n], stack[n+1] = far, near
		n += 2
	}
	return math.Sqrt(best)
}

// gap returns the square of the distance of p from the box.
func (x *node) gap(p vec) (d float64) {
	for k := range 3 {
		if e := max(x.lo[k]-p[k], p[k]-x.hi[k]); e > 0 {
			d += e * e
		}
	}
	return d
}

// nearest returns the point of a triangle nearest to p: of its corners, its
// sides or its face, whichever region p lies over.
func nearest(p vec, t [3]vec) vec {
	a, b, c := t[0], t[1], t[2]
	ab, ac, ap := minus(b, a), minus(c, a), minus(p, a)
	d1, d2 := dot(ab, ap), dot(ac, ap)
	if d1 <= 0 && d2 <= 0 {
		return a
	}
	bp := minus(p, b)
	d3, d4 := dot(ab, bp), dot(ac, bp)
	if d3 >= 0 && d4 <= d3 {
		return b
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		return plus(a, d1/(d1-d3), ab)
	}
	cp := minus(p, c)
	d5, d6 := dot(ab, cp), dot(ac, cp)
	if d6 >= 0 && d5 <= d6 {
		return c
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		return plus(a, d2/(d2-d6), ac)
	}
	va := d3*d6 - d5*d4
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return plus(b, (d4-d3)/((d4-d3)+(d5-d6)), minus(c, b))
	}
	s := va + vb + vc
	if s == 0 {
		return a // no area: its sides have been asked
	}
	return plus(plus(a, vb/s, ab), vc/s, ac)
}

// afar is how many radii away triangles are taken together.
const afar = 2.3

// winding returns the generalised winding number about p: the solid angle
// that the triangles fill, as a part of the whole.
func (t *tree) winding(p vec) float64 {
	sum := 0.0
	var stack [depth]int32
	n := 1
	for n > 0 {
		n--
		x := &t.nodes[stack[n]]
		d := minus(x.middle, p)
		l := norm(d)
		switch {
		case l > afar*x.radius:
			sum += dot(x.area, d) / (l * l * l)
		case x.left == 0:
			for _, tri := range t.tris[x.first : x.first+x.count] {
				sum += angle(p, tri)
			}
		default:
			stack[n], stack[n+1] = x.left+1, x.left
			n += 2
		}
	}
	return sum / (4 * math.Pi)
}

// angle returns the signed solid angle of a triangle seen from p, positive
// when it faces away from p.
func angle(p vec, t [3]vec) float64 {
	a, b, c := minus(t[0], p), minus(t[1], p), minus(t[2], p)
	la, lb, lc := norm(a), norm(b), norm(c)
	return 2 * math.Atan2(dot(a, cross(b, c)), la*lb*lc+dot(a, b)*lc+dot(b, c)*la+dot(c, a)*lb)
}
