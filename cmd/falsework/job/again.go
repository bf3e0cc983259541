package job

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"falsework/rib"
)

// closer are the shares of the spacing tried in turn: where the proof finds
// that a ribbed ceiling still hangs, its ribs are set closer, twice at most.
var closer = [...]float64{1, 0.7, 0.5}

// A revision changes the settings of a plan to which its proof objects, and keeps
// the reasons.
type revision struct {
	set   rib.Settings
	steps map[int]int     // by ceiling: into closer
	tried map[int]attempt // by ceiling: what was proved before its ribs were set closer
	notes []note
}

// An attempt is what stood under a ceiling, and what its proof said.
type attempt struct {
	ribs    []rib.Rib
	reasons []string
}

// A note is why ceilings were planned again, said before and after their numbers.
type note struct {
	before   string
	ceilings []int
	after    string
	closer   bool // their ribs were set closer
}

func newRevision(set rib.Settings) *revision {
	return &revision{set: set, steps: map[int]int{}, tried: map[int]attempt{}}
}

// answer answers a failed proof and tells whether it changed anything. Ceilings
// that the ribs of others were to carry and that still hang get ribs of their own.
// Other ceilings that hang get closer ribs. What that does not help gets none, so
// that it does not keep the others from theirs.
func (r *revision) answer(out *Outcome) bool {
	v := out.Plan.Verified
	if own := uncarried(out); len(own) > 0 {
		r.note("ribs below were to carry ceiling ", own, ", but the proof found that it still hangs; planned again with ribs of its own")
		r.set.Own = append(slices.Clip(r.set.Own), own...)
		return true
	}
	hanging := hangs(out)
	var again, refused []int
	for _, id := range suspects(out, hanging) {
		if hanging && r.helps(id, out.Plan) {
			again = append(again, id)
		} else if slices.Contains(v.Blamed, id) {
			refused = append(refused, id)
		}
	}
	if len(again) > 0 {
		widest := r.setCloser(again, out.Plan)
		r.note("the proof found that ceiling ", again, fmt.Sprintf(", ribbed, still hangs: %s; planned again with bays of at most %.1f mm there", join(v.Reasons), widest))
		r.notes[len(r.notes)-1].closer = true
	}
	if len(refused) > 0 {
		r.note("the ribs of ceiling ", refused, fmt.Sprintf(" did not pass the proof: %s; planned again without them", join(v.Reasons)))
		r.set.Refused = append(slices.Clip(r.set.Refused), refused...)
	}
	return len(again)+len(refused) > 0
}

// helps tells whether closer ribs may help a ceiling. They do not where other ribs
// changed nothing in what the proof says. A blade gets between ribs no closer than
// four times their width.
func (r *revision) helps(id int, p *rib.Plan) bool {
	next := r.steps[id] + 1
	if next == len(closer) || r.set.Spacing*closer[next] < 4*r.set.Width {
		return false
	}
	before, ok := r.tried[id]
	return !ok || !slices.Equal(before.reasons, p.Verified.Reasons) || reflect.DeepEqual(before.ribs, ribsOf(p, id))
}

// ribsOf are the ribs planned under a ceiling.
func ribsOf(p *rib.Plan, id int) []rib.Rib {
	for i := range p.Ceilings {
		if p.Ceilings[i].ID == id {
			return p.Ceilings[i].Ribs
		}
	}
	return nil
}

// setCloser sets the ribs of ceilings closer and returns the widest bay there.
func (r *revision) setCloser(ids []int, p *rib.Plan) (widest float64) {
	set := maps.Clone(r.set.Closer) // the plan before has the old one
	if set == nil {
		set = map[int]float64{}
	}
	for _, id := range ids {
		r.steps[id]++
		r.tried[id] = attempt{ribsOf(p, id), p.Verified.Reasons}
		set[id] = r.set.Spacing * closer[r.steps[id]]
		widest = max(widest, set[id])
	}
	r.set.Closer = set
	return widest
}

func (r *revision) note(before string, ids []int, after string) {
	r.notes = append(r.notes, note{before: before, ceilings: ids, after: after})
}

// words are the notes. That ribs were set closer is not told of ceilings that have
// none in the end.
func (r *revision) words() []string {
	var out []string
	for _, n := range r.notes {
		ids := n.ceilings
		if n.closer {
			ids = slices.DeleteFunc(slices.Clone(ids), func(id int) bool { return slices.Contains(r.set.Refused, id) })
		}
		if len(ids) > 0 {
			out = append(out, n.before+numbers(ids)+n.after)
		}
	}
	return out
}

// uncarried are the ceilings without ribs of their own that a proof blames.
func uncarried(out *Outcome) []int {
	var own []int
	for i := range out.Plan.Ceilings {
		if c := &out.Plan.Ceilings[i]; c.Spared && slices.Contains(out.Plan.Verified.Blamed, c.ID) {
			own = append(own, c.ID)
		}
	}
	return own
}

// suspects are the ceilings that a proof blames; where something hangs and it blames
// none, all that are ribbed.
func suspects(out *Outcome, hanging bool) []int {
	if b := out.Plan.Verified.Blamed; len(b) > 0 {
		return b
	}
	var all []int
	for i := range out.Plan.Ceilings {
		if c := &out.Plan.Ceilings[i]; c.Ribbed() && hanging {
			all = append(all, c.ID)
		}
	}
	return all
}

// hangs tells whether a proof failed because ceilings of the part still hang.
func hangs(out *Outcome) bool {
	v := out.Plan.Verified
	for _, c := range v.Found {
		if c.On != "part" {
			return false
		}
	}
	return len(v.Found) > 0 && len(v.Found) == len(v.Reasons)
}

// numbers names ceilings.
func numbers(ids []int) string {
	var b strings.Builder
	for i, id := range ids {
		switch {
		case i == 0:
		case i == len(ids)-1:
			b.WriteString(" and ")
		default:
			b.WriteString(", ")
		}
		b.WriteString(strconv.Itoa(id))
	}
	return b.String()
}
