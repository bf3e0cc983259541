package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"falsework/cmd/falsework/job"
	"falsework/cmd/falsework/report"
	"falsework/cmd/falsework/settings"
	"falsework/mesh/picture"
	"falsework/mesh/section"
	"falsework/rib"
	"falsework/rib/pose"
)

func posesCommand() *command {
	v := settings.New()
	list := append(v.ForReading(), v.ForSurvey()...)
	list = append(list, v.ForPoses()...)
	return &command{
		name: "poses", operand: "PART",
		summary: "compares the ways to stand a part: ribs, support, time, bed",
		text: "Stands the part on each of its six sides, surveys it and plans ribs, and lists what each\n" +
			"pose takes. Poses are numbered by the side that lies on the bed: 1 bottom (-z), as the\n" +
			"file has it, 2 top (+z), 3 front (-y), 4 back (+y), 5 left (-x), 6 right (+x). A pose given\n" +
			"with --turn is compared, too; --pose compares one alone. Every command that reads a part\n" +
			"takes --pose N to stand it so. Which faces must look good, the list cannot know.",
		example: "falsework poses gauge-housing.stl --profile left-petg.toml --bed 250,250,300 --picture poses.png\n" +
			"    the housing of a tide gauge: which way up takes the least ribs and time\n" +
			"falsework rib gauge-housing.stl --profile left-petg.toml --pose 4\n" +
			"    ribs it lying on its back",
		settings: list,
		files:    []cli.Flag{fileFlag("picture", "F.png", "draw the poses side by side")},
		run: func(ctx context.Context, c *call) error {
			return runPoses(ctx, c, v)
		},
	}
}

func runPoses(ctx context.Context, c *call, v *settings.Values) error {
	image := target{"--picture", c.file("picture")}
	list, part, err := c.candidates(ctx, v, image)
	if err != nil {
		return err
	}
	c.Stage("comparing poses")
	found, err := pose.Compare(ctx, list, pose.Settings{Survey: v.Survey, Rib: v.Rib, Bed: v.Rib.Bed}, c.Step)
	if err != nil {
		return posesError(part, err)
	}
	r := report.NewPoses(describe(part), v.Survey, v.Rib, found)
	if image.path != "" {
		if err := c.write(ctx, image.path, func(w io.Writer) error { return drawPoses(w, part, r, found) }); err != nil {
			return err
		}
	}
	if c.json {
		return c.printJSON(r)
	}
	return c.show(toStream(image), func(w io.Writer, l report.Look) {
		report.WritePoses(w, l, describe(part), r, v.Survey, v.Rib.Material)
	})
}

// candidates reads the part as its file has it, and once more as turned where
// a turn is given.
func (c *call) candidates(ctx context.Context, v *settings.Values, image target) ([]pose.Candidate, *job.Part, error) {
	turn, number := v.Turn, v.Pose
	v.Turn, v.Pose = [3]float64{}, 1
	line, part, err := c.read(ctx, v, image)
	if err != nil {
		return nil, nil, err
	}
	var list []pose.Candidate
	for _, p := range pose.Axes() {
		if !v.Given("pose") || p.Number == number {
			list = append(list, pose.Candidate{Pose: p, Mesh: part.Mesh})
		}
	}
	if !v.Given("turn") {
		return list, part, nil
	}
	if c.words[0] == stream {
		return nil, nil, usage("--turn needs a part that can be read twice: give a file, not standard input")
	}
	v.Turn, v.Pose = turn, number
	turned, err := line.Read(ctx, job.Input{Path: c.words[0], Values: v})
	if err != nil {
		return nil, nil, err
	}
	p := pose.Pose{Down: "as turned", Turn: turn}
	if v.Given("pose") {
		p.Down = fmt.Sprintf("pose %d, turned", number)
	}
	return append(list, pose.Candidate{Pose: p, Mesh: turned.Mesh, Turned: true}), part, nil
}

// posesError tells a wrong setting from a part that cannot be used.
func posesError(part *job.Part, err error) error {
	var wrong *rib.SettingsError
	var open *section.OpenError
	switch {
	case errors.Is(err, context.Canceled):
		return err
	case errors.As(err, &wrong):
		return usage("%v", wrong)
	case errors.As(err, &open) && part.Unmended != nil:
		return job.Unusable(fmt.Errorf("%s: %w", part.Name, part.Unmended))
	case errors.As(err, &open):
		return job.Unusable(fmt.Errorf("%s: %w", part.Name, err))
	}
	return fmt.Errorf("%s: %w", part.Name, err)
}

// drawPoses draws the contact sheet: every pose from below its front left
// corner, at one scale, with its ceilings and ribs.
func drawPoses(w io.Writer, part *job.Part, r report.Poses, found []pose.Result) error {
	s := picture.Contact{Title: part.Name, Note: r.Conclusion(), Classes: classes, Columns: 3, OneScale: true}
	if len(found) > 6 {
		s.Columns = 4
	}
	if len(found) < 3 {
		s.Columns = len(found)
	}
	for i := range found {
		f := picture.Frame{Name: r.Poses[i].Title(), Lines: r.Poses[i].Lines(), Azimuth: -35, Elevation: -16}
		b := surveyed(found[i].Mesh, found[i].Survey)
		for k := range b.Regions {
			b.Regions[k].Label = ""
		}
		f.Bodies = append(f.Bodies, b)
		for _, m := range found[i].Plan.Solids() {
			f.Bodies = append(f.Bodies, picture.Body{Mesh: m, Class: classRib})
		}
		s.Frames = append(s.Frames, f)
	}
	return picture.RenderContact(w, s)
}
