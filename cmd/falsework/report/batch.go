package report

import (
	"falsework/rib"
	"falsework/span"
)

// BatchSchema is the version of the JSON form of a batch.
const BatchSchema = "falsework/batch/1"

// What became of a part of a batch.
const (
	Ribbed = "ribbed" // ribs built, verified, written
	Partly = "partly" // the same, but some ceilings could not be ribbed
	Copied = "copied" // nothing to rib
	Failed = "failed" // nothing written; the reason says why
	Undone = "undone" // the run was interrupted before
)

// Batch is the JSON form of a batch. It holds no times and no paths of the
// machine, so that the same folder and settings give the same bytes; only
// whether a part was kept from an earlier run differs.
type Batch struct {
	Schema      string      `json:"schema"`
	Shard       string      `json:"shard,omitempty"` // I/N
	Interrupted bool        `json:"interrupted"`
	Settings    Settings    `json:"settings"`
	RibSettings RibSettings `json:"rib_settings"`
	Counts      BatchCounts `json:"counts"`
	Totals      Totals      `json:"totals"` // over the parts
	Parts       []BatchPart `json:"parts"`  // in the order of their names
	Earlier     []string    `json:"earlier"`
}

// BatchCounts says how many parts there are of each kind; kept are counted in
// the other numbers, too.
type BatchCounts struct {
	Parts  int `json:"parts"`
	Ribbed int `json:"ribbed"`
	Partly int `json:"partly"`
	Copied int `json:"copied"`
	Failed int `json:"failed"`
	Undone int `json:"undone"`
	Kept   int `json:"kept"`
}

// BatchPart is what became of one part. Names are relative to the folders,
// with slashes.
type BatchPart struct {
	Part      string   `json:"part"`
	State     string   `json:"state"`
	Kept      bool     `json:"kept"`   // from an earlier run
	Exit      int      `json:"exit"`   // the status rib alone would have ended with
	Reason    string   `json:"reason"` // of a failure, else empty
	Files     []string `json:"files"`  // written for it, the part itself first
	Triangles int      `json:"triangles"`
	Closed    bool     `json:"closed"` // as read
	Ceilings  int      `json:"ceilings"`
	NeedRibs  int      `json:"need_ribs"`
	Left      []int    `json:"left"` // ceilings that need ribs and could not get them
	Totals    Totals   `json:"totals"`
	Notes     []string `json:"notes"` // mends, warnings, doubts
}

// NewBatch sums up the parts of a batch.
func NewBatch(parts []BatchPart, earlier []string, s span.Settings, r rib.Settings) *Batch {
	b := &Batch{
		Schema: BatchSchema, Settings: settingsOf(s), RibSettings: ribSettings(r),
		Parts: append([]BatchPart{}, parts...), Earlier: append([]string{}, earlier...),
	}
	for i := range b.Parts {
		p := &b.Parts[i]
		p.Files, p.Left, p.Notes = append([]string{}, p.Files...), append([]int{}, p.Left...), append([]string{}, p.Notes...)
		b.Counts.add(*p)
		b.Totals.add(p.Totals)
	}
	return b
}

func (c *BatchCounts) add(p BatchPart) {
	c.Parts++
	if p.Kept {
		c.Kept++
	}
	switch p.State {
	case Ribbed:
		c.Ribbed++
	case Partly:
		c.Partly++
	case Copied:
		c.Copied++
	case Failed:
		c.Failed++
	case Undone:
		c.Undone++
	}
}

func (t *Totals) add(o Totals) {
	t.Ribs += o.Ribs
	t.Braces += o.Braces
	t.Feet += o.Feet
	t.Unsteady += o.Unsteady
	t.Cuts += o.Cuts
	for _, x := range []struct {
		sum *float64
		of  float64
	}{
		{&t.Volume, o.Volume}, {&t.Mass, o.Mass}, {&t.Filament, o.Filament}, {&t.Minutes, o.Minutes},
		{&t.CutLength, o.CutLength}, {&t.SupportVolume, o.SupportVolume}, {&t.SupportMinutes, o.SupportMinutes},
	} {
		*x.sum = round(*x.sum + x.of)
	}
}

// Describe fills in what a plan says of a part.
func (p *BatchPart) Describe(part Part, plan *rib.Plan) {
	p.Triangles, p.Closed = part.Triangles, part.Closed
	p.Ceilings, p.Totals = len(plan.Survey.Ceilings), totals(plan)
	for _, c := range plan.Survey.Ceilings {
		if c.NeedsRibs && !c.Low && !c.Small {
			p.NeedRibs++
		}
	}
}
