package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"falsework/cmd/falsework/report"
	"falsework/mesh/meshtest/property"
)

// kills is how often the kill tests kill.
func kills() int {
	if property.Long() {
		return 200
	}
	return 6
}

// A moment to kill at: so long after a stage began, or after the start where
// none is named.
type moment struct {
	stage string
	after time.Duration
}

// moments draws moments all over the time a run takes, and every other one
// between the start of its last stage and its end, where files are written.
// How long these take is learned on the way: machines are not always as fast.
type moments struct {
	r           *rand.Rand
	stage       string
	whole, last float64 // s
	n           int
}

func newMoments(seed uint64, stage string, whole, last time.Duration) *moments {
	return &moments{r: rand.New(rand.NewPCG(seed, 1)), stage: stage, whole: whole.Seconds(), last: last.Seconds()}
}

func (m *moments) next() moment {
	m.n++
	if m.n%2 == 0 {
		return moment{m.stage, time.Duration(1.1 * m.last * m.r.Float64() * float64(time.Second))}
	}
	return moment{after: time.Duration(m.whole * m.r.Float64() * float64(time.Second))}
}

// learn is told whether the run had ended before the last moment.
func (m *moments) learn(ended bool) {
	t := &m.whole
	if m.n%2 == 0 {
		t = &m.last
	}
	if ended {
		*t *= 0.8
	} else {
		*t *= 1.05
	}
}

// timed runs a command to its end and returns how long it took, and how long
// from the last time it said that it begins a stage.
func timed(t *testing.T, dir, stage string, words ...string) (code int, whole, last time.Duration) {
	t.Helper()
	cmd := falsework(t, dir, words...)
	began := time.Now()
	w := watch(t, cmd, stage)
	<-w.begun
	staged := time.Now()
	<-w.ended
	code = status(t, cmd.Wait())
	return code, time.Since(began), time.Since(staged)
}

// A kill at any moment of rib leaves the old files or the new ones.
func TestKilledRib(t *testing.T) {
	dir := t.TempDir()
	if err := makeParts(dir); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(dir, "cut-short.stl")); err != nil {
		t.Fatal(err)
	}
	words := []string{"rib", "doorway.stl", "-o", "out.stl", "--plan", "plan.json", "--ribs", "ribs.stl"}
	code, whole, last := timed(t, dir, "stage: surveying again", words...)
	if code != 0 {
		t.Fatalf("status %d", code)
	}
	names := []string{"out.stl", "plan.json", "ribs.stl"}
	good := visible(t, dir, true)
	old := map[string][]byte{
		"out.stl": good["cube.stl"], "ribs.stl": good["narrow.stl"], "plan.json": []byte("{\"old\":true}\n"),
	}
	killed, before, after := 0, 0, 0
	when := newMoments(1, "stage: surveying again", whole, last)
	for i := 0; killed < kills(); i++ {
		moment := when.next()
		for name, data := range old {
			if err := os.WriteFile(filepath.Join(dir, name), data, 0o666); err != nil {
				t.Fatal(err)
			}
		}
		ended := killAt(t, dir, moment, words...)
		if when.learn(ended); !ended {
			killed++
		}
		files := visible(t, dir, false)
		wholeFiles(t, files)
		for _, name := range names {
			switch {
			case bytes.Equal(files[name], old[name]):
				before++
			case bytes.Equal(files[name], good[name]):
				after++
			default:
				t.Errorf("kill %d at %v: %s, %d bytes, is neither the old file nor the new one", i, moment, name, len(files[name]))
			}
		}
		if len(files) != len(good) {
			t.Errorf("kill %d: %d files, want %d", i, len(files), len(good))
		}
	}
	t.Logf("%d runs killed: %d files old, %d new", killed, before, after)
}

// killAt runs a command and kills it after a while; it tells whether it had
// ended before.
func killAt(t *testing.T, dir string, m moment, words ...string) bool {
	t.Helper()
	cmd := falsework(t, dir, words...)
	w := watch(t, cmd, m.stage)
	<-w.begun
	ended := false
	select {
	case <-w.ended:
		ended = true
	case <-time.After(m.after):
		_ = cmd.Process.Kill()
	}
	<-w.ended
	_ = cmd.Wait()
	return ended
}

// A kill at any moment of a batch leaves whole files, and the next run ends
// with the very files of one that was never killed.
func TestKilledBatch(t *testing.T) {
	dir := t.TempDir()
	if err := makeParts(dir); err != nil {
		t.Fatal(err)
	}
	in := filepath.Join(dir, "in")
	if err := os.Mkdir(in, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"doorway.stl", "narrow.stl", "cube.stl", "cut-short.stl"} {
		if err := os.Rename(filepath.Join(dir, name), filepath.Join(in, name)); err != nil {
			t.Fatal(err)
		}
	}
	code, whole, last := timed(t, dir, "1 of 4", "batch", "in", "-o", "good", "--plans")
	if code != exitSomeFailed {
		t.Fatalf("status %d", code)
	}
	good := visible(t, filepath.Join(dir, "good"), true)
	words := []string{"batch", "in", "-o", "out", "--plans"}
	out := filepath.Join(dir, "out")
	goneOn, killed := 0, 0
	when := newMoments(2, "1 of 4", whole, last)
	for i := 0; killed < kills(); i++ {
		moment := when.next()
		if i%5 == 0 { // otherwise the run goes on where the last one was killed
			wait(t, "a process to let go of the results", func() bool { return os.RemoveAll(out) == nil })
		}
		ended := killAt(t, dir, moment, words...)
		if when.learn(ended); !ended {
			killed++
		}
		if _, err := os.Stat(out); err != nil {
			continue
		}
		files := visible(t, out, false)
		wholeFiles(t, files)
		for name, data := range files {
			if ext := filepath.Ext(name); (ext == ".stl" || filepath.Ext(name) == ".json" && filepath.Dir(name) == "." && name != "summary.json") && !bytes.Equal(data, good[name]) {
				t.Errorf("kill %d at %v: %s is not what an undisturbed run wrote", i, moment, name)
			}
		}
		if i%5 == 4 {
			goneOn += finish(t, dir, words, good)
		}
	}
	goneOn += finish(t, dir, words, good)
	t.Logf("%d runs killed; %d parts were kept from them", killed, goneOn)
}

// finish runs a batch to its end, holds its files against the good ones, and
// returns how many parts it kept from earlier runs.
func finish(t *testing.T, dir string, words []string, good map[string][]byte) int {
	t.Helper()
	if code := status(t, falsework(t, dir, words...).Run()); code != exitSomeFailed {
		t.Fatalf("status %d", code)
	}
	files := visible(t, filepath.Join(dir, "out"), true)
	var sum report.Batch
	if err := json.Unmarshal(files["summary.json"], &sum); err != nil {
		t.Fatal(err)
	}
	for name, data := range good {
		if filepath.Dir(name) == "." && name != "summary.json" && name != "summary.csv" && !bytes.Equal(files[name], data) {
			t.Errorf("%s is not what an undisturbed run wrote", name)
		}
	}
	if len(files) != len(good) || fmt.Sprint(sum.Counts.Ribbed, sum.Counts.Copied, sum.Counts.Failed) != "1 2 1" {
		t.Errorf("%d files, want %d; %+v", len(files), len(good), sum.Counts)
	}
	return sum.Counts.Kept
}
