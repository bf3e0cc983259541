package main

import (
	"fmt"
	"image/color"
	"io"
	"strconv"

	"falsework/cmd/falsework/job"
	"falsework/cmd/falsework/report"
	"falsework/mesh"
	"falsework/mesh/picture"
	"falsework/span"
)

// Classes of surface in a picture. Their colours differ in lightness, so
// that they stay apart in grey, and along blue and yellow, which the common
// kinds of colour blindness leave alone.
const (
	classPart = iota
	classPrints
	classNeeds
	classRib
)

var classes = []picture.Class{
	classPart:   {Name: "part", Color: color.NRGBA{R: 0xE6, G: 0xE2, B: 0xDA, A: 255}},
	classPrints: {Name: "ceiling that prints as it is", Color: color.NRGBA{R: 0xBF, G: 0xA8, B: 0xE0, A: 255}},
	classNeeds:  {Name: "ceiling that needs ribs", Color: color.NRGBA{R: 0x5B, G: 0x2A, B: 0x86, A: 255}},
	classRib:    {Name: "rib", Color: color.NRGBA{R: 0xB0, G: 0x74, B: 0x00, A: 255}},
}

// drawSurvey draws a part with its ceilings, numbered as in the table.
func drawSurvey(w io.Writer, p *job.Part, s *span.Survey) error {
	return picture.Render(w, picture.Scene{
		Title:   p.Name,
		Note:    report.Conclusion(s),
		Classes: classes[:classRib],
		Bodies:  []picture.Body{surveyed(p.Mesh, s)},
	})
}

// drawRibbed draws a part with its ceilings and what was planned under them.
func drawRibbed(w io.Writer, out *job.Outcome) error {
	s := out.Plan.Survey
	bodies := []picture.Body{surveyed(out.Part.Mesh, s)}
	for _, m := range out.Plan.Solids() {
		bodies = append(bodies, picture.Body{Mesh: m, Class: classRib})
	}
	ribs := 0
	for _, c := range out.Plan.Ceilings {
		ribs += len(c.Ribs)
	}
	return picture.Render(w, picture.Scene{
		Title:   out.Part.Name,
		Note:    fmt.Sprintf("%s %d ribs, bays of at most %.4g mm.", report.Conclusion(s), ribs, out.Plan.Settings.Spacing),
		Classes: classes,
		Bodies:  bodies,
	})
}

// surveyed is a part with its ceilings marked.
func surveyed(m *mesh.Mesh, s *span.Survey) picture.Body {
	b := picture.Body{Mesh: m, Class: classPart}
	for _, c := range s.Ceilings {
		r := picture.Region{Area: c.Footprint, Z: c.Z, Class: classPrints, Label: strconv.Itoa(c.ID)}
		if c.NeedsRibs {
			r.Class = classNeeds
		}
		b.Regions = append(b.Regions, r)
	}
	return b
}
