package mend

import (
	"fmt"

	"falsework/mesh"
)

// An Unmendable says why a surface cannot be mended with certainty.
type Unmendable struct {
	Fault mesh.Fault // the worst kind of fault left, its place that of the worst defect
	Worst string     // what the worst defect of an open surface is
}

func (u *Unmendable) Error() string {
	if u.Worst != "" {
		return fmt.Sprintf("%v; the worst is %s", &u.Fault, u.Worst)
	}
	return u.Fault.Error()
}

// Unwrap returns the fault, so that errors.As finds a [*mesh.Fault].
func (u *Unmendable) Unwrap() error { return &u.Fault }

// refuse words what is left.
func (w *work) refuse() error {
	u := &Unmendable{Fault: w.a.Faults[0]}
	u.Fault.Triangle = w.input(u.Fault.Triangle)
	if u.Fault.Kind != mesh.OpenEdge {
		return u
	}
	worst := hole{}
	for _, h := range w.holes() {
		if h.size > worst.size {
			worst = h
		}
	}
	if worst.size > 0 {
		u.Fault.At, u.Fault.Triangle = worst.middle, w.input(int(worst.beyond[0]))
		u.Worst = fmt.Sprintf("a hole %.3g mm across with %d sides at (%.4g, %.4g, %.4g)",
			worst.size, len(worst.rim), worst.middle[0], worst.middle[1], worst.middle[2])
	}
	return u
}

// input returns the number that a triangle had in the input; one that mending
// made keeps its own.
func (w *work) input(t int) int {
	if t >= 0 && t < len(w.src) && w.src[t] >= 0 {
		return int(w.src[t])
	}
	return t
}
