package main

import (
	"context"
	"fmt"
	"os"
	"strings"

	"github.com/urfave/cli/v2"

	"falsework/cmd/falsework/settings"
)

// A command is one of the program's verbs.
type command struct {
	name    string
	operand string // what its words are, for the help text: "PART"
	summary string
	text    string // what it does, some sentences
	example string // a worked example, command lines and a word to each
	// settings are flags and at the same time keys of a profile.
	settings []settings.Setting
	// files are flags that name files; they are no keys of a profile.
	files []cli.Flag
	// bare commands take neither a profile nor the flags of output.
	bare   bool
	hidden bool
	// run does the work. Its words are what is not a flag.
	run func(ctx context.Context, c *call) error
}

// commands lists every command, in the order of the help text. A new command
// is a file with a function like these, and a line here.
func commands() []*command {
	return []*command{
		surveyCommand(),
		ribCommand(),
		checkCommand(),
		posesCommand(),
		trialCommand(),
		batchCommand(),
		partCommand(),
		couponCommand(),
		calibrateCommand(),
		completionCommand(),
	}
}

// A call is one command being run.
type call struct {
	*console
	words  []string            // what is not a flag
	file   func(string) string // value of a flag that names a file, empty when not given
	values map[string]string   // what flags and profile gave, for the record of a batch
}

// profileFlag and its neighbours are flags of every command that is not bare.
const (
	profileFlag = "profile"
	quietFlag   = "quiet"
	jsonFlag    = "json"
)

// flags returns the command's flags as the library wants them.
func (d *command) flags() []cli.Flag {
	var list []cli.Flag
	if !d.bare {
		list = append(list,
			&cli.StringFlag{Name: profileFlag, Usage: "read values from this profile|F.toml", Category: settings.Output},
			&cli.BoolFlag{Name: quietFlag, Usage: "no progress, no notes; errors and results only", Category: settings.Output},
			&cli.BoolFlag{Name: jsonFlag, Usage: "results as JSON", Category: settings.Output})
	}
	for _, s := range d.settings {
		list = append(list, settingFlag(s))
	}
	return append(list, d.files...)
}

func settingFlag(s settings.Setting) cli.Flag {
	if s.Kind == settings.Switch {
		return &cli.BoolFlag{Name: s.Name, Usage: s.Usage, Category: s.Category}
	}
	return &cli.StringFlag{Name: s.Name, Usage: s.Usage + "|" + s.Holds, DefaultText: s.Default, Category: s.Category}
}

// fileFlag is a flag that names a file or folder; holds is what stands for it
// in the help text.
func fileFlag(name, holds, use string) cli.Flag {
	return &cli.StringFlag{Name: name, Usage: use + "|" + holds, Category: settings.Output}
}

// takesValue tells whether a flag of the command is followed by a value.
func (d *command) takesValue(name string) bool {
	for _, f := range d.flags() {
		if _, isSwitch := f.(*cli.BoolFlag); isSwitch {
			continue
		}
		for _, n := range f.Names() {
			if n == name {
				return true
			}
		}
	}
	return false
}

// cli returns the command as the library wants it.
func (d *command) cli(ctx context.Context, s streams) *cli.Command {
	return &cli.Command{
		Name: d.name, Usage: d.summary, Hidden: d.hidden,
		Flags:           d.flags(),
		HideHelpCommand: true,
		OnUsageError: func(_ *cli.Context, err error, _ bool) error {
			return usage("%s; see falsework %s --help", flagError(err), d.name)
		},
		CustomHelpTemplate: d.help(),
		Action:             func(lc *cli.Context) error { return d.act(ctx, lc, s) },
	}
}

// act hands flags and profile to the settings and runs the command.
func (d *command) act(ctx context.Context, lc *cli.Context, s streams) error {
	c := &call{console: newConsole(s, lc.Bool(quietFlag), lc.Bool(jsonFlag)), words: lc.Args().Slice(), file: lc.String, values: map[string]string{}}
	var profile *settings.Profile
	if lc.IsSet(profileFlag) {
		var err error
		if profile, err = readProfile(lc.String(profileFlag)); err != nil {
			return err
		}
	}
	for _, set := range d.settings {
		if lc.IsSet(set.Name) {
			value := lc.String(set.Name)
			if set.Kind == settings.Switch {
				value = fmt.Sprint(lc.Bool(set.Name))
			}
			if err := set.Set(value); err != nil {
				return usage("--%s %v", set.Name, err)
			}
			c.values[set.Name] = value
		} else if value, ok := profile.Text(set.Name); ok {
			if err := set.Set(value); err != nil {
				return usage("%s: %s %v", profile.Name, set.Name, err)
			}
			c.values[set.Name] = value
		}
	}
	// The streams' own switches may stand in a profile, too.
	for name, p := range map[string]*bool{quietFlag: &c.quiet, jsonFlag: &c.json} {
		if value, ok := profile.Text(name); ok && !lc.IsSet(name) {
			*p = value == "true"
		}
	}
	return d.run(ctx, c)
}

// readProfile reads a profile; every setting of every command is a key.
func readProfile(name string) (*settings.Profile, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, usage("cannot read the profile: %v", err)
	}
	p, err := settings.ReadProfile(name, data, profileKeys())
	if err != nil {
		return nil, &failure{exitUsage, err}
	}
	return p, nil
}

// profileKeys lists what a profile may hold: every setting of every command.
func profileKeys() []settings.Setting {
	var dummy bool
	known := []settings.Setting{settings.NewSwitch(quietFlag, "", &dummy), settings.NewSwitch(jsonFlag, "", &dummy)}
	for _, d := range commands() {
		known = append(known, d.settings...)
	}
	return known
}

// flagError puts the library's complaints into our words.
func flagError(err error) string {
	text := err.Error()
	if name, ok := strings.CutPrefix(text, "flag provided but not defined: -"); ok {
		return "unknown flag --" + strings.TrimLeft(name, "-")
	}
	if name, ok := strings.CutPrefix(text, "flag needs an argument: -"); ok {
		return "--" + strings.TrimLeft(name, "-") + " needs a value"
	}
	return text
}
