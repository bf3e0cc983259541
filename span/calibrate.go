package span

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat"
)

// Seen is what a person saw on one bridge or step of a printed test piece.
type Seen int

// What can be seen. Measured means that a sag was measured instead.
const (
	Clean Seen = iota
	Sagging
	Failed
	Measured
)

var seenWords = [...]string{"clean", "sagging", "failed", "measured"}

// String returns the word for s.
func (s Seen) String() string {
	if s < 0 || int(s) >= len(seenWords) {
		return fmt.Sprintf("Seen(%d)", int(s))
	}
	return seenWords[s]
}

// An Observation is one line of what was seen on a printed test piece.
type Observation struct {
	At   float64 // length of a bridge in mm, or lean of a step in degrees
	Seen Seen
	Sag  float64 // mm, only when Seen is Measured
}

// A Fit is a power law through measured sags, found by least squares on the
// logarithms: sag = Factor * length^Power for bridges (mm), sag = Factor *
// tan(lean)^Power for steps, whose layers each stand out by that tangent. A
// hanging strand sags with the square of its length while its tension lasts, a
// stiff one with the fourth power, so the power is left to the measurement.
type Fit struct {
	Factor, Power float64
	R2            float64 // coefficient of determination on the logarithms
	Spread        float64 // residual standard deviation as a factor, 1 is none
	Points        int     // sags that the fit used
	Quality       string  // "good" or "fair"; a worse one is refused
	Lean          bool    // of steps, not of bridges
}

// Sag returns the sag in mm that the fit gives at a length in mm, or at a lean
// in degrees.
func (f Fit) Sag(at float64) float64 { return f.Factor * math.Pow(f.x(at), f.Power) }

func (f Fit) x(at float64) float64 {
	if f.Lean {
		return math.Tan(at * math.Pi / 180)
	}
	return at
}

// at returns where the fit gives a sag.
func (f Fit) at(sag float64) float64 {
	x := math.Pow(sag/f.Factor, 1/f.Power)
	if f.Lean {
		return math.Atan(x) * 180 / math.Pi
	}
	return x
}

// A Calibration is a limit and where it came from.
type Calibration struct {
	Limit float64 // mm for bridges, degrees for slopes
	Why   string
	Fit   *Fit // nil when the limit was read from what was seen
	Notes []string
}

// The bounds of a fit's quality: the share of the scatter that it explains,
// and the fewest sags that make it more than a line through its points.
const (
	goodR2, fairR2 = 0.95, 0.80
	leastSags      = 3
)

// AcceptedSag is the sag in mm that passes for clean when nothing else is
// asked for: a layer and a half, hardly seen inside an opening.
const AcceptedSag = 0.3

// A trade is what the words of a calibration depend on.
type trade struct {
	one, unit string
	most      float64
	beyond    string // what a piece that shows more would have
	lean      bool
}

var (
	bridges = trade{one: "bridge", unit: "mm", most: 1000, beyond: "longer bridges"}
	steps   = trade{one: "step", unit: "degrees", most: 90, beyond: "flatter steps", lean: true}
)

// CalibrateLength returns the bridge limit in mm that a printed test piece
// shows. Without measured sags it is the longest clean length below the first
// that is not clean. With them it is the length at which a fitted sag reaches
// accept (mm), held below the first bridge that was seen to sag or fail. It is
// never longer than the longest bridge printed. It fails when the piece does
// not show a limit.
func CalibrateLength(seen []Observation, accept float64) (Calibration, error) {
	return bridges.calibrate(seen, accept)
}

// CalibrateSlope returns the slope limit in degrees from the vertical that a
// printed test piece shows, by the same rules: the flattest clean step below
// the first that is not clean, or the lean at which the fitted sag of the
// steps' undersides reaches accept (mm). It is never flatter than the flattest
// step printed.
func CalibrateSlope(seen []Observation, accept float64) (Calibration, error) {
	return steps.calibrate(seen, accept)
}

func (k trade) calibrate(seen []Observation, accept float64) (Calibration, error) {
	obs, err := k.tidy(seen)
	if err != nil {
		return Calibration{}, err
	}
	if !(accept > 0) || math.IsInf(accept, 0) {
		return Calibration{}, fmt.Errorf("accepted sag %g mm must be greater than 0", accept)
	}
	var sags []Observation
	for _, o := range obs {
		if o.Seen == Measured {
			sags = append(sags, o)
		}
	}
	if len(sags) > 0 {
		return k.sag(obs, sags, accept)
	}
	return k.look(obs)
}

// tidy checks and sorts observations.
func (k trade) tidy(seen []Observation) ([]Observation, error) {
	if len(seen) == 0 {
		return nil, fmt.Errorf("nothing was seen: give at least one %s with clean, sagging, failed or a sag in mm", k.one)
	}
	obs := append([]Observation(nil), seen...)
	for _, o := range obs {
		switch {
		case !(o.At > 0) || o.At >= k.most:
			return nil, fmt.Errorf("%g %s is outside 0 to %g", o.At, k.unit, k.most)
		case o.Seen < Clean || o.Seen > Measured:
			return nil, fmt.Errorf("%g %s: %v is neither clean, sagging, failed nor a sag in mm", o.At, k.unit, o.Seen)
		case o.Seen == Measured && (!(o.Sag >= 0) || math.IsInf(o.Sag, 0)):
			return nil, fmt.Errorf("%g %s: a sag of %g mm cannot be", o.At, k.unit, o.Sag)
		}
	}
	sort.SliceStable(obs, func(i, j int) bool { return obs[i].At < obs[j].At })
	return obs, nil
}

// look reads the limit from words. A place seen both clean and not clean
// counts as not clean.
func (k trade) look(obs []Observation) (Calibration, error) {
	first := firstNotClean(obs)
	limit := 0.0
	for _, o := range obs {
		if o.At < first && o.Seen == Clean {
			limit = o.At
		}
	}
	if limit == 0 {
		return Calibration{}, fmt.Errorf("no %s was clean below the first that was not (%g %s): print a test piece that begins lower", k.one, first, k.unit)
	}
	c := Calibration{Limit: limit}
	if math.IsInf(first, 1) {
		c.Why = fmt.Sprintf("%g %s was clean and nothing beyond it was printed", limit, k.unit)
		c.Notes = append(c.Notes, fmt.Sprintf("every %s was clean: the machine may do more than %g %s, which only a test piece with %s can show", k.one, limit, k.unit, k.beyond))
		return c, nil
	}
	c.Why = fmt.Sprintf("the last clean %s before the first that was not, at %g %s", k.one, first, k.unit)
	for _, o := range obs {
		if o.At > first && o.Seen == Clean {
			c.Notes = append(c.Notes, fmt.Sprintf("%g %s was clean too, but lies beyond a %s that was not and is left out", o.At, k.unit, k.one))
		}
	}
	return c, nil
}

// firstNotClean returns the lowest place seen to sag or fail, +Inf if none.
func firstNotClean(obs []Observation) float64 {
	first := math.Inf(1)
	for _, o := range obs {
		if (o.Seen == Sagging || o.Seen == Failed) && o.At < first {
			first = o.At
		}
	}
	return first
}

// sag fits the measured sags and reads the limit off the fit.
func (k trade) sag(obs, sags []Observation, accept float64) (Calibration, error) {
	shortest, longest := sags[0].At, sags[len(sags)-1].At
	if within(sags, accept) {
		c := Calibration{Limit: longest, Why: fmt.Sprintf("every measured sag up to there is within %g mm", accept)}
		c.Notes = append(c.Notes, fmt.Sprintf("the machine may do more than %g %s, which only a test piece with %s can show", longest, k.unit, k.beyond))
		return k.hold(c, obs, accept)
	}
	fit, err := fitSag(sags, k.lean)
	if err != nil {
		return Calibration{}, err
	}
	c := Calibration{Fit: &fit, Limit: fit.at(accept)}
	c.Why = fmt.Sprintf("there the fitted sag reaches %g mm", accept)
	switch {
	case !(c.Limit >= shortest):
		return Calibration{}, fmt.Errorf("the fitted sag passes %g mm below the first %s measured (%g %s), and nothing is read off the fit beyond what was printed: print a test piece that begins lower", accept, k.one, shortest, k.unit)
	case c.Limit > longest:
		c.Limit = longest
		c.Why = fmt.Sprintf("the fitted sag reaches %g mm only beyond the last %s measured", accept, k.one)
		c.Notes = append(c.Notes, "nothing is read off the fit beyond what was printed")
	}
	if fit.Quality == "fair" {
		c.Notes = append(c.Notes, "the sags scatter: measure again, or print the piece twice")
	}
	for _, o := range sags {
		if o.At <= c.Limit && o.Sag > accept {
			c.Notes = append(c.Notes, fmt.Sprintf("at %g %s the sag measured, %g mm, is itself more than is accepted; the fit evens it out", o.At, k.unit, o.Sag))
		}
	}
	return k.hold(c, obs, accept)
}

// within reports whether every sag is accepted.
func within(sags []Observation, accept float64) bool {
	for _, o := range sags {
		if o.Sag > accept {
			return false
		}
	}
	return true
}

// hold keeps a limit that sags allow below the first place seen to sag or
// fail, at the last one before it that was clean or is accepted.
func (k trade) hold(c Calibration, obs []Observation, accept float64) (Calibration, error) {
	first := firstNotClean(obs)
	if c.Limit < first {
		return c, nil
	}
	below := 0.0
	for _, o := range obs {
		if o.At < first && (o.Seen == Clean || o.Seen == Measured && o.Sag <= accept) {
			below = o.At
		}
	}
	if below == 0 {
		return Calibration{}, fmt.Errorf("no %s was clean below the first that was not (%g %s): print a test piece that begins lower", k.one, first, k.unit)
	}
	c.Limit = below
	c.Why = fmt.Sprintf("the last %s before the first that was not clean, at %g %s, though the sags would allow more", k.one, first, k.unit)
	return c, nil
}

// fitSag is ordinary least squares on ln(sag) = ln(factor) + power ln(x), with
// the length for x, or the tangent of the lean. Sags of zero have no logarithm
// and are left out.
func fitSag(sags []Observation, lean bool) (Fit, error) {
	f := Fit{Lean: lean}
	var x, y []float64
	for _, o := range sags {
		if o.Sag > 0 {
			x = append(x, math.Log(f.x(o.At)))
			y = append(y, math.Log(o.Sag))
		}
	}
	if len(x) < leastSags || x[0] == x[len(x)-1] {
		return Fit{}, fmt.Errorf("too few measured sags above zero for a fit (%d): measure at least %d places, not all the same, or judge each clean, sagging or failed", len(x), leastSags)
	}
	a, b := stat.LinearRegression(x, y, nil, false)
	f.Factor, f.Power, f.Points = math.Exp(a), b, len(x)
	f.R2 = stat.RSquared(x, y, nil, a, b)
	var rest float64
	for i := range x {
		d := y[i] - a - b*x[i]
		rest += d * d
	}
	f.Spread = math.Exp(math.Sqrt(rest / float64(len(x)-2)))
	switch {
	case !(b > 0):
		return Fit{}, fmt.Errorf("the measured sags do not grow along the test piece: check which sag belongs to which place")
	case f.R2 >= goodR2:
		f.Quality = "good"
	case f.R2 >= fairR2:
		f.Quality = "fair"
	default:
		return Fit{}, fmt.Errorf("the measured sags scatter too much for a fit (R2 %.2f, at least %.2f is asked for): measure again, or judge each place clean, sagging or failed", f.R2, fairR2)
	}
	return f, nil
}
