package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"runtime/debug"

	"github.com/urfave/cli/v2"

	"falsework/cmd/falsework/job"
)

// streams are where a run reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
	writing  *writing // files being written, nil when nobody asks

	stages func(job.Progress) *job.Line // nil for the real ones
}

// line returns the stages that parts go through.
func (s streams) line(p job.Progress) *job.Line {
	if s.stages != nil {
		return s.stages(p)
	}
	return job.Standard(p)
}

// run runs the program once and returns its exit status. It is the whole
// program but for signals.
func run(ctx context.Context, args []string, s streams) (code int) {
	defer func() {
		if p := recover(); p != nil {
			fmt.Fprintf(s.err, "falsework: internal error: %v; nothing was written; please report it with the part\n", p)
			if os.Getenv("FALSEWORK_TRACE") != "" {
				s.err.Write(debug.Stack())
			}
			code = exitOurFault
		}
	}()
	err := dispatch(ctx, args, s)
	if ctx.Err() != nil && err != nil && !isUsage(err) && !isInterrupted(err) {
		err = ctx.Err()
	}
	var f *failure
	switch {
	case err == nil:
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(s.err, "falsework: interrupted; nothing was written")
	case errors.As(err, &f) && f.err == nil:
	default:
		fmt.Fprintf(s.err, "falsework: %s\n", oneLine(err.Error()))
	}
	return codeOf(err)
}

func isUsage(err error) bool { return codeOf(err) == exitUsage }

// dispatch finds the command and runs it with its flags in front.
func dispatch(ctx context.Context, args []string, s streams) error {
	list := commands()
	app := newApp(ctx, list, s)
	if len(args) == 0 {
		return app.Run([]string{"falsework", "--help"})
	}
	for _, d := range list {
		if args[0] == d.name {
			if asksHelp(args[1:]) {
				_, err := io.WriteString(s.out, d.help())
				return err
			}
			words, err := arrange(args[1:], d.takesValue)
			if err != nil {
				return err
			}
			return app.Run(append([]string{"falsework", d.name}, words...))
		}
	}
	switch args[0] {
	case "help":
		if len(args) == 2 {
			return dispatch(ctx, []string{args[1], "--help"}, s)
		}
		return app.Run([]string{"falsework", "--help"})
	case "-h", "--help", "--version", "-v":
		return app.Run([]string{"falsework", args[0]})
	}
	return usage("unknown command %q; the commands are %s", args[0], names(list))
}

// asksHelp tells whether a command is asked what it does, wherever the flag
// stands.
func asksHelp(words []string) bool {
	for _, w := range words {
		switch w {
		case "--":
			return false
		case "-h", "-help", "--help":
			return true
		}
	}
	return false
}

func names(list []*command) string {
	text := ""
	for _, d := range list {
		if d.hidden {
			continue
		}
		if text != "" {
			text += ", "
		}
		text += d.name
	}
	return text
}

func newApp(ctx context.Context, list []*command, s streams) *cli.App {
	app := &cli.App{
		Name:    "falsework",
		Usage:   "ribs for printing openings and roofs without other supports",
		Version: version(),
		Description: "Finds every ceiling of a part that cannot bridge, stands thin ribs under it that\n" +
			"a knife takes off again, and proves the result by surveying it a second time.",
		Reader: s.in, Writer: s.out, ErrWriter: s.err,
		HideHelpCommand:        true,
		UseShortOptionHandling: false,
		CustomAppHelpTemplate:  appHelp,
		ExitErrHandler:         func(*cli.Context, error) {},
		OnUsageError: func(_ *cli.Context, err error, _ bool) error {
			return usage("%s; see falsework --help", flagError(err))
		},
	}
	for _, d := range list {
		app.Commands = append(app.Commands, d.cli(ctx, s))
	}
	return app
}

// release is the version of this program, also part of what a batch
// remembers of its settings.
const release = "0.1.0"

// version names the release and, where the build knows it, the revision.
func version() string {
	text := release
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" && len(s.Value) >= 12 {
				text += " (" + s.Value[:12] + ")"
			}
		}
	}
	return text + " " + runtime.GOOS + "/" + runtime.GOARCH
}

// oneLine keeps a message to one line.
func oneLine(text string) string { return job.OneLine(text) }

const appHelp = `falsework - {{.Usage}}

{{.Description}}

Usage:
  falsework COMMAND [flags] FILE

Commands:
{{range .VisibleCommands}}  {{.Name}}{{"\t"}}{{.Usage}}
{{end}}
Flags may stand before or after the file; - is standard input or output.
falsework COMMAND --help explains a command with a worked example.

Exit status:
  0    done and verified, or nothing to do
  1    our fault: the result does not survive its own survey; nothing written
  2    wrong usage
  3    rib, batch: written, but some ceilings could not be ribbed; check: ribs needed
  4    the part cannot be used, or the result cannot be written; calibrate: what
       was seen shows no limit
  5    batch: some parts failed
  130  interrupted
`
