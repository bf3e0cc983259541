package rib

import (
	"fmt"
	"math"
	"slices"

	"falsework/mesh/section"
)

// flanges returns layouts for a ceiling that a wall holds along one side and
// nothing along the other, such as the flange round an opening or round a tube:
// short ribs across it, from its free rim to the wall, with strands along it from
// one to the next. Parallel families run along some of its sides.
func (v *view) flanges() []layout {
	inset := v.s.Setback + v.s.Width/2
	var runs []*rimRun // the long ones first
	long := 0
	for _, ring := range section.Offset(v.foot, -inset, section.Round) {
		for _, run := range v.freeRuns(ring, inset) {
			r := v.rimRun(run)
			switch {
			case r.deep > v.s.Spacing:
			case r.arc[r.once] < v.s.Spacing: // a bolt hole: mostly strands pass by it
				runs = append(runs, r)
			default:
				runs = slices.Insert(runs, long, r)
				long++
			}
		}
	}
	var out []layout
	for i, n := range []int{long, len(runs)} {
		for more := range 4 {
			if n > 0 && (i == 0 || n > long) {
				l := v.acrossRims(runs[:n], more, inset)
				l.kind = fmt.Sprint("flange ", i, more)
				out = append(out, l)
			}
		}
	}
	return out
}

// acrossRims stands ribs across some rims.
func (v *view) acrossRims(runs []*rimRun, more int, inset float64) (l layout) {
	// A strand that bends a little holds some of what lies beyond a chord: how much is
	// for the judge to say.
	slack := max(0.3, 0.8*(v.sv.Ledge-inset)) * (1.8 - float64(0.4*float64(more)))
	for _, r := range runs {
		pos, bay := r.stations(v.s, more, slack)
		for i := range pos {
			if r.closed && pos[i] < 2*rimStep { // the way there is told by what lies before it too
				pos[i] += r.arc[r.once]
			}
		}
		l.lines = append(l.lines, v.across(r.at, r.arc, pos, 2*rimStep).lines...)
		l.bay = max(l.bay, bay)
	}
	l.words = fmt.Sprintf("%s across the flange, bays of up to %.1f mm along it", count(len(l.lines), "rib"), l.bay)
	return l
}

// A rimRun is a free rim with what lies along it. A closed one goes round twice, so
// that every part of it can be followed.
type rimRun struct {
	at     []section.Point
	arc    []float64
	deep   float64 // greatest distance to what holds the ceiling
	once   int     // points until it is closed, or its last
	closed bool
	bends  []bend // the sharp ones and, if it is not closed, its ends, in order
}

// A bend is a place where strands along a rim end: behind an inner corner, or the
// end of a rim, they go on for some way to a wall; at an outer one they end at a rib
// across it.
type bend struct {
	i     int
	outer bool
	on    float64
}

// sharp is the angle between the ways into a bend and out of it from which on no bead
// is carried round it.
const sharp = 65 * math.Pi / 180

func (v *view) rimRun(run []section.Point) *rimRun {
	n := len(run) - 1
	r := &rimRun{at: run, once: n, closed: run[0] == run[n]}
	if r.closed {
		r.at = append(run[:n:n], run...)
	}
	r.arc = make([]float64, len(r.at))
	for i, q := range r.at {
		if i > 0 {
			r.arc[i] = r.arc[i-1] + dist(r.at[i-1], q)
		}
		r.deep = max(r.deep, v.held.nearest(q))
	}
	const beside = 3.0 // how far off a point the ways into it and out of it are looked at
	total := r.arc[n]
	turn := make([]float64, n)
	for i := range turn {
		j := i
		if at := r.arc[i]; r.closed && at < beside {
			j += n
		} else if !r.closed && (at < beside || at > total-beside) {
			continue
		}
		d, _ := unit(along(r.at, r.arc, r.arc[j]-beside), run[i])
		e, _ := unit(run[i], along(r.at, r.arc, r.arc[j]+beside))
		turn[i] = math.Atan2(float64(d[0]*e[1])-float64(d[1]*e[0]), float64(d[0]*e[0])+float64(d[1]*e[1]))
	}
	if !r.closed {
		r.bends = append(r.bends, bend{on: v.sv.Ledge})
	}
	// Of the points of one bend, which may lie round the end of a closed rim, the one
	// where it is sharpest.
	sharper := func(i, j int) bool { return math.Abs(turn[i]) > math.Abs(turn[j])+1e-9 }
	for i := range turn {
		if math.Abs(turn[i]) < sharp {
			continue
		}
		best := true
		for j := range turn {
			apart := math.Abs(r.arc[i] - r.arc[j])
			if r.closed {
				apart = min(apart, total-apart)
			}
			if apart < 2*beside {
				best = best && !sharper(j, i) && (j >= i || sharper(i, j))
			}
		}
		if best {
			r.bends = append(r.bends, bend{i, turn[i] > 0, v.held.nearest(run[i])})
		}
	}
	if !r.closed {
		r.bends = append(r.bends, bend{i: n, on: v.sv.Ledge})
	}
	return r
}

// stations are the places of ribs along a rim, from the least number to some more
// on each of its sides, and the widest bay between them. Where the rim bulges, what
// lies beyond the chord from one to the next is no deeper than slack.
func (r *rimRun) stations(s Settings, more int, slack float64) (pos []float64, bay float64) {
	if len(r.bends) == 0 {
		at := r.spread(0, r.once, s.Spacing+s.Width, slack, more)
		for k := 1; k < len(at); k++ {
			pos = append(pos, r.arc[at[k]])
			bay = max(bay, r.arc[at[k]]-r.arc[at[k-1]]-s.Width)
		}
		return pos, bay
	}
	for k, a := range r.bends {
		if a.outer {
			pos = append(pos, r.arc[a.i])
		}
		var b bend
		switch {
		case k+1 < len(r.bends):
			b = r.bends[k+1]
		case r.closed:
			b = r.bends[0]
			b.i += r.once
		default:
			return pos, bay
		}
		on, in := r.side(a, b, s, more, slack)
		pos, bay = append(pos, on...), max(bay, in)
	}
	return pos, bay
}

// side are the places of ribs between two bends.
func (r *rimRun) side(a, b bend, s Settings, more int, slack float64) (pos []float64, bay float64) {
	from, to := r.arc[a.i], r.arc[b.i]
	most := s.Spacing + s.Width
	if !chordFits(r.at, a.i, b.i, slack, math.Inf(1)) {
		if !a.outer || !b.outer {
			most -= max(a.on, b.on)
		}
		at := r.spread(a.i, b.i, max(most, 4*s.Width), slack, more)
		for k := 1; k < len(at); k++ {
			if k+1 < len(at) {
				pos = append(pos, r.arc[at[k]])
			}
			bay = max(bay, r.arc[at[k]]-r.arc[at[k-1]]-s.Width)
		}
		return pos, bay
	}
	first, last := from, to
	if !a.outer {
		first -= a.on
	}
	if !b.outer {
		last += b.on
	}
	n := max(0, int(math.Ceil((last-first)/most-1e-9))-1) + more
	step := (last - first) / float64(n+1)
	for k := 1; k <= n; k++ {
		if at := first + float64(float64(k)*step); at > from && at < to {
			pos = append(pos, at)
		}
	}
	return pos, step - s.Width
}

// spread picks points of a part of a rim, its ends among them, at most so far apart
// and with no more than slack of the rim beyond the chords between them: as few as a
// walk finds, and some more; at equal arcs where that will do.
func (r *rimRun) spread(i, j int, most, slack float64, more int) []int {
	fits := func(a, b int) bool {
		return b == a+1 || r.arc[b]-r.arc[a] <= most && chordFits(r.at, a, b, slack, math.Inf(1))
	}
	at := []int{i}
	for k := i; k < j; {
		next := k + 1
		for next < j && fits(k, next+1) {
			next++
		}
		at = append(at, next)
		k = next
	}
	n := len(at) - 1 + more
	even := make([]int, n+1)
	for k := range even {
		even[k] = i + k*(j-i)/n
		if k > 0 && !fits(even[k-1], even[k]) {
			return at
		}
	}
	return even
}
