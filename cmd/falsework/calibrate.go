package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"

	"github.com/urfave/cli/v2"

	"falsework/cmd/falsework/job"
	"falsework/cmd/falsework/report"
	"falsework/cmd/falsework/settings"
	"falsework/span"
)

func calibrateCommand() *command {
	v := settings.New()
	accept := span.AcceptedSag
	return &command{
		name:    "calibrate",
		summary: "turns what was seen on the test piece into limits, kept in a profile",
		text: "Takes what was seen at every bridge and step of a printed test piece: clean, sagging or\n" +
			"failed, or a sag in mm. The limit is the last clean place before the first that is not;\n" +
			"from sags it is where a line fitted to them reaches what is accepted. Nothing is read off\n" +
			"beyond what was printed. With -o the limits go to a profile, which every command takes\n" +
			"with --profile: a new one is begun, one that exists keeps its other keys and remarks.\n" +
			"Keep one for each machine, filament and nozzle.",
		example: "falsework calibrate --bridges 20,30,40,50,60,70=clean,80=sagging,90,100=failed \\\n" +
			"    --steps 35,40,45=clean,50=sagging --machine left --filament \"PETG grey\" -o left-petg.toml\n" +
			"    the limits of the machine that will print the housing of a tide gauge\n" +
			"falsework calibrate --bridges 40=0.05,60=0.14,80=0.33,100=0.71 -o left-petg.toml\n" +
			"    the same from sags measured in mm; the profile's other keys stay\n" +
			"falsework survey gauge-housing.stl --profile left-petg.toml",
		settings: append(v.ForMachine(), acceptSetting(&accept)),
		files: []cli.Flag{
			&cli.StringFlag{Name: "bridges", Usage: "what was seen at each bridge: 30,70=clean,100=sagging or 30=0.1|MM=SEEN,...", Category: settings.Piece},
			&cli.StringFlag{Name: "steps", Usage: "what was seen at each step: 40,45=clean,50=failed|DEG=SEEN,...", Category: settings.Piece},
			&cli.StringFlag{Name: "machine", Usage: "name of the machine, for the profile|NAME", Category: settings.Limits},
			&cli.StringFlag{Name: "filament", Usage: "name of the filament, for the profile|NAME", Category: settings.Limits},
			fileFlag("o", "F.toml", "write the profile here, or bring it up to date"),
		},
		run: func(ctx context.Context, c *call) error {
			return runCalibrate(ctx, c, v, accept)
		},
	}
}

// acceptSetting is the sag that passes for clean.
func acceptSetting(p *float64) settings.Setting {
	s := settings.NewNumber("accept", "MM", "sag that passes for clean, where sags were measured", p, settings.Range{Max: 10, Above: true, Unit: "mm"})
	s.Default, s.Category = strconv.FormatFloat(*p, 'f', -1, 64), settings.Piece
	return s
}

func runCalibrate(ctx context.Context, c *call, v *settings.Values, accept float64) error {
	if len(c.words) > 0 {
		return usage("calibrate takes no part, but got %q; what was seen goes to --bridges and --steps", c.words[0])
	}
	out := target{"-o", c.file("o")}
	if err := c.checkTargets("", out); err != nil {
		return err
	}
	r := report.Calibration{Schema: report.CalibrationSchema, Accept: accept}
	for _, k := range []struct {
		flag string
		of   func([]span.Observation, float64) (span.Calibration, error)
		to   **report.Limit
	}{{"bridges", span.CalibrateLength, &r.Limit}, {"steps", span.CalibrateSlope, &r.Slope}} {
		text := c.file(k.flag)
		if text == "" {
			continue
		}
		seen, err := settings.ParseSeen(text)
		if err != nil {
			return usage("--%s %v", k.flag, err)
		}
		found, err := k.of(seen, accept)
		if err != nil {
			return job.Unusable(fmt.Errorf("--%s: %w", k.flag, err))
		}
		*k.to = report.NewLimit(seen, found, down(found.Limit))
	}
	if r.Limit == nil && r.Slope == nil {
		return usage("nothing was seen: give --bridges, --steps or both, as in --bridges 30,70=clean,100=sagging")
	}
	if out.path != "" {
		data, err := c.profileFor(out.path, v, &r)
		if err != nil {
			return err
		}
		if err := c.write(ctx, out.path, func(w io.Writer) error { _, err := w.Write(data); return err }); err != nil {
			return err
		}
	}
	if c.json {
		return c.printJSON(r)
	}
	return c.show(toStream(out), func(w io.Writer, _ report.Look) { report.WriteCalibration(w, &r) })
}

// down rounds a limit down to a tenth; what a fit gives is no finer.
func down(x float64) float64 { return math.Floor(x*10+1e-6) / 10 }

// profileFor returns the profile with the limits in it, and notes in r what
// became of the keys that were there.
func (c *call) profileFor(path string, v *settings.Values, r *report.Calibration) ([]byte, error) {
	base, err := c.baseProfile(path)
	if err != nil {
		return nil, err
	}
	name := base.name
	was, err := settings.ReadProfile(name, base.data, profileKeys())
	if err != nil {
		return nil, &failure{exitUsage, err}
	}
	changes, err := c.aboutProfile(name, was, v)
	if err != nil {
		return nil, err
	}
	for _, k := range []struct {
		key, unit string
		found     *report.Limit
	}{{"limit", "mm", r.Limit}, {"slope", "degrees", r.Slope}} {
		if k.found == nil {
			continue
		}
		changes = append(changes, settings.Change{Key: k.key, Text: strconv.FormatFloat(k.found.Value, 'f', -1, 64), Why: k.unit + ", calibrated: " + k.found.Why})
		if old, there := was.Text(k.key); there {
			k.found.Was = old
		}
	}
	data := settings.EditProfile(base.data, changes)
	after := settings.New()
	now, err := settings.ReadProfile(path, data, append(profileKeys(), after.All()...))
	if err != nil {
		return nil, &failure{exitUsage, fmt.Errorf("the profile would no longer be one: %w", err)}
	}
	if err := after.Finish(); err != nil {
		return nil, usage("%s: with the new limits its keys contradict one another: %v; change or remove that key first", name, err)
	}
	r.Profile = &report.Profile{File: path, Began: len(base.data) == 0, From: base.from, Kept: now.Others(changes)}
	if now.About["machine"] == "" || now.About["filament"] == "" {
		c.note("%s: name the machine and the filament with --machine and --filament, so that the profile says what it holds for", path)
	}
	return data, nil
}

// A base is the profile that a new one starts from.
type base struct {
	name string // for messages
	from string // the file, when it is another one than is written
	data []byte
}

// baseProfile reads the file that is brought up to date, or else the one that
// --profile names.
func (c *call) baseProfile(path string) (base, error) {
	other := c.file(profileFlag)
	if path != stream {
		data, err := os.ReadFile(path)
		switch {
		case err == nil && other != "" && !sameFile(other, path):
			return base{}, usage("-o %s exists, and --profile names another file; give only -o to bring it up to date, or another name to begin it from the profile", path)
		case err == nil:
			return base{name: path, data: data}, nil
		case !errors.Is(err, fs.ErrNotExist):
			return base{}, usage("cannot read the profile: %v", err)
		}
	}
	if other == "" {
		return base{name: path}, nil
	}
	data, err := os.ReadFile(other)
	if err != nil {
		return base{}, usage("cannot read the profile: %v", err)
	}
	return base{name: other, from: other, data: data}, nil
}

func sameFile(a, b string) bool {
	x, err := os.Stat(filepath.Clean(a))
	if err != nil {
		return false
	}
	y, err := os.Stat(filepath.Clean(b))
	return err == nil && os.SameFile(x, y)
}

// aboutProfile says for which machine, filament, nozzle and layers the
// profile holds, and refuses one that holds for others.
func (c *call) aboutProfile(name string, was *settings.Profile, v *settings.Values) ([]settings.Change, error) {
	var changes []settings.Change
	if was.About["schema"] == "" {
		changes = append(changes, settings.Change{Key: "schema", Text: settings.Quote(settings.Schema)})
	}
	for _, key := range []string{"machine", "filament"} {
		given, there := c.file(key), was.About[key]
		switch {
		case given == "" || given == there:
		case there != "":
			return nil, usage("%s is for the %s %q, not %q; keep one profile for each", name, key, there, given)
		default:
			changes = append(changes, settings.Change{Key: key, Text: settings.Quote(given)})
		}
	}
	for _, k := range []struct {
		key, why string
		value    float64
		always   bool
	}{
		{"nozzle", "mm", v.Survey.Nozzle, true},
		{"layer", "mm, as the test piece was printed", v.Survey.Layer, v.Given("layer")},
		{"first-layer", "mm, as the test piece was printed", v.Survey.FirstLayer, v.Given("first-layer")},
	} {
		text := strconv.FormatFloat(k.value, 'f', -1, 64)
		there, ok := was.Text(k.key)
		switch {
		case ok && k.key == "nozzle" && v.Given("nozzle") && c.values["nozzle"] != there && !sameNumber(there, k.value):
			return nil, usage("%s is for a nozzle of %s, not %s; keep one profile for each", name, there, text)
		case ok && (k.key == "nozzle" || sameNumber(there, k.value)):
		case ok && v.Given(k.key):
			return nil, usage("%s is for a %s of %s, not %s; a limit holds for one height: keep another profile", name, k.key, there, text)
		case k.always || v.Given(k.key):
			changes = append(changes, settings.Change{Key: k.key, Text: text, Why: k.why})
		}
	}
	return changes, nil
}

func sameNumber(text string, x float64) bool {
	y, err := strconv.ParseFloat(text, 64)
	return err == nil && y == x
}
