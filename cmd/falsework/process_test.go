package main

import (
	"bufio"
	"bytes"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"falsework/mesh/atomicfile"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/stl"
)

// falsework is the program as a process of its own: the test binary under
// the program's name.
func falsework(t testing.TB, dir string, words ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, words...)
	cmd.Args[0] = "falsework"
	cmd.Dir = dir
	return cmd
}

// status is how a process ended.
func status(t testing.TB, err error) int {
	t.Helper()
	var exit *exec.ExitError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &exit):
		return exit.ExitCode()
	}
	t.Fatal(err)
	return 0
}

// visible returns the files below a folder, by name, without those that only
// a killed process leaves: temporary files and folders of unfinished work,
// which are hidden. With strict these are faults.
func visible(t testing.TB, dir string, strict bool) map[string][]byte {
	t.Helper()
	files := map[string][]byte{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		unfinished := strings.HasPrefix(d.Name(), atomicfile.Prefix) || strings.HasPrefix(d.Name(), "work-")
		switch {
		case unfinished && strict:
			t.Errorf("%s is left", path)
			fallthrough
		case unfinished && d.IsDir():
			if d.IsDir() {
				return fs.SkipDir
			}
		case !unfinished && !d.IsDir():
			rel, err := filepath.Rel(dir, path)
			if err != nil {
				return err
			}
			files[filepath.ToSlash(rel)], err = os.ReadFile(path)
			return err
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// wholeFiles fails the test where a file is not whole: a mesh that cannot be
// read or JSON that does not end.
func wholeFiles(t testing.TB, files map[string][]byte) {
	t.Helper()
	for name, data := range files {
		switch filepath.Ext(name) {
		case ".stl":
			if _, err := stl.Parse(ctx, data, name); err != nil {
				t.Error(err)
			}
		case ".json":
			if b := bytes.TrimSpace(data); len(b) == 0 || b[0] != '{' || b[len(b)-1] != '}' {
				t.Errorf("%s is not whole: %d bytes", name, len(data))
			}
		case ".csv":
			if !bytes.HasPrefix(data, []byte("part,state,")) || !bytes.HasSuffix(data, []byte("\r\n")) {
				t.Errorf("%s is not whole", name)
			}
		case ".png":
			if !bytes.HasSuffix(data, []byte("IEND\xaeB`\x82")) {
				t.Errorf("%s is not whole", name)
			}
		}
	}
}

// A running command. begun is closed when it says that it begins a
// stage, or ends; at once when it is watched for none. ended is closed when it
// has said all, which is then in said.
type running struct {
	begun, ended chan struct{}
	said         string
}

// watch starts a command.
func watch(t *testing.T, cmd *exec.Cmd, stage string) *running {
	t.Helper()
	cmd.Env = append(os.Environ(), "FALSEWORK_TEST_STAGES=1")
	errs, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	w := &running{begun: make(chan struct{}), ended: make(chan struct{})}
	begin := sync.OnceFunc(func() { close(w.begun) })
	if stage == "" {
		begin()
	}
	go func() {
		defer close(w.ended)
		defer begin()
		lines := bufio.NewScanner(errs)
		lines.Buffer(nil, 1<<20)
		for lines.Scan() {
			w.said += lines.Text() + "\n"
			if strings.Contains(lines.Text(), stage) {
				begin()
			}
		}
	}()
	return w
}

// interrupt starts a command, waits until it says that it has begun a stage,
// sends it a signal, and returns its status, its words, and how long it took
// to end.
func interrupt(t *testing.T, cmd *exec.Cmd, stage string, after time.Duration, s os.Signal) (code int, said string, took time.Duration) {
	t.Helper()
	w := watch(t, cmd, stage)
	<-w.begun
	time.Sleep(after)
	began := time.Now()
	if err := cmd.Process.Signal(s); err != nil && !errors.Is(err, os.ErrProcessDone) {
		t.Fatal(err)
	}
	<-w.ended
	code = status(t, cmd.Wait())
	return code, w.said, time.Since(began)
}

// Ctrl-C and SIGTERM stop every stage of every command, leave nothing behind,
// and do so within a second. The time is only told: machines are slower than
// they promise at times. What takes ten seconds has not stopped.
func TestInterruption(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no signals can be sent here")
	}
	part, err := filepath.Abs("../../examples/tide-housing.stl")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		stage string
		words []string
	}{
		{"stage: reading", []string{"survey", part}},
		{"stage: surveying", []string{"survey", part}},
		{"stage: reading", []string{"rib", part, "-o", "x.stl"}},
		{"stage: surveying", []string{"rib", part, "-o", "x.stl"}},
		{"stage: planning", []string{"rib", part, "-o", "x.stl"}},
		{"stage: uniting", []string{"rib", part, "-o", "x.stl", "--only", "3"}},
		{"stage: surveying again", []string{"rib", part, "-o", "x.stl", "--only", "3"}},
	} {
		for i, s := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
			if !property.Long() && (i == 1 && c.stage != "stage: planning" || c.stage == "stage: uniting") {
				continue
			}
			dir := t.TempDir()
			code, said, took := interrupt(t, falsework(t, dir, c.words...), c.stage, 0, s)
			t.Logf("%s, %s, %v: status %d after %.2f s", c.words[0], c.stage, s, code, took.Seconds())
			if code != exitInterrupted || !strings.Contains(said, "falsework: interrupted; ") {
				t.Errorf("%s in %s: status %d, %s", c.words[0], c.stage, code, said)
			}
			if took > 10*time.Second {
				t.Errorf("%s in %s: stopped only after %v", c.words[0], c.stage, took)
			}
			if files := visible(t, dir, true); len(files) > 0 {
				t.Errorf("%s in %s: left %d files", c.words[0], c.stage, len(files))
			}
		}
	}
}

// A batch that is interrupted keeps what is done, says what is not, and goes
// on from there.
func TestBatchInterrupted(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no signals can be sent here")
	}
	dir := t.TempDir()
	if err := makeParts(dir); err != nil {
		t.Fatal(err)
	}
	in := filepath.Join(dir, "in")
	if err := os.Mkdir(in, 0o777); err != nil {
		t.Fatal(err)
	}
	cube, err := os.ReadFile(filepath.Join(dir, "cube.stl"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"a.stl", "b.stl", "hangs.stl"} {
		if err := os.WriteFile(filepath.Join(in, name), cube, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for _, s := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
		out := filepath.Join(dir, "out-"+s.String())
		cmd := falsework(t, dir, "batch", "in", "-o", out, "--jobs", "2")
		cmd.Env = append(os.Environ(), "GOMAXPROCS=2")
		code, said, took := interrupt(t, cmd, "2 of 3: ", 0, s)
		t.Logf("%v: stopped after %.2f s", s, took.Seconds())
		if code != exitInterrupted || !strings.Contains(said, "2 of 3 parts were done, the same command goes on from there") {
			t.Errorf("status %d, %s", code, said)
		}
		files := visible(t, out, true)
		wholeFiles(t, files)
		if !bytes.Equal(files["a.stl"], cube) || !bytes.Equal(files["b.stl"], cube) || files["hangs.stl"] != nil {
			t.Errorf("%v: results are not what was done", s)
		}
		if sum := string(files["summary.json"]); !strings.Contains(sum, `"interrupted": true`) || !strings.Contains(sum, `"undone": 1`) {
			t.Errorf("%v: summary %s", s, sum)
		}
	}
}

// The processes of the parts end when the one that started them is killed.
func TestBatchKilledLeavesNoProcess(t *testing.T) {
	dir := t.TempDir()
	if err := makeParts(dir); err != nil {
		t.Fatal(err)
	}
	in, out := filepath.Join(dir, "in"), filepath.Join(dir, "out")
	if err := os.Mkdir(in, 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(dir, "cube.stl"), filepath.Join(in, "hangs.stl")); err != nil {
		t.Fatal(err)
	}
	cmd := falsework(t, dir, "batch", "in", "-o", "out")
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var works []string
	work := func() int { works, _ = filepath.Glob(filepath.Join(out, ".falsework", "work-*")); return len(works) }
	wait(t, "the part to be begun", func() bool { return work() == 1 })
	folder := filepath.Base(works[0])
	// Its folder stands before its process does, and stays if there never is one.
	wait(t, "its process to be started", func() bool { return runs(t, folder) })
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = cmd.Wait()
	// A process that is told so takes its folder away before it ends.
	wait(t, "the process of the part to end", func() bool { return work() == 0 && !runs(t, folder) })
}

// runs tells whether a process has the given word among its own, and leaves
// the test where the system lists none.
func runs(t *testing.T, word string) bool {
	t.Helper()
	all, err := filepath.Glob("/proc/[0-9]*/cmdline")
	if err != nil || len(all) == 0 {
		t.Skip("the system lists no processes here")
	}
	for _, name := range all {
		// One that has ended meanwhile cannot be read.
		if words, err := os.ReadFile(name); err == nil && bytes.Contains(words, []byte(word)) {
			return true
		}
	}
	return false
}

func wait(t *testing.T, what string, until func() bool) {
	t.Helper()
	for range 1200 {
		if until() {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("waited in vain for %s", what)
}
