package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"sync"

	"github.com/urfave/cli/v2"

	"falsework/cmd/falsework/batch"
	"falsework/cmd/falsework/job"
	"falsework/cmd/falsework/report"
	"falsework/cmd/falsework/settings"
	"falsework/mesh/meshfile"
)

// partName is the command by which batch starts the program on one part, and
// memoryFlag what it gives to it beside the settings of rib.
const (
	partName   = "batch-part"
	memoryFlag = "memory"
)

// partCommand works on one part of a batch: it writes what comes of it into a
// folder of its own, answers with JSON, and stops when its standard input
// ends.
func partCommand() *command {
	v := settings.New()
	memory := 4096.0
	var plans, pictures bool
	return &command{
		name: partName, operand: "PART -o DIR", hidden: true,
		summary: "one part of a batch; batch itself calls this",
		text:    "Works on one part of a batch; batch itself calls this.",
		settings: append(forRibbing(v),
			settings.NewNumber(memoryFlag, "MB", "most memory", &memory, settings.Range{Min: 256, Max: 1 << 24}),
			settings.NewSwitch("plans", "write the plan", &plans),
			settings.NewSwitch("pictures", "draw the part", &pictures)),
		files: []cli.Flag{fileFlag("o", "DIR", "folder for what comes of the part")},
		run: func(ctx context.Context, c *call) error {
			if err := v.Finish(); err != nil {
				return usage("%v", err)
			}
			if len(c.words) != 1 || c.file("o") == "" {
				return usage("%s takes one part and -o DIR", partName)
			}
			w := partWork{call: c, values: v, dir: c.file("o"), plans: plans, pictures: pictures}
			return w.run(ctx, int64(memory)<<20)
		},
	}
}

// partWork is the work on one part of a batch.
type partWork struct {
	*call
	values          *settings.Values
	dir             string
	plans, pictures bool
	once            sync.Once
}

func (w *partWork) run(ctx context.Context, memory int64) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	batch.Bound(memory, func() int {
		_ = w.answer(batch.Answer{Row: report.BatchPart{State: report.Failed, Exit: exitUnusable, Reason: batch.WantsMemory(memory)}})
		return exitUnusable
	})
	batch.Serve(w.in, cancel, func() {
		w.clear()
		os.Exit(exitInterrupted)
	})
	a, err := w.guarded(ctx)
	switch code := codeOf(err); {
	case ctx.Err() != nil:
		w.clear()
		a = batch.Answer{Interrupted: true}
		err = &failure{exitInterrupted, ctx.Err()}
	case err != nil:
		a = batch.Answer{Row: report.BatchPart{State: report.Failed, Exit: code, Reason: oneLine(err.Error())}}
	}
	if e := w.answer(a); e != nil {
		return e
	}
	return err
}

// answer says the one answer there is.
func (w *partWork) answer(a batch.Answer) (err error) {
	w.once.Do(func() { err = json.NewEncoder(w.out).Encode(a) })
	return err
}

// clear takes the folder away, as the one that asked for it may be gone.
func (w *partWork) clear() {
	_ = os.Chdir(filepath.Dir(w.dir))
	_ = os.RemoveAll(w.dir)
}

// guarded is part with a panic as an error.
func (w *partWork) guarded(ctx context.Context) (a batch.Answer, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("internal error: %v; please report it with the part", p)
			if os.Getenv("FALSEWORK_TRACE") != "" {
				_, _ = w.err.Write(debug.Stack())
			}
		}
	}()
	return w.part(ctx)
}

// part runs the part through the stages and writes what comes of it.
func (w *partWork) part(ctx context.Context) (a batch.Answer, err error) {
	path, err := filepath.Abs(w.words[0])
	if err != nil {
		return a, err
	}
	if w.dir, err = filepath.Abs(w.dir); err != nil {
		return a, err
	}
	// Within the folder, messages and plan name files as their user knows them.
	if err := os.Chdir(w.dir); err != nil {
		return a, err
	}
	line := w.line(nil)
	part, err := line.Read(ctx, job.Input{Path: path, Values: w.values})
	if err != nil {
		return a, err
	}
	file := filepath.Base(path)
	result := ribTargets{part: target{path: batch.RibbedName(file)}}
	if f, err := meshfile.FormatOf(result.part.path, part.Format); err == nil && f != meshfile.ThreeMF {
		w.values.Separate = false // of a mixed folder, for those that can
	}
	if part.Form, err = result.form(w.values, part.Format); err != nil {
		return a, err
	}
	out, err := line.Rib(ctx, part, w.values, false)
	if err != nil {
		return a, err
	}
	a.Copy = out.Result == nil && !part.Changed()
	var t ribTargets
	var names []string
	name := func(t *target, file string) {
		t.path = file
		names = append(names, file)
	}
	switch {
	case out.Result != nil:
		name(&t.part, batch.RibbedName(file))
	case !a.Copy:
		name(&t.part, file)
	}
	if w.plans {
		name(&t.plan, batch.PlanName(file))
	}
	if w.pictures {
		name(&t.picture, batch.PictureName(file))
	}
	if _, err := w.writeRibbed(ctx, out, t); err != nil {
		return a, err
	}
	a.Row = describeRow(out)
	a.Row.Files = names
	return a, ctx.Err()
}

// describeRow is what the summary of a batch says of a part.
func describeRow(out *job.Outcome) report.BatchPart {
	row := report.BatchPart{State: report.Copied, Left: out.Left}
	row.Describe(describe(out.Part), out.Plan)
	switch {
	case len(out.Left) > 0:
		row.State, row.Exit = report.Partly, exitLeft
	case out.Result != nil:
		row.State = report.Ribbed
	}
	row.Notes = append(row.Notes, out.Part.Notes...)
	if out.Part.Hint != "" {
		row.Notes = append(row.Notes, out.Part.Hint)
	}
	row.Notes = append(append(row.Notes, out.Notes...), out.Plan.Warnings...)
	for _, c := range out.Plan.Ceilings {
		if c.Left != "" {
			row.Notes = append(row.Notes, fmt.Sprintf("ceiling %d left: %s", c.ID, c.Left))
		}
	}
	return row
}

// isInterrupted tells whether an error already says that it is one.
func isInterrupted(err error) bool {
	var f *failure
	return errors.As(err, &f) && f.code == exitInterrupted
}
