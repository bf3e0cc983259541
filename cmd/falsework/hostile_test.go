package main

import (
	"context"
	"path/filepath"
	"time"

	"falsework/cmd/falsework/job"
)

// hostile are the real stages, but for parts of certain names, which do to
// the program what no part is known to do.
func hostile(p job.Progress) *job.Line {
	line := job.Standard(p)
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
			}
		case "gorges.stl":
			b := make([]byte, 1<<42)
			b[1<<41] = 1
		}
		return open(ctx, in)
	}
	return line
}
