package coupon

import (
	"context"
	"fmt"
	"strings"

	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// carry ribs the opening at a place of the sheet as any part's, unites the
// ribs with the piece, and proves the result by a second survey.
func (p *Piece) carry(ctx context.Context, s Settings, at place) error {
	var err error
	if p.Survey, err = span.Run(ctx, p.Bare, s.Survey, span.Options{}); err != nil {
		return err
	}
	set := s.Rib
	set.Skip, set.Only = nil, nil
	for _, c := range p.Survey.Ceilings {
		if c.NeedsRibs && c.Min[1] > at.y-1 && c.Max[1] < at.y+wall+1 {
			set.Only = append(set.Only, c.ID)
		}
	}
	if len(set.Only) != 1 {
		return fmt.Errorf("the survey finds %d ceilings in the ribbed opening of the test piece instead of 1", len(set.Only))
	}
	if p.Plan, err = rib.Make(ctx, p.Bare, p.Survey, set); err != nil {
		return err
	}
	if c := p.Opening(); c.Fault {
		return &SettingError{fmt.Sprintf("with these settings the opening of %g mm cannot be carried by ribs (%s): change them, or leave the opening out", at.width, c.Left)}
	}
	res, err := union.Unite(p.Bare, p.Plan.Solids())
	if err != nil {
		return err
	}
	p.Mesh = res.Mesh
	return p.prove(ctx, res)
}

// Opening is the plan of the ribbed opening, nil without one.
func (p *Piece) Opening() *rib.CeilingPlan {
	if p.Plan == nil {
		return nil
	}
	for i := range p.Plan.Ceilings {
		if p.Plan.Ceilings[i].ID == p.Plan.Settings.Only[0] {
			return &p.Plan.Ceilings[i]
		}
	}
	return nil
}

// prove surveys the ribbed piece as a part of its own.
func (p *Piece) prove(ctx context.Context, res *union.Result) error {
	before, err := p.Bare.Audit(ctx)
	if err != nil {
		return err
	}
	after, err := p.Mesh.Audit(ctx)
	if err != nil {
		return err
	}
	second, err := span.Run(ctx, p.Mesh, p.Survey.Settings, span.Options{Zones: p.Plan.Zones(), OnRib: p.Plan.OnRib})
	if err != nil {
		return err
	}
	v := rib.Verify(p.Plan, rib.Evidence{Second: second, Union: res.Report, Before: before, After: after})
	if !v.Verified {
		return fmt.Errorf("the second survey of the test piece disagrees with its plan: %s", strings.Join(v.Reasons, "; "))
	}
	return nil
}
