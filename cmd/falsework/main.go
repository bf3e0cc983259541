// Falsework builds thin breakaway ribs into large, opening-heavy parts, so
// that their wide openings and roofs print on a filament printer without the
// slicing program's own supports.
//
// The package holds flags, the profile file and what is printed; geometry is
// in the packages mesh, span and rib. Each command is a file and an entry of
// [commands]; package job runs a part through the stages, package report puts
// the outcome into words and JSON, package settings knows every value that
// flags and profiles can give.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	"time"

	"falsework/cmd/falsework/job"
)

// grace is how long a stage may take to notice that it was interrupted.
const grace = 800 * time.Millisecond

func main() { os.Exit(mainCode()) }

// mainCode runs the program on the process's own arguments and streams.
func mainCode() int { return mainWith(nil) }

// mainWith is mainCode with other stages than the real ones, for tests.
func mainWith(stages func(job.Progress) *job.Line) int {
	collectFor(0)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	done := make(chan int, 1)
	var busy writing
	go func() {
		done <- run(ctx, os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr, writing: &busy, stages: stages})
	}()
	select {
	case code := <-done:
		return code
	case <-ctx.Done():
	}
	for wait := grace; ; wait = grace / 10 {
		select {
		case code := <-done:
			return code
		case <-time.After(wait):
		}
		// A long computation that does not look up is left behind. A file
		// being written is not: it is taken away or put in place first.
		if busy.Load() == 0 {
			_, _ = os.Stderr.WriteString("falsework: interrupted; no file was left half written\n")
			return exitInterrupted
		}
	}
}
