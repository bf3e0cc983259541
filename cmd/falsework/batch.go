package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"sort"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"falsework/cmd/falsework/batch"
	"falsework/cmd/falsework/job"
	"falsework/cmd/falsework/report"
	"falsework/cmd/falsework/settings"
)

// partEndings are the files that batch takes for parts.
var partEndings = []string{".stl", ".3mf"}

// batchValues is what a batch is told beside what rib is.
type batchValues struct {
	recursive, again, plans, pictures bool
	match                             string
	shard                             batch.Shard
	timeout, memory                   float64 // s and MB for one part
	jobs                              int
}

func (b *batchValues) settings() []settings.Setting {
	var shard string
	list := []settings.Setting{
		settings.NewSwitch("recursive", "look in subfolders too", &b.recursive),
		settings.NewText("match", "PATTERNS", "take only names that match, as '*-v2.stl,lid*'", &b.match, func(text string) error {
			for _, p := range strings.Split(text, ",") {
				if err := batch.CheckPattern(p); err != nil {
					return err
				}
			}
			return nil
		}),
		settings.NewSwitch("again", "do all parts again, also those done before", &b.again),
		settings.NewText("shard", "I/N", "do only share I of N, for spreading a folder over machines", &shard, func(text string) (err error) {
			b.shard, err = batch.ParseShard(text)
			return err
		}),
		settings.NewNumber("timeout", "S", "longest time for one part, seconds", &b.timeout, settings.Range{Max: 1e6, Above: true, Unit: "s"}),
		settings.NewNumber("memory", "MB", "most memory for one part", &b.memory, settings.Range{Min: 256, Max: 1 << 24, Unit: "MB"}),
		settings.NewCount("jobs", "N", "parts worked on at once, at most one a processor", &b.jobs, 1, 4096),
		settings.NewSwitch("plans", "write the plan of each part, PART.plan.json", &b.plans),
		settings.NewSwitch("pictures", "draw each part with its ribs, PART.png", &b.pictures),
	}
	for i := range list {
		list[i] = list[i].In(settings.Work)
	}
	list[4].Default, list[5].Default, list[6].Default = fmt.Sprint(b.timeout), fmt.Sprint(b.memory), "all processors"
	return list
}

// forRibbing lists the settings of the main job that hold for any part.
func forRibbing(v *settings.Values) []settings.Setting {
	list := append(v.ForReading(), v.ForSurvey()...)
	return append(append(list, v.ForRibs()...), v.ForEstimates()...)
}

func batchCommand() *command {
	v := settings.New()
	b := &batchValues{timeout: 3600, memory: 4096, jobs: runtime.GOMAXPROCS(0)}
	return &command{
		name: "batch", operand: "DIR -o DIR",
		summary: "ribs every part of a folder; one bad part never stops the rest",
		text: "Does rib for every part of a folder, each in a process of its own: a crash, or more time\n" +
			"or memory than allowed, costs that part alone. Results go to another folder as each is done:\n" +
			"PART-ribbed, or a copy where there is nothing to rib. A table, summary.csv and summary.json\n" +
			"say what became of each part. Run again, it does only parts that are new, changed, or failed\n" +
			"before; other settings or another version do all anew. Hidden files and results of rib\n" +
			"(names ending in -ribbed) are passed over.",
		example: "falsework batch gauges -o gauges-ribbed --recursive --limit 60\n" +
			"    all housings of the tide gauges, subfolders too\n" +
			"falsework batch gauges -o gauges-ribbed --shard 2/5\n" +
			"    the second of five machines that share the work; when all are done, run once more\n" +
			"    without --shard for one summary",
		settings: append(forRibbing(v), b.settings()...),
		files:    []cli.Flag{fileFlag("o", "DIR", "put results in this folder; made when it is not there")},
		run: func(ctx context.Context, c *call) error {
			return runBatch(ctx, c, v, b)
		},
	}
}

func runBatch(ctx context.Context, c *call, v *settings.Values, b *batchValues) error {
	if err := v.Finish(); err != nil {
		return usage("%v", err)
	}
	out := c.file("o")
	if err := checkFolders(c.words, out); err != nil {
		return err
	}
	found, err := batch.Find(batch.Folder{Dir: c.words[0], Out: out, Recursive: b.recursive, Match: splitList(b.match), Endings: partEndings})
	if err != nil {
		return job.Unusable(fmt.Errorf("cannot read the folder %s: %w", c.words[0], err))
	}
	if len(found.Parts) == 0 {
		return job.Unusable(fmt.Errorf("%s holds no parts to work on; --recursive looks in its subfolders", c.words[0]))
	}
	for _, name := range found.Linked {
		c.note("%s: a symbolic link to a folder, passed over", name)
	}
	if n := len(found.Earlier); n > 0 {
		c.note("passed over, as results of an earlier run: %d, the first %s", n, found.Earlier[0])
	}
	batch.Settle(found.Parts, out)
	parts := found.Parts[:0:0]
	for _, p := range found.Parts {
		if b.shard.Holds(p.Name) {
			parts = append(parts, p)
		}
	}
	run, err := newRun(c, v, b, parts, out)
	if err != nil {
		return err
	}
	progress := &batchProgress{console: c.console, parts: len(parts)}
	for _, p := range parts {
		progress.bytes += p.Size + 1
	}
	run.Progress = progress
	// What is under way is brought to an end before the program leaves.
	if c.writing != nil {
		c.writing.Add(1)
		defer c.writing.Add(-1)
	}
	rows, err := run.Do(ctx)
	if err != nil {
		return job.Unusable(fmt.Errorf("cannot write to the folder %s: %w", out, systemError(err)))
	}
	sum := report.NewBatch(rows, found.Earlier, v.Survey, v.Rib)
	sum.Shard, sum.Interrupted = b.shard.String(), sum.Counts.Undone > 0
	return c.endBatch(run, b.shard, sum)
}

// checkFolders refuses folders between which no batch can run.
func checkFolders(words []string, out string) error {
	switch {
	case len(words) != 1:
		return usage("one folder of parts is needed, not %d; quote patterns and give them with --match", len(words))
	case words[0] == stream || out == stream:
		return usage("batch works on folders; rib takes - for standard input and output")
	case out == "":
		return usage("batch needs -o DIR to say where results go")
	}
	dir, err := os.Stat(words[0])
	switch {
	case errors.Is(err, os.ErrNotExist):
		return job.Unusable(fmt.Errorf("%s: no such folder; check its name", words[0]))
	case err != nil:
		return job.Unusable(fmt.Errorf("cannot read the folder %s: %w", words[0], systemError(err)))
	case !dir.IsDir():
		return usage("%s is a file; rib works on one part", words[0])
	}
	to, err := os.Stat(out)
	switch {
	case err == nil && !to.IsDir():
		return usage("-o %s is a file; name a folder", out)
	case err == nil && os.SameFile(dir, to):
		return usage("-o %s is the folder of the parts; name another for the results", out)
	}
	return nil
}

func splitList(text string) []string {
	if text == "" {
		return nil
	}
	return strings.Split(text, ",")
}

// systemError is the system's word for an error, without the path.
func systemError(err error) error {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

func newRun(c *call, v *settings.Values, b *batchValues, parts []batch.Part, out string) (*batch.Run, error) {
	self, err := batch.Self()
	if err != nil {
		return nil, fmt.Errorf("cannot find this program's own file: %w", err)
	}
	words := []string{partName, "--" + memoryFlag, fmt.Sprint(int64(b.memory))}
	for _, s := range forRibbing(settings.New()) {
		if value, ok := c.values[s.Name]; ok {
			words = append(words, "--"+s.Name+"="+value)
		}
	}
	if b.plans {
		words = append(words, "--plans")
	}
	if b.pictures {
		words = append(words, "--pictures")
	}
	all, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	id, err := identity(self)
	if err != nil {
		return nil, err
	}
	return &batch.Run{
		Parts: parts, Out: out, Program: self, Words: words, Again: b.again,
		Key:     batch.Key(id, string(all), fmt.Sprint(b.plans, b.pictures)),
		Timeout: time.Duration(b.timeout * float64(time.Second)), Memory: int64(b.memory) << 20,
		Jobs: b.jobs, Processors: runtime.GOMAXPROCS(0),
	}, nil
}

// identity tells versions of the program apart: the release and the revision
// it was built from, or, where that is not known for certain, its very bytes.
func identity(self string) (string, error) {
	revision, modified := "", false
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			switch s.Key {
			case "vcs.revision":
				revision = s.Value
			case "vcs.modified":
				modified = s.Value != "false"
			}
		}
	}
	if revision != "" && !modified {
		return release + " " + revision, nil
	}
	f, err := os.Open(self)
	if err != nil {
		return "", fmt.Errorf("cannot read this program's own file: %w", err)
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", fmt.Errorf("cannot read this program's own file: %w", err)
	}
	return release + " " + hex.EncodeToString(h.Sum(nil)), nil
}

// endBatch writes the summaries, tells what became of the parts, and ends
// with the exit status.
func (c *call) endBatch(run *batch.Run, shard batch.Shard, sum *report.Batch) error {
	csvName, jsonName := "summary"+shard.Suffix()+".csv", "summary"+shard.Suffix()+".json"
	err := run.Put(csvName, sum.WriteCSV)
	if err == nil {
		err = run.Put(jsonName, func(w io.Writer) error {
			e := json.NewEncoder(w)
			e.SetEscapeHTML(false)
			e.SetIndent("", " ")
			return e.Encode(sum)
		})
	}
	if c.json {
		if err := c.printJSON(sum); err != nil {
			return err
		}
	} else {
		e := c.show(false, func(w io.Writer, l report.Look) {
			report.WriteBatch(w, l, sum)
			if err == nil {
				fmt.Fprintf(w, "Written:  %s, %s\n", filepath.Join(run.Out, csvName), filepath.Join(run.Out, jsonName))
			}
		})
		if e != nil {
			return e
		}
	}
	switch n := sum.Counts; {
	case sum.Interrupted:
		return &failure{exitInterrupted, fmt.Errorf("interrupted; %d of %d parts were done, the same command goes on from there", n.Parts-n.Undone, n.Parts)}
	case err != nil:
		return job.Unusable(err)
	case n.Failed > 0:
		return &failure{code: exitSomeFailed}
	case n.Partly > 0:
		return &failure{code: exitLeft}
	}
	return nil
}

// batchProgress shows one bar over all parts with the names of those under
// way, or, where there is no terminal, a line for each that is done.
type batchProgress struct {
	*console
	parts, done  int
	bytes, ended int64
	running      []string
}

func (b *batchProgress) Started(p batch.Part) {
	b.running = append(b.running, p.Name)
	b.show()
}

func (b *batchProgress) Ended(p batch.Part, row report.BatchPart, took time.Duration) {
	for i, name := range b.running {
		if name == p.Name {
			b.running = append(b.running[:i], b.running[i+1:]...)
			break
		}
	}
	if row.State == report.Undone {
		return
	}
	b.done++
	b.ended += p.Size + 1
	switch {
	case row.State == report.Failed:
		b.note("%d of %d: %s: failed: %s", b.done, b.parts, report.Shown(p.Name), report.Shown(row.Reason))
	case !isTerminal(b.err):
		kept := fmt.Sprintf("%.1f s", took.Seconds())
		if row.Kept {
			kept = "kept from an earlier run"
		}
		b.note("%d of %d: %s: %s, %s", b.done, b.parts, report.Shown(p.Name), row.State, kept)
	}
	b.show()
}

func (b *batchProgress) show() {
	names := append([]string{}, b.running...)
	sort.Strings(names)
	text := fmt.Sprintf("%d/%d", b.done, b.parts)
	if len(names) > 0 {
		text += " " + report.Shown(shorten(names[0], 24))
	}
	if len(names) > 1 {
		text += fmt.Sprintf(" +%d", len(names)-1)
	}
	b.stage = text
	b.Step(int(1000*b.ended/max(b.bytes, 1)), 1000)
}

// shorten keeps the end of a name, which tells parts apart.
func shorten(name string, letters int) string {
	if r := []rune(name); len(r) > letters {
		return "..." + string(r[len(r)-letters+3:])
	}
	return name
}
