package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"falsework/cmd/falsework/job"
	"falsework/cmd/falsework/report"
	"falsework/cmd/falsework/settings"
	"falsework/mesh/meshfile"
	"falsework/rib"
)

func ribCommand() *command {
	v := settings.New()
	var dry bool
	list := append(v.ForReading(), v.ForSurvey()...)
	list = append(append(append(list, v.ForRibs()...), v.ForChoice()...), v.ForEstimates()...)
	list = append(list, v.ForMarks()...)
	list = append(list, settings.NewSwitch("dry-run", "plan and report, write nothing", &dry).In(settings.Output))
	return &command{
		name: "rib", operand: "PART",
		summary: "stands ribs under every ceiling that needs them and writes the part anew",
		text: "The main job: surveys the part, plans thin ribs under its wide ceilings, makes part and\n" +
			"ribs one closed surface, surveys that again, and writes PART-ribbed.stl only when it is\n" +
			"proved. Reports material, time and cuts, and what the slicing program must be told. A part\n" +
			"that needs no ribs is left as it is; with -o it is written unchanged.",
		example: "falsework rib gauge-housing.stl --limit 60 --bed 250,250,300\n" +
			"    writes gauge-housing-ribbed.stl: the housing of a tide gauge with ribs in its reading\n" +
			"    window, its drawer doorway and under its roof\n" +
			"falsework rib gauge-housing.stl --skip 3 --plan plan.json --picture ribs.png\n" +
			"    leaves ceiling 3 alone, keeps the plan, and draws the result\n" +
			"falsework rib gauge-housing.3mf --separate --keep-out clear.stl\n" +
			"    keeps housing and ribs apart in gauge-housing-ribbed.3mf, and fills the ribbed openings\n" +
			"    with bodies that mark where the slicing program adds no support of its own",
		settings: list,
		files: []cli.Flag{
			fileFlag("o", "F", "write the ribbed part here; default: PART-ribbed beside the part"),
			fileFlag("ribs", "F", "write the ribs alone"),
			fileFlag("keep-out", "F", "write bodies that fill the ribbed openings, for marking where the slicing program adds no support"),
			fileFlag("plan", "F.json", "write the plan as JSON"),
			fileFlag("picture", "F.png", "draw the part with its ribs"),
		},
		run: func(ctx context.Context, c *call) error {
			return runRib(ctx, c, v, dry)
		},
	}
}

// ribTargets are the files a run of rib may write.
type ribTargets struct {
	part, ribs, keepOut, plan, picture target
	gap                                float64 // of keepOut
}

func (t ribTargets) list() []target {
	return []target{t.part, t.ribs, t.keepOut, t.plan, t.picture}
}

func runRib(ctx context.Context, c *call, v *settings.Values, dry bool) error {
	t := ribTargets{
		part: target{"-o", c.file("o")}, ribs: target{"--ribs", c.file("ribs")}, keepOut: target{"--keep-out", c.file("keep-out")},
		plan: target{"--plan", c.file("plan")}, picture: target{"--picture", c.file("picture")},
	}
	asked := t.part.path != ""
	source := meshfile.STL
	if len(c.words) == 1 && c.words[0] != stream {
		source = meshfile.FormatOfFile(c.words[0])
	}
	if !asked && len(c.words) == 1 {
		if c.words[0] == stream && !dry {
			return usage("a part from standard input needs -o to say where the result goes")
		}
		t.part.path = ribbedName(c.words[0], source)
	}
	for _, f := range []target{t.part, t.ribs, t.keepOut} {
		if dry && f.path == stream {
			return usage("%s - wants a mesh, and a dry run makes none; leave out one of the two", f.flag)
		}
	}
	if t.part.path == stream && isTerminal(c.out) {
		return usage("-o - would write a mesh on the terminal; send it to a file or another program")
	}
	if err := t.check(v, len(c.words) == 1 && c.words[0] == stream, source); err != nil {
		return err
	}
	line, part, err := c.read(ctx, v, t.list()...)
	if err != nil {
		return err
	}
	t.gap = v.KeepOut
	if part.Form, err = t.form(v, part.Format); err != nil {
		return err
	}
	out, err := line.Rib(ctx, part, v, dry)
	if err != nil {
		var wrong *rib.SettingsError
		if errors.As(err, &wrong) {
			return usage("%v", wrong)
		}
		return err
	}
	for _, n := range out.Notes {
		c.note("%s: %s", part.Name, n)
	}
	if dry {
		return c.rehearse(ctx, out, t, asked)
	}
	var written []string
	switch {
	case out.Result == nil && !asked:
		t.part.path = ""
		fallthrough
	default:
		if written, err = c.writeRibbed(ctx, out, t); err != nil {
			return err
		}
	}
	return c.reportRib(out, t, written, nil)
}

// rehearse ends a dry run: no file is written. What a stream may hold without
// a result, plan and picture, it gets; the files that would be there are named.
func (c *call) rehearse(ctx context.Context, out *job.Outcome, t ribTargets, asked bool) error {
	if out.Nothing() {
		t.ribs.path, t.keepOut.path = "", ""
		if !asked {
			t.part.path = ""
		}
	}
	would := []string{}
	for _, f := range t.list() {
		if f.path != "" && f.path != stream {
			would = append(would, f.path)
		}
	}
	var err error
	switch {
	case t.plan.path == stream:
		err = c.write(ctx, stream, func(w io.Writer) error { return writePlan(w, out, []string{}) })
	case t.picture.path == stream:
		err = c.write(ctx, stream, func(w io.Writer) error { return drawRibbed(w, out) })
	}
	if err != nil {
		return err
	}
	return c.reportRib(out, t, nil, would)
}

// form says how the part is written: in the format of its name, and in that
// of the part where a stream has no name.
func (t ribTargets) form(v *settings.Values, source meshfile.Format) (job.Form, error) {
	f, err := meshfile.FormatOf(t.part.path, source)
	switch {
	case err != nil:
		return job.Form{}, usage("-o %v", err)
	case v.Separate && f != meshfile.ThreeMF:
		return job.Form{}, usage("--separate keeps part and ribs apart as named objects, which an STL file cannot: it holds one surface without names; give -o a name that ends in .3mf, or use --ribs for a second file")
	}
	return job.Form{Format: f, Separate: v.Separate}, nil
}

// check refuses, before any work is done, names that ask for what cannot be
// written. What a part from a stream is shows only when it is read.
func (t ribTargets) check(v *settings.Values, streamed bool, source meshfile.Format) error {
	for _, extra := range []target{t.ribs, t.keepOut} {
		if _, err := meshfile.FormatOf(extra.path, source); err != nil {
			return usage("%s %v", extra.flag, err)
		}
	}
	if streamed && t.part.path == stream {
		return nil
	}
	_, err := t.form(v, source)
	return err
}

// ribbedName is where a result goes unless told otherwise: beside the part,
// in its format.
func ribbedName(path string, f meshfile.Format) string {
	ext := filepath.Ext(path)
	base := strings.TrimSuffix(path, ext)
	if strings.EqualFold(ext, f.Extension()) && f == meshfile.ThreeMF {
		return base + "-ribbed" + ext
	}
	return base + "-ribbed" + f.Extension()
}

// writeRibbed writes everything that was asked for, the ribbed part last, so
// that where it is, the rest is too. It returns the names written.
func (c *call) writeRibbed(ctx context.Context, out *job.Outcome, t ribTargets) (written []string, err error) {
	c.Stage("writing")
	put := func(t target, fill func(io.Writer) error) {
		if err != nil || t.path == "" {
			return
		}
		if err = c.write(ctx, t.path, fill); err == nil && t.path != stream {
			written = append(written, t.path)
		}
	}
	if out.Result != nil { // first, as there may be no room for them
		put(t.keepOut, func(w io.Writer) error { return c.fillOpenings(ctx, w, out, t) })
	}
	put(t.picture, func(w io.Writer) error { return drawRibbed(w, out) })
	if out.Result != nil {
		put(t.ribs, func(w io.Writer) error {
			f, err := meshfile.FormatOf(t.ribs.path, out.Part.Form.Format)
			if err != nil {
				return err
			}
			return out.WriteRibs(ctx, w, f)
		})
	}
	names := append([]string{}, written...)
	for _, later := range []target{t.plan, t.part} {
		if later.path != "" && later.path != stream {
			names = append(names, later.path)
		}
	}
	put(t.plan, func(w io.Writer) error { return writePlan(w, out, names) })
	put(t.part, func(w io.Writer) error { return out.Write(ctx, w) })
	return written, err
}

func writePlan(w io.Writer, out *job.Outcome, names []string) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	return e.Encode(report.NewPlan(describe(out.Part), out.Plan, verified(out), names))
}

// fillOpenings writes the keep-out bodies.
func (c *call) fillOpenings(ctx context.Context, w io.Writer, out *job.Outcome, t ribTargets) error {
	f, err := meshfile.FormatOf(t.keepOut.path, out.Part.Form.Format)
	if err != nil {
		return err
	}
	k, err := out.KeepOut(ctx, t.gap)
	if err != nil {
		return err
	}
	if k.Bodies == 0 {
		return job.Unusable(fmt.Errorf("%s: --keep-out has nothing to write: no ribbed opening leaves room for a body %g mm off the part; set --keep-out-gap lower", out.Part.Name, t.gap))
	}
	bodies := "bodies"
	if k.Bodies == 1 {
		bodies = "body"
	}
	c.note("%s: %d keep-out %s, %.1f cm3, %.0f %% of the air under the ribbed ceilings, %g mm off the part",
		out.Part.Name, k.Bodies, bodies, k.Volume/1000, 100*k.Volume/k.Air, t.gap)
	return meshfile.Encode(ctx, w, f, meshfile.Object{Name: "keep-out", Mesh: k.Mesh})
}

// reportRib says what was done, and ends with the exit status. In a dry run
// would names the files that were not written.
func (c *call) reportRib(out *job.Outcome, t ribTargets, written, would []string) error {
	for _, w := range out.Plan.Warnings {
		c.warn("%s: %s", out.Part.Name, w)
	}
	if c.json {
		if err := c.printJSON(report.NewPlan(describe(out.Part), out.Plan, verified(out), written)); err != nil {
			return err
		}
	} else {
		err := c.show(toStream(t.list()...), func(w io.Writer, l report.Look) {
			c.tellRib(w, l, out, written, would)
		})
		if err != nil {
			return err
		}
	}
	if len(out.Left) > 0 && would == nil {
		for _, p := range out.Plan.Ceilings {
			if p.Fault {
				c.warn("%s: ceiling %d needs ribs and could not get them: %s; let the slicing program support it there, or try another pose or a smaller --spacing", out.Part.Name, p.ID, p.Left)
			}
		}
		return &failure{code: exitLeft}
	}
	return nil
}

func (c *call) tellRib(w io.Writer, l report.Look, out *job.Outcome, written, would []string) {
	part := describe(out.Part)
	if out.Nothing() {
		report.WriteSurvey(w, l, part, out.Plan.Survey)
		report.WriteLeft(w, out.Plan)
		switch {
		case len(written) > 0:
			how := "unchanged"
			if out.Part.Changed() {
				how = "as mended or turned"
			}
			fmt.Fprintf(w, "Nothing was ribbed. Written %s: %s\n", how, strings.Join(written, ", "))
		case len(would) > 0:
			fmt.Fprintf(w, "Nothing to rib. %s\n", unwritten(would))
		default:
			fmt.Fprintln(w, "Nothing was ribbed and nothing written.")
		}
		return
	}
	report.WritePlan(w, l, part, out.Plan)
	report.WriteLeft(w, out.Plan)
	if would != nil {
		fmt.Fprintf(w, "%s The plan has not been proved on a result.\n", unwritten(would))
		return
	}
	report.WriteVerified(w, verified(out))
	if len(written) > 0 {
		fmt.Fprintf(w, "Written:  %s\n", strings.Join(written, ", "))
	}
	report.WriteCuts(w, l, out.Plan)
	report.WriteAdvice(w, out.Plan)
}

// unwritten says what a dry run left out.
func unwritten(would []string) string {
	if len(would) == 0 {
		return "A dry run: nothing was written."
	}
	return "A dry run: nothing was written; without --dry-run it would be " + strings.Join(would, ", ") + "."
}

func verified(out *job.Outcome) *report.Verified {
	if out.Result == nil {
		return nil
	}
	return report.NewVerified(out.Plan.Verified, out.Second, out.Count, out.Result.Report.Notes)
}
