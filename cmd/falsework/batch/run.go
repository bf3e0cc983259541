package batch

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"falsework/cmd/falsework/report"
)

// A Run is a batch over parts that were found.
type Run struct {
	Parts      []Part
	Out        string        // folder of the results
	Program    string        // path of the program that works on a part
	Words      []string      // its command and settings
	Key        string        // see [Key]
	Again      bool          // do all again
	Timeout    time.Duration // for a part
	Memory     int64         // for a part, bytes
	Jobs       int           // parts at once, at most
	Processors int           // shared out among them
	Progress   Progress
}

// Progress is told how a run goes on, from one goroutine at a time.
type Progress interface {
	Started(p Part)
	Ended(p Part, row report.BatchPart, took time.Duration)
}

// Do works on all parts and returns what became of each, in their order. When
// ctx is done it stops all processes; parts not done are marked so. The error
// says that results cannot be written at all.
func (r *Run) Do(ctx context.Context) ([]report.BatchPart, error) {
	if err := os.MkdirAll(r.Out, 0o777); err != nil {
		return nil, err
	}
	j, err := openJournal(r.Out, r.Key)
	if err != nil {
		return nil, err
	}
	w := worker{run: r, journal: j, program: program{path: r.Program, words: r.Words, memory: r.Memory, timeout: r.Timeout}}
	rows := make([]report.BatchPart, len(r.Parts))
	for i, p := range r.Parts {
		rows[i] = report.BatchPart{Part: p.Name, State: report.Undone}
	}
	type outcome struct {
		i, processors int
		row           report.BatchPart
		took          time.Duration
	}
	ended := make(chan outcome)
	todo := r.order()
	free, running := max(1, r.Processors), 0
	jobs := max(1, min(r.Jobs, free))
	for running > 0 || len(todo) > 0 && ctx.Err() == nil {
		for running < jobs && free > 0 && len(todo) > 0 && ctx.Err() == nil {
			i := todo[0]
			todo = todo[1:]
			// What is free is shared out evenly to those that can start now.
			share := max(1, free/min(jobs-running, len(todo)+1))
			free -= share
			running++
			r.Progress.Started(r.Parts[i])
			go func() {
				began := time.Now()
				row := w.part(ctx, r.Parts[i], share)
				ended <- outcome{i, share, row, time.Since(began)}
			}()
		}
		o := <-ended
		running--
		free += o.processors
		rows[o.i] = o.row
		r.Progress.Ended(r.Parts[o.i], o.row, o.took)
	}
	return rows, nil
}

// order puts the largest parts first, so that none is left to the end alone.
func (r *Run) order() []int {
	list := make([]int, len(r.Parts))
	for i := range list {
		list[i] = i
	}
	slices.SortStableFunc(list, func(a, b int) int {
		switch x, y := r.Parts[a].Size, r.Parts[b].Size; {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	return list
}

var errChanged = &fault{4, "changed while it was worked on; run again when it is complete"}

// A worker does one part after another.
type worker struct {
	run     *Run
	journal *journal
	program program
}

// part works on one part.
func (w *worker) part(ctx context.Context, p Part, processors int) report.BatchPart {
	if ctx.Err() != nil {
		return report.BatchPart{Part: p.Name, State: report.Undone}
	}
	old := w.journal.read(p.Name)
	row, err := w.try(ctx, p, old, processors)
	if err == nil {
		return row
	}
	if ctx.Err() != nil {
		return report.BatchPart{Part: p.Name, State: report.Undone}
	}
	failed := report.BatchPart{Part: p.Name, State: report.Failed, Exit: 4, Reason: reason(err, p)}
	var f *fault
	if errors.As(err, &f) {
		failed.Exit = f.exit
	}
	if name := w.journal.remains(old); name != "" {
		failed.Notes = append(failed.Notes, name+" is of an earlier run, with another part or other settings")
	}
	return failed
}

// try works on one part unless that was done before.
func (w *worker) try(ctx context.Context, p Part, old *record, processors int) (row report.BatchPart, err error) {
	if p.Reason != "" {
		return row, &fault{4, p.Reason}
	}
	before, err := os.Stat(p.Path)
	if err != nil {
		return row, &fault{4, "cannot be read: " + cause(err)}
	}
	content, err := hashFile(p.Path)
	if err != nil {
		return row, &fault{4, "cannot be read: " + cause(err)}
	}
	if !w.run.Again && w.journal.holds(old, content) {
		row = old.Row
		row.Kept = true
		return row, nil
	}
	work, err := w.journal.workFolder()
	if err != nil {
		return row, &fault{4, "its result cannot be written: " + cause(err)}
	}
	defer os.RemoveAll(work)
	a, err := w.program.run(ctx, []string{"-o", work, "--", p.Path}, processors)
	if err != nil {
		return row, err
	}
	if a.Row.State == report.Failed {
		return row, &fault{a.Row.Exit, a.Row.Reason}
	}
	if !unchanged(p.Path, before, content) {
		return row, errChanged
	}
	row = a.Row
	row.Part = p.Name
	hashes, err := place(w.run.Out, work, p, content, a, &row)
	if err != nil {
		return row, &fault{4, err.Error()}
	}
	w.journal.sweep(old, row.Files)
	if err := w.journal.write(row, content, hashes); err != nil {
		row.Notes = append(row.Notes, "could not be put on record, so that the next run does it again: "+cause(err))
	}
	return row, nil
}

// reason is an error in words without the part's path before them.
func reason(err error, p Part) string {
	text := strings.Join(strings.Fields(err.Error()), " ")
	for _, lead := range []string{p.Path, filepath.Base(p.Path)} {
		text = strings.TrimPrefix(text, lead+": ")
		text = strings.TrimPrefix(text, lead+" ")
	}
	return text
}

// unchanged tells whether a file is what it was before.
func unchanged(path string, before os.FileInfo, content string) bool {
	after, err := os.Stat(path)
	if err != nil {
		return false
	}
	if os.SameFile(before, after) && before.Size() == after.Size() && before.ModTime().Equal(after.ModTime()) {
		return true
	}
	h, err := hashFile(path)
	return err == nil && h == content
}
