package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"falsework/cmd/falsework/report"
	"falsework/cmd/falsework/settings"
	"falsework/mesh/meshfile"
	"falsework/mesh/picture"
	"falsework/rib"
	"falsework/rib/coupon"
)

func couponCommand() *command {
	v := settings.New()
	k := v.NewCoupon()
	list := append(v.ForSurvey(), v.ForPieces()...)
	list = append(list, v.ForEffort()...)
	return &command{
		name:    "coupon",
		summary: "writes a test piece that shows how far a machine bridges and how far it leans",
		text: "Makes one closed piece with bridges of rising length, steps of rising lean, each with its\n" +
			"figure raised in front of it, and one opening carried by ribs, marked with their spacing,\n" +
			"so that they and their cutting are tried, too. The bridges are as wide as a lintel in a\n" +
			"3 mm wall and lie along x. The piece is laid out in rows on the bed given. Print it as you\n" +
			"print parts, then hand what you see to calibrate.",
		example: "falsework coupon --bed 250,250,300 -o coupon.stl\n" +
			"    bridges of 20 to 120 mm and steps of 35 to 70 degrees for the machine that will print\n" +
			"    the housing of a tide gauge\n" +
			"falsework coupon --spans 50,55,60,65,70 --slopes 45,50 --bare -o again.stl\n" +
			"    a second piece, finer where the first one gave out, without the ribbed opening",
		settings: append(k.Settings(), list...),
		files: []cli.Flag{
			fileFlag("o", "F", "write the test piece here (coupon.stl)"),
			fileFlag("picture", "F.png", "draw the test piece"),
		},
		run: func(ctx context.Context, c *call) error {
			return runCoupon(ctx, c, v, k)
		},
	}
}

func runCoupon(ctx context.Context, c *call, v *settings.Values, k *settings.Coupon) error {
	if len(c.words) > 0 {
		return usage("coupon takes no part, but got %q; the test piece goes to the file that -o names", c.words[0])
	}
	if err := v.Finish(); err != nil {
		return usage("%v", err)
	}
	out, image := target{"-o", c.file("o")}, target{"--picture", c.file("picture")}
	if out.path == "" {
		out.path = "coupon.stl"
	}
	if err := c.checkTargets("", out, image); err != nil {
		return err
	}
	format, err := c.formatOf(out)
	if err != nil {
		return err
	}
	s := k.Of(v)
	c.Stage("making the test piece")
	piece, err := coupon.Make(ctx, s)
	if err != nil {
		return couponError(err)
	}
	if image.path != "" {
		if err := c.write(ctx, image.path, func(w io.Writer) error { return drawCoupon(w, s, piece) }); err != nil {
			return err
		}
	}
	err = c.write(ctx, out.path, func(w io.Writer) error {
		return meshfile.Encode(ctx, w, format, meshfile.Object{Name: "test piece", Mesh: piece.Mesh})
	})
	if err != nil {
		return err
	}
	if c.json {
		return c.printJSON(report.NewCoupon(out.path, s, piece))
	}
	return c.show(toStream(out, image), func(w io.Writer, _ report.Look) {
		report.WriteCoupon(w, out.path, s, piece, v.Given("bed"))
	})
}

// couponError tells what the caller can change from what is our fault.
func couponError(err error) error {
	var wrong *coupon.SettingError
	var fit *coupon.FitError
	var of *rib.SettingsError
	if errors.As(err, &wrong) || errors.As(err, &fit) || errors.As(err, &of) {
		return usage("%v", err)
	}
	if errors.Is(err, context.Canceled) {
		return err
	}
	return fmt.Errorf("the test piece cannot be made, which is this program's fault: %w; nothing was written; please report it with the command line", err)
}

// drawCoupon draws a test piece twice, from above with its figures and from
// below with its bridges, and the ribs in its opening.
func drawCoupon(w io.Writer, s coupon.Settings, p *coupon.Piece) error {
	bodies := []picture.Body{{Mesh: p.Bare, Class: classPart}}
	if p.Survey != nil {
		bodies[0] = surveyed(p.Bare, p.Survey)
		for i := range bodies[0].Regions {
			bodies[0].Regions[i].Label = ""
		}
		for _, m := range p.Plan.Solids() {
			bodies = append(bodies, picture.Body{Mesh: m, Class: classRib})
		}
	}
	return picture.RenderContact(w, picture.Contact{
		Title: "Test piece", Note: report.CouponNote(s, p), Classes: classes, Columns: 2, Height: 700, Width: 1600,
		Frames: []picture.Frame{
			{Name: "From above", Bodies: bodies, Azimuth: -8, Elevation: 64},
			{Name: "From below", Bodies: bodies, Azimuth: -25, Elevation: -14},
		}})
}
