package batch

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"time"
)

// heed is how long a process is given to stop by itself before it is killed.
const heed = 250 * time.Millisecond

// mostSaid bounds what is kept of the words of a process, in bytes.
const mostSaid = 4 << 20

// A program is how a process of a part is started.
type program struct {
	path    string
	words   []string // before what belongs to the part
	memory  int64    // bytes
	timeout time.Duration
}

// Self returns the path of this very program, which stays the same when its
// file is replaced in the meantime, where the system can do that.
func Self() (string, error) {
	const self = "/proc/self/exe"
	if runtime.GOOS == "linux" {
		if _, err := os.Stat(self); err == nil {
			return self, nil
		}
	}
	return os.Executable()
}

// A fault is why a process of a part gave no result; its text is for the
// person who runs the batch.
type fault struct {
	exit int
	text string
}

func (f *fault) Error() string { return f.text }

// run runs a process on a part and returns its answer. The error is a
// [*fault], or that of ctx.
func (p *program) run(ctx context.Context, words []string, processors int) (*Answer, error) {
	cmd := exec.Command(p.path, append(append([]string{}, p.words...), words...)...)
	cmd.Args[0] = "falsework"
	cmd.Env = append(os.Environ(), "GOMAXPROCS="+strconv.Itoa(processors))
	cmd.WaitDelay = heed
	var out, said limited
	cmd.Stdout, cmd.Stderr = &out, &said
	in, err := cmd.StdinPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		return nil, &fault{1, "the program could not be started for this part: " + cause(err)}
	}
	done := make(chan error, 1)
	go func() { done <- cmd.Wait() }()
	timer := time.NewTimer(p.timeout)
	defer timer.Stop()
	late := false
	select {
	case err = <-done:
		in.Close()
		return p.judge(ctx, err, out.Bytes(), said.String())
	case <-timer.C:
		late = true
	case <-ctx.Done():
	}
	in.Close()
	select {
	case <-done:
	case <-time.After(heed):
		_ = cmd.Process.Kill()
		<-done
	}
	if late {
		return nil, &fault{4, fmt.Sprintf("not done within %g s; give it more time with --timeout, or simplify the part", p.timeout.Seconds())}
	}
	return nil, ctx.Err()
}

// judge makes an answer of how a process ended by itself.
func (p *program) judge(ctx context.Context, err error, out []byte, said string) (*Answer, error) {
	var a Answer
	if json.Unmarshal(out, &a) == nil && a.Row.State != "" {
		return &a, nil
	}
	if a.Interrupted {
		// A signal to the whole group reaches the processes first.
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(time.Second):
			return nil, &fault{130, "was interrupted from outside; run again"}
		}
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	var exit *exec.ExitError
	how := "ended without an answer"
	if e, ok := err.(*exec.ExitError); ok {
		exit = e
		how = exit.String()
	}
	first := firstLine(said)
	switch {
	case outOfMemory.MatchString(said):
		return nil, p.wantsMemory()
	case exit != nil && exit.ExitCode() == -1:
		return nil, &fault{1, fmt.Sprintf("was ended by the system (%s), perhaps for want of memory; lower --memory or --jobs", how)}
	case first != "":
		return nil, &fault{1, fmt.Sprintf("the program crashed on this part (%s); please report it with the part", first)}
	}
	return nil, &fault{1, fmt.Sprintf("the program crashed on this part (%s); please report it with the part", how)}
}

// outOfMemory is what the runtime says when the system gives no more; where
// it is refused in the wrong moment it stumbles over that on its own stack.
var outOfMemory = regexp.MustCompile(`(?m)^(fatal error: .*(out of memory|cannot allocate memory|failed to create new OS thread)|.*pthread_create failed|==\d+==ERROR: ThreadSanitizer failed to allocate|SIGSEGV: .*\n(.*\n)*goroutine 0 )`)

func (p *program) wantsMemory() error { return &fault{4, WantsMemory(p.memory)} }

// WantsMemory is the reason of a part that does not fit its bound in bytes.
func WantsMemory(bound int64) string {
	return fmt.Sprintf("needs more than %d MB of memory; allow more with --memory, or simplify the part", bound>>20)
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(strings.TrimSpace(s), "\n")
	if len(line) > 200 {
		line = line[:200]
	}
	return strings.TrimSpace(line)
}

// limited keeps the first bytes that are written to it.
type limited struct{ bytes.Buffer }

func (l *limited) Write(p []byte) (int, error) {
	if room := mostSaid - l.Len(); room > 0 {
		l.Buffer.Write(p[:min(room, len(p))])
	}
	return len(p), nil
}
