package batch

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"falsework/cmd/falsework/report"
)

// TestMain lets the test binary stand for the program that works on a part.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && os.Args[1] == "part" {
		fakePart(os.Args[len(os.Args)-3], os.Args[len(os.Args)-1])
	}
	os.Exit(m.Run())
}

// fakePart does what the text in a part says.
func fakePart(work, path string) {
	data, _ := os.ReadFile(path)
	say := func(a Answer) { _ = json.NewEncoder(os.Stdout).Encode(a) }
	name := filepath.Base(path)
	switch word := string(data); word {
	case "rib":
		_ = os.WriteFile(filepath.Join(work, RibbedName(name)), []byte("ribbed "+os.Getenv("GOMAXPROCS")), 0o666)
		say(Answer{Row: report.BatchPart{State: report.Ribbed, Files: []string{RibbedName(name)}}})
	case "copy":
		say(Answer{Copy: true, Row: report.BatchPart{State: report.Copied}})
	case "refuse":
		say(Answer{Row: report.BatchPart{State: report.Failed, Exit: 4, Reason: path + ": is no part"}})
		os.Exit(4)
	case "die":
		panic("a part to die of")
	case "silent":
	case "kill":
		p, _ := os.FindProcess(os.Getpid())
		_ = p.Kill()
		time.Sleep(time.Minute)
	case "hang":
		time.Sleep(time.Hour)
	case "heed":
		_, _ = bufio.NewReader(os.Stdin).ReadByte()
		say(Answer{Interrupted: true})
		os.Exit(130)
	case "stray":
		say(Answer{Row: report.BatchPart{State: report.Ribbed, Files: []string{"../stray.stl"}}})
	case "absent":
		say(Answer{Row: report.BatchPart{State: report.Ribbed, Files: []string{"absent.stl"}}})
	case "change":
		_ = os.WriteFile(path, []byte("changed"), 0o666)
		say(Answer{Copy: true, Row: report.BatchPart{State: report.Copied}})
	case "memory":
		fmt.Fprintln(os.Stderr, "fatal error: runtime: out of memory\n\ngoroutine 1 [running]:")
		os.Exit(2)
	}
	os.Exit(0)
}

func rowOf(name string, files ...string) report.BatchPart {
	return report.BatchPart{Part: name, State: report.Ribbed, Files: files, Left: []int{}, Notes: []string{}}
}

// watch notes how many parts were under way at once.
type watch struct {
	sync.Mutex
	now, most, ended int
	onEnd            func(n int)
}

func (w *watch) Started(Part) {
	w.Lock()
	defer w.Unlock()
	w.now++
	w.most = max(w.most, w.now)
}

func (w *watch) Ended(Part, report.BatchPart, time.Duration) {
	w.Lock()
	w.now--
	w.ended++
	n := w.ended
	w.Unlock()
	if w.onEnd != nil {
		w.onEnd(n)
	}
}

// runOver is a run over parts with the given texts.
func runOver(t *testing.T, texts map[string]string) (*Run, *watch) {
	t.Helper()
	dir := t.TempDir()
	in := filepath.Join(dir, "in")
	for name, text := range texts {
		path := filepath.Join(in, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	f, err := Find(Folder{Dir: in, Recursive: true, Endings: []string{".stl"}})
	if err != nil {
		t.Fatal(err)
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	w := &watch{}
	return &Run{
		Parts: f.Parts, Out: filepath.Join(dir, "out"), Program: self, Words: []string{"part"}, Key: "k",
		Timeout: time.Minute, Memory: 1 << 30, Jobs: 3, Processors: 4, Progress: w,
	}, w
}

func states(rows []report.BatchPart) string {
	var words []string
	for _, r := range rows {
		word := r.Part + " " + r.State
		if r.Kept {
			word += " kept"
		}
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}

func do(t *testing.T, r *Run) []report.BatchPart {
	t.Helper()
	rows, err := r.Do(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	left, err := filepath.Glob(filepath.Join(r.Out, Hidden, workPrefix+"*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
	return rows
}

func TestRunTellsEveryEnd(t *testing.T) {
	r, w := runOver(t, map[string]string{
		"a.stl": "rib", "b.stl": "copy", "c.stl": "refuse", "d.stl": "die", "e.stl": "silent", "f.stl": "kill", "g.stl": "stray",
		"h.stl": "absent", "i.stl": "change", "j.stl": "memory", "sub/k.stl": "rib", "l.stl": "hang",
	})
	r.Timeout = 3 * time.Second
	rows := do(t, r)
	want := map[string]string{
		"a.stl": "", "b.stl": "", "sub/k.stl": "",
		"c.stl": "is no part", "d.stl": "crashed on this part (panic: a part to die of", "e.stl": "crashed on this part (ended without an answer)",
		"f.stl": "ended by the system", "g.stl": "outside its folder", "h.stl": "left no absent.stl", "i.stl": "changed while it was worked on",
		"j.stl": "needs more than 1024 MB of memory", "l.stl": "not done within 3 s",
	}
	for _, row := range rows {
		reason := want[row.Part]
		if (row.State == report.Failed) != (reason != "") || !strings.Contains(row.Reason, reason) || strings.ContainsAny(row.Reason, "\n") {
			t.Errorf("%s: %s, %q, want %q", row.Part, row.State, row.Reason, reason)
		}
		for _, f := range row.Files {
			if _, err := os.Stat(filepath.Join(r.Out, filepath.FromSlash(f))); err != nil {
				t.Error(err)
			}
		}
	}
	if w.most > 3 {
		t.Errorf("%d at once, want 3", w.most)
	}
	if _, err := os.Stat(filepath.Join(r.Out, Hidden, "stray.stl")); err == nil {
		t.Error("a result escaped")
	}
}

func TestRunGoesOn(t *testing.T) {
	r, _ := runOver(t, map[string]string{"a.stl": "rib", "b.stl": "copy", "c.stl": "refuse"})
	if got := states(do(t, r)); got != "a.stl ribbed, b.stl copied, c.stl failed" {
		t.Fatal(got)
	}
	if got := states(do(t, r)); got != "a.stl ribbed kept, b.stl copied kept, c.stl failed" {
		t.Error(got)
	}
	r.Again = true
	if got := states(do(t, r)); got != "a.stl ribbed, b.stl copied, c.stl failed" {
		t.Error(got)
	}
	r.Again, r.Key = false, "other settings"
	if got := states(do(t, r)); got != "a.stl ribbed, b.stl copied, c.stl failed" {
		t.Error(got)
	}
	// Ribbed first, copied now: the old result goes. Failed now: it stays and
	// a note says whose it is.
	if err := os.WriteFile(r.Parts[0].Path, []byte("copy"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(r.Parts[1].Path, []byte("refuse"), 0o666); err != nil {
		t.Fatal(err)
	}
	rows := do(t, r)
	if got := states(rows); got != "a.stl copied, b.stl failed, c.stl failed" {
		t.Error(got)
	}
	if _, err := os.Stat(filepath.Join(r.Out, "a-ribbed.stl")); err == nil {
		t.Error("the old result is still there")
	}
	if len(rows[1].Notes) != 1 || !strings.Contains(rows[1].Notes[0], "b.stl is of an earlier run") {
		t.Errorf("notes %q", rows[1].Notes)
	}
}

// The processors are shared out, never given twice.
func TestRunSharesProcessors(t *testing.T) {
	for _, c := range []struct {
		parts, jobs, processors int
		want                    string // shares of the parts
	}{
		{1, 4, 8, "8"}, {2, 4, 8, "4 4"}, {2, 1, 3, "3 3"}, {3, 8, 2, "1 1"}, {1, 1, 1, "1"},
	} {
		texts := map[string]string{}
		for i := range c.parts {
			texts[fmt.Sprintf("%d.stl", i)] = "rib"
		}
		r, w := runOver(t, texts)
		r.Jobs, r.Processors = c.jobs, c.processors
		do(t, r)
		want := strings.Fields(c.want)
		for i := range want {
			data, err := os.ReadFile(filepath.Join(r.Out, fmt.Sprintf("%d-ribbed.stl", i)))
			if err != nil || string(data) != "ribbed "+want[i] {
				t.Errorf("%+v: part %d %s, %v", c, i, data, err)
			}
		}
		if w.most > min(c.jobs, c.processors) {
			t.Errorf("%+v: %d at once", c, w.most)
		}
	}
}

// A run that is stopped ends its processes, those that heed and those that do
// not, and tells what is done.
func TestRunStops(t *testing.T) {
	r, w := runOver(t, map[string]string{"a.stl": "rib", "b.stl": "", "c.stl": "", "d.stl": "rib", "e.stl": "copy"})
	for i, text := range map[int]string{1: "heed", 2: "hang"} {
		if err := os.WriteFile(r.Parts[i].Path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	w.onEnd = func(n int) {
		if n == 3 {
			cancel()
		}
	}
	began := time.Now()
	rows, err := r.Do(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if got := states(rows); got != "a.stl ribbed, b.stl undone, c.stl undone, d.stl ribbed, e.stl copied" {
		t.Error(got)
	}
	t.Logf("stopped after %v", time.Since(began))
	left, _ := filepath.Glob(filepath.Join(r.Out, Hidden, workPrefix+"*"))
	if len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	// A run that is stopped before it begins does nothing.
	if rows, err = r.Do(ctx); err != nil || strings.Contains(states(rows), report.Ribbed) {
		t.Errorf("%s, %v", states(rows), err)
	}
}
