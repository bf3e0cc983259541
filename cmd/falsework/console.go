package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"falsework/cmd/falsework/report"
)

// A console is where a command says things: results on standard output,
// notes and progress on standard error.
type console struct {
	streams
	quiet, json bool
	bar         *progressbar.ProgressBar
	began       time.Time
	stage       string
}

func newConsole(s streams, quiet, asJSON bool) *console {
	return &console{streams: s, quiet: quiet, json: asJSON, began: time.Now()}
}

// isTerminal tells whether a stream is a terminal.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// look says how tables are to look on a stream.
func look(w io.Writer) report.Look {
	l := report.Look{Width: 0}
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return l
	}
	if width, _, err := term.GetSize(int(f.Fd())); err == nil {
		l.Width = width
	}
	l.Colour = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	return l
}

// note says something on standard error, unless told to be quiet.
func (c *console) note(format string, a ...any) {
	if c.quiet {
		return
	}
	c.clear()
	fmt.Fprintf(c.err, format+"\n", a...)
}

// warn says something on standard error even when told to be quiet.
func (c *console) warn(format string, a ...any) {
	c.clear()
	fmt.Fprintf(c.err, "falsework: warning: %s\n", oneLine(fmt.Sprintf(format, a...)))
}

// printJSON writes a result as JSON.
func (c *console) printJSON(v any) error {
	c.clear()
	e := json.NewEncoder(c.out)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// patience is how long a part is worked on before a bar is shown.
const patience = 400 * time.Millisecond

// Stage begins a stage of the work; it is the first half of job.Progress.
func (c *console) Stage(name string) { c.stage = name; c.Step(0, 0) }

// Step says how far a stage is; total is 0 where that is not known.
func (c *console) Step(done, total int) {
	if c.quiet || !isTerminal(c.err) || time.Since(c.began) < patience {
		return
	}
	if c.bar == nil {
		c.bar = progressbar.NewOptions(1000,
			progressbar.OptionSetWriter(c.err), progressbar.OptionSetWidth(30),
			progressbar.OptionClearOnFinish(), progressbar.OptionSetPredictTime(false),
			progressbar.OptionEnableColorCodes(false), progressbar.OptionThrottle(50*time.Millisecond))
	}
	c.bar.Describe(c.stage)
	if total > 0 {
		_ = c.bar.Set(int(1000 * float64(done) / float64(total)))
	} else {
		_ = c.bar.Set(0)
	}
}

// clear takes the bar off the screen.
func (c *console) clear() {
	if c.bar != nil {
		_ = c.bar.Clear()
	}
}
