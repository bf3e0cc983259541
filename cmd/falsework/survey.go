package main

import (
	"context"
	"io"

	"github.com/urfave/cli/v2"

	"falsework/cmd/falsework/job"
	"falsework/cmd/falsework/report"
	"falsework/cmd/falsework/settings"
	"falsework/span"
)

func surveyCommand() *command {
	v := settings.New()
	return &command{
		name: "survey", operand: "PART",
		summary: "lists the ceilings of a part and says which need ribs, and why",
		text: "Reads the part as the printer builds it, layer on layer, and lists every underside that\n" +
			"the layer below does not carry: how far it bridges, how high it is, whether it needs\n" +
			"ribs at the limit given. Ceilings are numbered by height; rib --only and --skip take\n" +
			"these numbers.",
		example: "falsework survey gauge-housing.stl --limit 60\n" +
			"    the reading window and the drawer doorway of a tide gauge's housing, for a machine\n" +
			"    whose coupon showed clean bridges up to 60 mm\n" +
			"falsework survey gauge-housing.stl --picture ceilings.png --json > ceilings.json\n" +
			"    the same list for a script, and a picture with the ceilings numbered",
		settings: append(v.ForReading(), v.ForSurvey()...),
		files:    []cli.Flag{fileFlag("picture", "F.png", "draw the part with its ceilings")},
		run: func(ctx context.Context, c *call) error {
			return runSurvey(ctx, c, v)
		},
	}
}

func runSurvey(ctx context.Context, c *call, v *settings.Values) error {
	picture := target{"--picture", c.file("picture")}
	part, survey, err := c.survey(ctx, v, picture)
	if err != nil {
		return err
	}
	if picture.path != "" {
		err := c.write(ctx, picture.path, func(w io.Writer) error { return drawSurvey(w, part, survey) })
		if err != nil {
			return err
		}
	}
	if c.json {
		return c.printJSON(report.NewSurvey(describe(part), survey))
	}
	return c.show(toStream(picture), func(w io.Writer, l report.Look) {
		report.WriteSurvey(w, l, describe(part), survey)
	})
}

// survey reads the one part that the command line names, and surveys it.
func (c *call) survey(ctx context.Context, v *settings.Values, targets ...target) (*job.Part, *span.Survey, error) {
	line, part, err := c.read(ctx, v, targets...)
	if err != nil {
		return nil, nil, err
	}
	s, err := line.First(ctx, part, v)
	return part, s, err
}

// read settles the values, checks the command line, and reads the part.
func (c *call) read(ctx context.Context, v *settings.Values, targets ...target) (*job.Line, *job.Part, error) {
	if err := v.Finish(); err != nil {
		return nil, nil, usage("%v", err)
	}
	if len(c.words) != 1 {
		return nil, nil, usage("one part is needed, not %d; a name that begins with - goes after --", len(c.words))
	}
	path := c.words[0]
	if err := c.checkTargets(path, targets...); err != nil {
		return nil, nil, err
	}
	line := c.line(c)
	part, err := line.Read(ctx, job.Input{Path: path, Stream: c.in, Values: v})
	if err != nil {
		return nil, nil, err
	}
	collectFor(len(part.Mesh.Triangles))
	if part.Hint != "" {
		c.note("%s: %s", part.Name, part.Hint)
	}
	return line, part, nil
}

func describe(p *job.Part) report.Part {
	return report.Part{Name: p.Name, Triangles: len(p.Mesh.Triangles), Closed: p.Closed, Notes: p.Notes}
}

// show writes what a person reads: to standard output, or beside it when a
// file was sent there.
func (c *call) show(taken bool, write func(io.Writer, report.Look)) error {
	c.clear()
	w := c.out
	if taken {
		if c.quiet {
			return nil
		}
		w = c.err
	}
	e := &errWriter{w: w}
	write(e, look(w))
	return e.err
}

// errWriter keeps the first error of writing, so that a full disk behind a
// redirected table is not passed over.
type errWriter struct {
	w   io.Writer
	err error
}

func (e *errWriter) Write(p []byte) (int, error) {
	if e.err != nil {
		return 0, e.err
	}
	n, err := e.w.Write(p)
	e.err = err
	return n, err
}
