package main

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"falsework/cmd/falsework/job"
)

// hostile are the real stages, but for parts of certain names, which do to
// the program what no part is known to do. Where the environment asks for it
// each stage is announced on standard error.
func hostile(p job.Progress) *job.Line {
	line := job.Standard(p)
	if os.Getenv("FALSEWORK_TEST_STAGES") != "" {
		line.Progress = announcer{p}
	}
	open := line.Open
	line.Open = func(ctx context.Context, in job.Input) (*job.Part, error) {
		switch filepath.Base(in.Path) {
		case "panics.stl":
			panic("a part that panics")
		case "crashes.stl":
			go func() { panic("a part that crashes") }()
			time.Sleep(time.Minute)
		case "hangs.stl":
			time.Sleep(time.Hour)
		case "eats.stl":
			var all [][]byte
			for {
				b := make([]byte, 32<<20)
				for i := 0; i < len(b); i += 4096 {
					b[i] = 1
				}
				all = append(all, b)
				runtime.KeepAlive(all)
			}
		case "gorges.stl":
			b := make([]byte, 1<<42)
			b[1<<41] = 1
		case "changes.stl":
			part, err := open(ctx, in)
			if err == nil {
				err = os.WriteFile(in.Path, []byte("replaced while it was read"), 0o666)
			}
			return part, err
		}
		return open(ctx, in)
	}
	return line
}

// announcer says on standard error which stage begins.
type announcer struct{ job.Progress }

func (a announcer) Stage(name string) {
	os.Stderr.WriteString("stage: " + name + "\n")
	if a.Progress != nil {
		a.Progress.Stage(name)
	}
}

func (a announcer) Step(done, total int) {
	if a.Progress != nil {
		a.Progress.Step(done, total)
	}
}
