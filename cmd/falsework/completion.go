package main

import (
	"context"
	"fmt"
	"io"
	"strings"
)

func completionCommand() *command {
	return &command{
		name: "completion", operand: "bash|zsh|fish", bare: true,
		summary: "prints a script that completes commands and flags in a shell",
		text:    "Prints a script for the shell named. It completes the commands, their flags and file\nnames.",
		example: "falsework completion bash > ~/.local/share/bash-completion/completions/falsework",
		run: func(_ context.Context, c *call) error {
			if len(c.words) != 1 {
				return usage("completion needs the name of one shell: bash, zsh or fish")
			}
			switch c.words[0] {
			case "bash":
				return completeBash(c.out)
			case "zsh":
				if _, err := fmt.Fprintln(c.out, "#compdef falsework\nautoload -U +X bashcompinit && bashcompinit"); err != nil {
					return err
				}
				return completeBash(c.out)
			case "fish":
				return completeFish(c.out)
			}
			return usage("no completion for %q; there is one for bash, zsh and fish", c.words[0])
		},
	}
}

// flagWords returns a command's flags as they are typed, in order.
func (d *command) flagWords() []string {
	var words []string
	for _, f := range d.flags() {
		for _, n := range f.Names() {
			if len(n) == 1 {
				words = append(words, "-"+n)
			} else {
				words = append(words, "--"+n)
			}
		}
	}
	return append(words, "--help")
}

func completeBash(w io.Writer) error {
	var b strings.Builder
	b.WriteString("_falsework() {\n  local word=${COMP_WORDS[COMP_CWORD]} list=\n  if [ \"$COMP_CWORD\" -eq 1 ]; then\n")
	fmt.Fprintf(&b, "    list=%q\n  else\n    case ${COMP_WORDS[1]} in\n", strings.ReplaceAll(names(commands()), ",", ""))
	for _, d := range commands() {
		if !d.hidden {
			fmt.Fprintf(&b, "    %s) list=%q ;;\n", d.name, strings.Join(d.flagWords(), " "))
		}
	}
	b.WriteString("    esac\n  fi\n  case $word in -*) ;; *) [ \"$COMP_CWORD\" -gt 1 ] && list= ;; esac\n")
	b.WriteString("  COMPREPLY=($(compgen -W \"$list\" -- \"$word\"))\n}\ncomplete -o default -F _falsework falsework\n")
	_, err := io.WriteString(w, b.String())
	return err
}

func completeFish(w io.Writer) error {
	var b strings.Builder
	for _, d := range commands() {
		if d.hidden {
			continue
		}
		fmt.Fprintf(&b, "complete -c falsework -n __fish_use_subcommand -f -a %s -d '%s'\n", d.name, strings.ReplaceAll(d.summary, "'", ""))
		for _, f := range d.flags() {
			for _, n := range f.Names() {
				form := "-l"
				if len(n) == 1 {
					form = "-s"
				}
				fmt.Fprintf(&b, "complete -c falsework -n '__fish_seen_subcommand_from %s' %s %s\n", d.name, form, n)
			}
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}
