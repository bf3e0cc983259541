package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"falsework/cmd/falsework/job"
	"falsework/cmd/falsework/report"
	"falsework/cmd/falsework/settings"
	"falsework/mesh"
	"falsework/mesh/meshfile"
	"falsework/mesh/picture"
	"falsework/mesh/section"
	"falsework/mesh/union"
	"falsework/rib/trial"
)

func trialCommand() *command {
	v := settings.New()
	k := v.NewTrial()
	list := append(v.ForReading(), k.Settings()...)
	list = append(append(list, v.ForSurvey()...), v.ForEffort()...)
	return &command{
		name: "trial", operand: "PART",
		summary: "cuts a proof piece out of a ribbed part, to try the ribs before a long print",
		text: "Cuts a closed piece out of a part that rib has written, stands it flat on the bed, and\n" +
			"says what it shows and what it takes. --below keeps what lies below a height, --between a\n" +
			"slab, --ceiling a box round one ceiling, --margin mm larger on every side. Heights are\n" +
			"above the bed and go to the next boundary of layers outwards. Ceilings are numbered as\n" +
			"survey lists them for the very file given; with --numbers they are those of a list that\n" +
			"survey --json or rib --plan wrote, so that the numbers of the part before it was ribbed\n" +
			"can be used. The piece is surveyed: what the cut leaves hanging is named.",
		example: "falsework trial gauge-housing-ribbed.stl --between 185,195 -o lintel.stl\n" +
			"    the lintel over the reading window of a tide gauge's housing, its ribs' crests and\n" +
			"    the uppermost of their bays: an hour instead of a day\n" +
			"falsework rib gauge-housing.stl --plan plan.json\n" +
			"falsework trial gauge-housing-ribbed.stl --numbers plan.json --ceiling 12 --margin 20\n" +
			"    a box round ceiling 12 of the housing, as rib numbers it",
		settings: list,
		files: []cli.Flag{
			&cli.StringFlag{Name: "numbers", Usage: "take ceiling numbers from what survey --json or rib --plan wrote|F.json", Category: settings.Piece},
			fileFlag("o", "F", "write the piece here; default: PART-trial beside the part"),
			fileFlag("picture", "F.png", "draw the piece with its ceilings"),
		},
		run: func(ctx context.Context, c *call) error {
			return runTrial(ctx, c, v, k)
		},
	}
}

func runTrial(ctx context.Context, c *call, v *settings.Values, k *settings.Trial) error {
	if err := k.Check(); err != nil {
		return usage("%v", err)
	}
	out, image := target{"-o", c.file("o")}, target{"--picture", c.file("picture")}
	if out.path == "" && len(c.words) == 1 {
		if c.words[0] == stream {
			return usage("a part from standard input needs -o to say where the piece goes")
		}
		out.path = besideName(c.words[0], "-trial")
	}
	var format meshfile.Format
	if len(c.words) == 1 {
		var err error
		if format, err = c.formatOf(out); err != nil {
			return err
		}
	}
	_, part, err := c.read(ctx, v, out, image)
	if err != nil {
		return err
	}
	region, what, err := c.region(ctx, part, v, k)
	if err != nil {
		return err
	}
	c.Stage("cutting")
	piece, err := trial.Cut(ctx, part.Mesh, region, v.Survey, v.Rib.Material)
	if err != nil {
		return trialError(part, err)
	}
	if image.path != "" {
		err := c.write(ctx, image.path, func(w io.Writer) error {
			body := surveyed(piece.Mesh, piece.Survey)
			for i := range body.Regions {
				body.Regions[i].Label = "" // the piece's own numbers help nobody
			}
			return picture.Render(w, picture.Scene{Title: part.Name, Note: "Proof piece: " + what + ".",
				Classes: classes[:classRib], Bodies: []picture.Body{body}})
		})
		if err != nil {
			return err
		}
	}
	err = c.write(ctx, out.path, func(w io.Writer) error {
		return meshfile.Encode(ctx, w, format, meshfile.Object{Name: "proof piece", Mesh: piece.Mesh})
	})
	if err != nil {
		return err
	}
	r := report.NewTrial(part.Name, out.path, what, piece)
	if c.json || c.quiet {
		for _, h := range r.Hanging {
			c.warn("%s", h.Words())
		}
	}
	if c.json {
		return c.printJSON(r)
	}
	return c.show(toStream(out, image), func(w io.Writer, _ report.Look) {
		report.WriteTrial(w, r, v.Survey, v.Rib.Material)
	})
}

// besideName is a name beside a file's, in its format where that is one the
// program writes.
func besideName(path, tail string) string {
	ext := filepath.Ext(path)
	base := strings.TrimSuffix(path, ext)
	if !strings.EqualFold(ext, ".3mf") {
		ext = ".stl"
	}
	return base + tail + ext
}

// region is what is to be kept, and that in words.
func (c *call) region(ctx context.Context, part *job.Part, v *settings.Values, k *settings.Trial) (trial.Region, string, error) {
	b := part.Mesh.Bounds()
	switch {
	case k.Below > 0:
		return trial.Below(b, k.Below), fmt.Sprintf("what lies below %g mm", k.Below), nil
	case len(k.Between) > 0:
		return trial.Between(b, k.Between[0], k.Between[1]), fmt.Sprintf("the slab from %g to %g mm", k.Between[0], k.Between[1]), nil
	}
	list, from, err := c.numbered(ctx, part, v)
	if err != nil {
		return trial.Region{}, "", err
	}
	for _, h := range list {
		if h.ID == k.Ceiling {
			return trial.Around([2]float64{h.Bounds.Min[0], h.Bounds.Min[1]}, [2]float64{h.Bounds.Max[0], h.Bounds.Max[1]}, h.Z, k.Margin),
				fmt.Sprintf("%g mm round ceiling %d of %s: %s", k.Margin, h.ID, from, h.Place(b.Min[2])), nil
		}
	}
	return trial.Region{}, "", usage("there is no ceiling %d; %s lists %d", k.Ceiling, from, len(list))
}

// numbered lists the ceilings whose numbers are meant, and says whose they
// are.
func (c *call) numbered(ctx context.Context, part *job.Part, v *settings.Values) ([]report.Ceiling, string, error) {
	name := c.file("numbers")
	if name == "" {
		s, err := job.Standard(c).First(ctx, part, v)
		if err != nil {
			return nil, "", err
		}
		return report.NewSurvey(describe(part), s).Ceilings, "the survey of " + part.Name, nil
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, "", usage("cannot read the list of ceilings: %v", err)
	}
	s, err := report.ReadSurvey(data)
	if err != nil {
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			err = fmt.Errorf("no JSON: %w", err)
		}
		return nil, "", usage("%s: %v", name, err)
	}
	if !holds(part.Mesh.Bounds(), s.Bounds) {
		return nil, "", usage("%s is of %s, which does not lie where %s does; make the list with the flags that rib was given", name, s.Part, part.Name)
	}
	return s.Ceilings, s.Part, nil
}

// holds tells whether a part can be the ribbed form of one with those bounds:
// feet may stand out beyond it, nothing else does.
func holds(b mesh.Box, of report.Bounds) bool {
	const slack = 0.05
	for i := range 3 {
		if of.Min[i] < b.Min[i]-slack || of.Max[i] > b.Max[i]+slack {
			return false
		}
	}
	return b.Max[2] < of.Max[2]+slack && b.Min[2] > of.Min[2]-slack
}

// trialError tells a region that makes no piece from a part that cannot be
// cut.
func trialError(part *job.Part, err error) error {
	var region *trial.RegionError
	if errors.As(err, &region) {
		return usage("%v", region)
	}
	var open *section.OpenError
	var defect *union.DefectError
	broken := errors.As(err, &open) || errors.As(err, &defect) || errors.Is(err, trial.ErrOpen)
	if broken && part.Unmended != nil {
		return job.Unusable(fmt.Errorf("%s: %w", part.Name, part.Unmended))
	}
	if broken {
		return job.Unusable(fmt.Errorf("%s: %w", part.Name, err))
	}
	if errors.Is(err, context.Canceled) {
		return err
	}
	return fmt.Errorf("%s: the piece cannot be cut, which is this program's fault: %w; nothing was written; please report it with the part", part.Name, err)
}
