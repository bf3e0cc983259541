package main

import (
	"context"
	"fmt"
	"io"

	"falsework/cmd/falsework/report"
	"falsework/cmd/falsework/settings"
)

func checkCommand() *command {
	v := settings.New()
	return &command{
		name: "check", operand: "PART",
		summary: "says whether a part is closed and prints as it stands",
		text: "Surveys the part and answers with the exit status, for scripts: 0 when it is closed and\n" +
			"no ceiling needs ribs, 3 when one does, 4 when the surface is not closed.",
		example: "falsework check gauge-housing-ribbed.stl --limit 70 && echo ready to slice\n" +
			"    the ribbed housing of a tide gauge prints without further supports",
		settings: append(v.ForReading(), v.ForSurvey()...),
		run: func(ctx context.Context, c *call) error {
			return runCheck(ctx, c, v)
		},
	}
}

func runCheck(ctx context.Context, c *call, v *settings.Values) error {
	part, survey, err := c.survey(ctx, v)
	if err != nil {
		return err
	}
	result := report.NewCheck(describe(part), survey)
	if c.json {
		if err := c.printJSON(result); err != nil {
			return err
		}
	} else if !c.quiet || !result.OK() {
		err := c.show(false, func(w io.Writer, _ report.Look) { fmt.Fprintln(w, result.Words()) })
		if err != nil {
			return err
		}
	}
	switch {
	case !part.Closed:
		return &failure{code: exitUnusable}
	case len(result.NeedRibs) > 0:
		return &failure{code: exitLeft}
	}
	return nil
}
