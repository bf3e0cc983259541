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

// A Fit is a power law sag = Factor * length^Power through measured sags,
// found by least squares on the logarithms. A hanging strand sags with the
// square of its length while its tension lasts, a stiff one with the fourth
// power, so the power is left to the measurement.
type Fit struct {
	Factor, Power float64
	R2            float64 // coefficient of determination on the logarithms
	Spread        float64 // residual standard deviation as a factor, 1 is none
	Points        int     // sags that the fit used
	Quality       string  // "good" or "fair"; a worse one is refused
}

// Sag returns the sag in mm that the fit gives at a length in mm.
func (f Fit) Sag(length float64) float64 { return f.Factor * math.Pow(length, f.Power) }

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

// CalibrateLength returns the bridge limit in mm that a printed test piece
// shows. Without measured sags it is the longest clean length below the first
// that is not clean. With them it is the length at which a fitted sag reaches
// accept (mm), held below the first bridge that was seen to sag or fail. It is
// never longer than the longest bridge printed. It fails when the piece does
// not show a limit.
func CalibrateLength(seen []Observation, accept float64) (Calibration, error) {
	obs, err := tidy(seen, "mm", 1000)
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
		return calibrateSag(obs, sags, accept)
	}
	return calibrateLook(obs, "mm", "bridge")
}

// CalibrateSlope returns the slope limit in degrees from the vertical that a
// printed test piece shows: the flattest clean step below the first that is
// not clean.
func CalibrateSlope(seen []Observation) (Calibration, error) {
	obs, err := tidy(seen, "degrees", 90)
	if err != nil {
		return Calibration{}, err
	}
	for _, o := range obs {
		if o.Seen == Measured {
			return Calibration{}, fmt.Errorf("slope %g: a slope is judged clean, sagging or failed, not by a sag", o.At)
		}
	}
	return calibrateLook(obs, "degrees", "slope")
}

// tidy checks and sorts observations.
func tidy(seen []Observation, unit string, most float64) ([]Observation, error) {
	if len(seen) == 0 {
		return nil, fmt.Errorf("nothing was seen: give at least one length with clean, sagging, failed or a sag in mm")
	}
	obs := append([]Observation(nil), seen...)
	for _, o := range obs {
		switch {
		case !(o.At > 0) || o.At >= most:
			return nil, fmt.Errorf("%g %s is outside 0 to %g", o.At, unit, most)
		case o.Seen < Clean || o.Seen > Measured:
			return nil, fmt.Errorf("%g %s: %v is neither clean, sagging, failed nor a sag in mm", o.At, unit, o.Seen)
		case o.Seen == Measured && (!(o.Sag >= 0) || math.IsInf(o.Sag, 0)):
			return nil, fmt.Errorf("%g %s: a sag of %g mm cannot be", o.At, unit, o.Sag)
		}
	}
	sort.SliceStable(obs, func(i, j int) bool { return obs[i].At < obs[j].At })
	return obs, nil
}

// calibrateLook reads the limit from words. A length seen both clean and not
// clean counts as not clean.
func calibrateLook(obs []Observation, unit, what string) (Calibration, error) {
	first := firstNotClean(obs)
	limit := 0.0
	for _, o := range obs {
		if o.At < first && o.Seen == Clean {
			limit = o.At
		}
	}
	if limit == 0 {
		return Calibration{}, fmt.Errorf("no %s was clean below the first that was not (%g %s): print a test piece that begins lower", what, first, unit)
	}
	c := Calibration{Limit: limit}
	if math.IsInf(first, 1) {
		c.Why = fmt.Sprintf("%g %s was clean and nothing beyond it was printed", limit, unit)
		c.Notes = append(c.Notes, fmt.Sprintf("every %s was clean: the machine may do more than %g %s, which only a larger test piece can show", what, limit, unit))
		return c, nil
	}
	c.Why = fmt.Sprintf("%g %s is the last clean %s before the first that was not, at %g %s", limit, unit, what, first, unit)
	for _, o := range obs {
		if o.At > first && o.Seen == Clean {
			c.Notes = append(c.Notes, fmt.Sprintf("%g %s was clean too, but lies beyond a %s that was not and is left out", o.At, unit, what))
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

// calibrateSag fits the measured sags and reads the limit off the fit.
func calibrateSag(obs, sags []Observation, accept float64) (Calibration, error) {
	shortest, longest := sags[0].At, sags[len(sags)-1].At
	if within(sags, accept) {
		c := Calibration{Limit: longest, Why: fmt.Sprintf("every measured sag up to %g mm is within %g mm", longest, accept)}
		c.Notes = append(c.Notes, fmt.Sprintf("the machine may do more than %g mm, which only a longer test piece can show", longest))
		return hold(c, obs)
	}
	fit, err := fitSag(sags)
	if err != nil {
		return Calibration{}, err
	}
	c := Calibration{Fit: &fit, Limit: math.Pow(accept/fit.Factor, 1/fit.Power)}
	c.Why = fmt.Sprintf("the fitted sag reaches %g mm at %.1f mm", accept, c.Limit)
	switch {
	case c.Limit < shortest:
		return Calibration{}, fmt.Errorf("the fitted sag passes %g mm below the shortest bridge printed (%g mm): print a test piece with shorter bridges", accept, shortest)
	case c.Limit > longest:
		c.Limit = longest
		c.Why = fmt.Sprintf("the fitted sag reaches %g mm only beyond the longest bridge printed, %g mm", accept, longest)
		c.Notes = append(c.Notes, "nothing is read off the fit beyond what was printed")
	}
	if fit.Quality == "fair" {
		c.Notes = append(c.Notes, "the sags scatter: measure again, or print the piece twice")
	}
	return hold(c, obs)
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

// hold keeps a fitted limit below the first bridge seen to sag or fail.
func hold(c Calibration, obs []Observation) (Calibration, error) {
	first := firstNotClean(obs)
	if c.Limit < first {
		return c, nil
	}
	below := 0.0
	for _, o := range obs {
		if o.At < first {
			below = o.At
		}
	}
	if below == 0 {
		return Calibration{}, fmt.Errorf("the shortest bridge (%g mm) was not clean: print a test piece with shorter bridges", first)
	}
	c.Limit = below
	c.Why = fmt.Sprintf("the sags would allow more, but the bridge of %g mm was not clean; %g mm is the longest below it", first, below)
	return c, nil
}

// fitSag is ordinary least squares on ln(sag) = ln(factor) + power ln(length).
// Sags of zero have no logarithm and are left out.
func fitSag(sags []Observation) (Fit, error) {
	var x, y []float64
	for _, o := range sags {
		if o.Sag > 0 {
			x = append(x, math.Log(o.At))
			y = append(y, math.Log(o.Sag))
		}
	}
	if len(x) < leastSags || x[0] == x[len(x)-1] {
		return Fit{}, fmt.Errorf("%d measured sags above zero do not make a fit: measure at least %d bridges of different length", len(x), leastSags)
	}
	a, b := stat.LinearRegression(x, y, nil, false)
	f := Fit{Factor: math.Exp(a), Power: b, R2: stat.RSquared(x, y, nil, a, b), Points: len(x)}
	var rest float64
	for i := range x {
		d := y[i] - a - b*x[i]
		rest += d * d
	}
	f.Spread = math.Exp(math.Sqrt(rest / float64(len(x)-2)))
	switch {
	case !(b > 0):
		return Fit{}, fmt.Errorf("the measured sags do not grow with length: check which sag belongs to which bridge")
	case f.R2 >= goodR2:
		f.Quality = "good"
	case f.R2 >= fairR2:
		f.Quality = "fair"
	default:
		return Fit{}, fmt.Errorf("the measured sags scatter too much for a fit (R2 %.2f, at least %.2f is asked for): measure again, or judge each bridge clean, sagging or failed", f.R2, fairR2)
	}
	return f, nil
}
