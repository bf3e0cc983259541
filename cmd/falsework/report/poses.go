package report

import (
	"fmt"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"falsework/rib"
	"falsework/rib/pose"
	"falsework/span"
)

// PosesSchema is the version of the JSON form of a comparison of poses.
const PosesSchema = "falsework/poses/1"

// Poses is the JSON form of a comparison. Lengths are millimetres, areas mm2,
// volumes mm3.
type Poses struct {
	Schema   string      `json:"schema"`
	Part     string      `json:"part"`
	Closed   bool        `json:"closed"`
	Notes    []string    `json:"notes,omitempty"`
	Settings Settings    `json:"settings"`
	Spacing  float64     `json:"spacing"`
	Bed      *[3]float64 `json:"bed"` // null when not given
	Poses    []Pose      `json:"poses"`
	// The poses, counted from 0 in Poses, that take the least among those
	// that fit and leave no ceiling without ribs; null when there is none.
	LeastTime *int `json:"least_time"`
	LeastRibs *int `json:"least_ribs"`
}

// Pose is one pose of a comparison.
type Pose struct {
	Pose     *int       `json:"pose"` // null for one given by its turn
	Down     string     `json:"down"`
	Turn     [3]float64 `json:"turn"` // degrees about x, y, z
	Size     [3]float64 `json:"size"`
	Fits     *bool      `json:"fits"`   // null without a bed
	TurnZ    float64    `json:"turn_z"` // degrees about z at which it fits or fits best
	Over     [3]float64 `json:"over"`   // too long and too high for the bed
	Contact  float64    `json:"contact"`
	Ceilings int        `json:"ceilings"`
	NeedRibs int        `json:"need_ribs"`
	Left     int        `json:"left"`    // need ribs and cannot get them
	Longest  float64    `json:"longest"` // bridge that needs ribs, 0 without one
	Ribs     Effort     `json:"ribs"`
	Support  Support    `json:"support"`
	PartOnly Effort     `json:"part"`
	Minutes  float64    `json:"minutes"`           // part and ribs
	Other    float64    `json:"minutes_supported"` // part and ordinary support
}

// Support is ordinary full support of the ceilings that ribs carry.
type Support struct {
	Volume  float64 `json:"volume"` // of filament
	Minutes float64 `json:"minutes"`
}

// NewPoses puts a comparison into its JSON form.
func NewPoses(p Part, s span.Settings, r rib.Settings, found []pose.Result) Poses {
	out := Poses{Schema: PosesSchema, Part: p.Name, Closed: p.Closed, Notes: p.Notes, Settings: settingsOf(s), Spacing: round(r.Spacing), Poses: []Pose{}}
	if r.Bed != [3]float64{} {
		out.Bed = &r.Bed
	}
	least := func(at **int, i int, better func(a, b *pose.Result) bool) {
		if found[i].Prints() && (*at == nil || better(&found[i], &found[**at])) {
			*at = &i
		}
	}
	for i := range found {
		out.Poses = append(out.Poses, newPose(&found[i]))
		least(&out.LeastTime, i, func(a, b *pose.Result) bool { return a.Minutes() < b.Minutes() })
		least(&out.LeastRibs, i, func(a, b *pose.Result) bool {
			x, y := a.Plan.Totals.Volume, b.Plan.Totals.Volume
			return x < y || x == y && a.Minutes() < b.Minutes()
		})
	}
	return out
}

func newPose(r *pose.Result) Pose {
	t := r.Plan.Totals
	p := Pose{Down: r.Pose.Down, Turn: r.Pose.Turn, Size: round3(r.Size), Contact: round(r.Contact),
		Ceilings: len(r.Survey.Ceilings), NeedRibs: r.Need(), Left: r.Left(), Longest: round(r.Longest()),
		Ribs:    Effort{round(t.Volume), round(t.Mass), round(t.Filament), round(t.Minutes)},
		Support: Support{round(t.SupportVolume), round(t.SupportMinutes)}, PartOnly: effort(r.Part),
		Minutes: round(r.Minutes()), Other: round(r.Supported())}
	if r.Pose.Number > 0 {
		p.Pose = &r.Pose.Number
	}
	if r.Bed.Given {
		p.Fits, p.TurnZ, p.Over = &r.Bed.Fits, round(r.Bed.Turn), round3(r.Bed.Over)
	}
	return p
}

// number is the pose as it stands in the table.
func (p Pose) number() string {
	if p.Pose == nil {
		return "-"
	}
	return fmt.Sprint(*p.Pose)
}

// bed says in words how the pose goes on the bed.
func (p Pose) bed() string {
	switch {
	case p.Fits == nil:
		return "-"
	case *p.Fits && p.TurnZ == 0:
		return "fits"
	case *p.Fits:
		return fmt.Sprintf("fits turned %s", plain(ceil1(p.TurnZ)))
	}
	var over []string
	if plan := max(p.Over[0], p.Over[1]); plan > 0 {
		over = append(over, fmt.Sprintf("%s too long", length(plan)))
	}
	if p.Over[2] > 0 {
		over = append(over, fmt.Sprintf("%s too high", length(p.Over[2])))
	}
	return strings.Join(over, ", ")
}

// ceil1 keeps a tenth of a degree.
func ceil1(x float64) float64 { return float64(int(x*10+0.5)) / 10 }

// needs says which ceilings need ribs.
func (p Pose) needs() string {
	words := "none"
	if p.NeedRibs > 0 {
		words = fmt.Sprintf("%d", p.NeedRibs)
		if p.Longest > 0 {
			words += fmt.Sprintf(", to %s mm", length(p.Longest))
		}
	}
	if p.Left > 0 {
		words += fmt.Sprintf("; %d not ribbed", p.Left)
	}
	return words
}

// Title names the pose over its picture.
func (p Pose) Title() string {
	if p.Pose == nil {
		return fmt.Sprintf("%s by %s, %s, %s", p.Down, plain(p.Turn[0]), plain(p.Turn[1]), plain(p.Turn[2]))
	}
	return fmt.Sprintf("%d  %s down", *p.Pose, p.Down)
}

// Lines are what stands under its picture.
func (p Pose) Lines() []string {
	size := box([3]float64{}, p.Size)
	if p.Fits != nil {
		size += ", " + p.bed()
	}
	return []string{size,
		"Need ribs: " + p.needs(),
		fmt.Sprintf("Ribs %s cm3; in all %s", amount(p.Ribs.Volume/1000, 1), duration(p.Minutes))}
}

// Conclusion says which poses take the least.
func (r Poses) Conclusion() string {
	if r.LeastTime == nil {
		if r.Bed == nil {
			return "In every pose some ceiling needs ribs and cannot get them."
		}
		return "No pose both fits the bed and has all its ceilings carried."
	}
	t, m := r.Poses[*r.LeastTime], r.Poses[*r.LeastRibs]
	if *r.LeastTime == *r.LeastRibs {
		return fmt.Sprintf("Least time and least ribs: %s (%s, %s cm3).", t.short(), duration(t.Minutes), amount(t.Ribs.Volume/1000, 1))
	}
	return fmt.Sprintf("Least time: %s (%s); least ribs: %s (%s cm3).", t.short(), duration(t.Minutes), m.short(), amount(m.Ribs.Volume/1000, 1))
}

func (p Pose) short() string {
	if p.Pose == nil {
		return "the turn given"
	}
	return fmt.Sprintf("pose %d", *p.Pose)
}

// WritePoses writes a comparison as a person reads it.
func WritePoses(w io.Writer, l Look, p Part, r Poses, s span.Settings, m rib.Material) {
	closed := "closed"
	if !p.Closed {
		closed = "not closed as read"
	}
	fmt.Fprintf(w, "%s: %s, %s\n", p.Name, count(p.Triangles, "triangle"), closed)
	for _, n := range p.Notes {
		fmt.Fprintln(w, wrap("  ", n, reading))
	}
	t := grid(l, "Pose", "Down", "Size", "Bed", "Contact", "Need ribs", "Ribs", "Support", "Time", "Supported")
	var right []table.ColumnConfig
	for _, n := range []int{1, 5, 7, 8, 9, 10} {
		right = append(right, table.ColumnConfig{Number: n, Align: text.AlignRight, AlignHeader: text.AlignRight})
	}
	t.SetColumnConfigs(right)
	for _, q := range r.Poses {
		down := q.Down
		if q.Pose == nil {
			down = fmt.Sprintf("%s %s,%s,%s", q.Down, plain(q.Turn[0]), plain(q.Turn[1]), plain(q.Turn[2]))
		}
		needs, bed := q.needs(), q.bed()
		if q.Left > 0 {
			needs = l.paint(needs)
		}
		if q.Fits != nil && !*q.Fits {
			bed = l.paint(bed)
		}
		t.AppendRow(table.Row{q.number(), down, strings.TrimSuffix(box([3]float64{}, q.Size), " mm"), bed, length(q.Contact / 100),
			needs, length(q.Ribs.Volume / 1000), length(q.Support.Volume / 1000), duration(q.Minutes), duration(q.Other)})
	}
	flush(w, t)
	fmt.Fprintln(w, wrap("", fmt.Sprintf("Size in mm, contact with the bed in cm2, ribs and ordinary support of the same ceilings in cm3 of filament (support filled to %s %%); time for part and ribs, and for part and support.", plain(m.Support*100)), reading))
	fmt.Fprintln(w, wrap("", fmt.Sprintf("Times are estimates from %s, beads %s mm wide, %s mm/s, %s mm/s travel; compare them with one another.", rib.Assumed(s), plain(1.25*s.Nozzle), plain(m.Speed), plain(m.Travel)), reading))
	fmt.Fprintln(w, r.Conclusion())
	if len(r.Poses) > 1 {
		fmt.Fprintln(w, wrap("", "Which faces must look good only you know: those on the bed, those that ribs touch and those that lean show it. --pose N stands the part so in every command.", reading))
	}
}
