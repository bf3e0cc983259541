package settings

import (
	"fmt"

	"falsework/mesh"
	"falsework/rib"
	"falsework/rib/pose"
	"falsework/span"
)

// Headings of the help texts.
const (
	Reading  = "Reading the part:"
	Limits   = "Machine and limits:"
	Ribs     = "Ribs:"
	Estimate = "Estimates:"
	Choice   = "Which ceilings:"
	Piece    = "The piece:"
	Work     = "Work:"
	Output   = "Output:"
)

// Values is what the commands that work on a part are told. Lengths are
// millimetres, angles degrees.
type Values struct {
	Survey   span.Settings
	Rib      rib.Settings
	Unit     string     // of an STL file: mm, cm, m or in
	Pose     int        // 1 to 6, see package pose; the first turn
	Turn     [3]float64 // about x, then y, then z, after the pose
	Resample float64    // resolution; 0: not asked for
	Separate bool       // part and ribs as objects of their own
	KeepOut  float64    // gap between keep-out bodies and the part

	crest string
	given map[string]bool
}

// New returns the built-in values.
func New() *Values {
	s := span.Defaults()
	return &Values{Survey: s, Rib: rib.DefaultSettings(s), Unit: "mm", Pose: 1, crest: "auto", given: map[string]bool{}}
}

// Stand returns the turn from how the part's file has it to how it is printed.
func (v *Values) Stand() mesh.Transform {
	return pose.Transform(v.Pose).Then(mesh.Turn(v.Turn[0], v.Turn[1], v.Turn[2]))
}

// Given reports whether a flag or a profile gave the named value.
func (v *Values) Given(name string) bool { return v.given[name] }

// track notes for each setting when it is given.
func (v *Values) track(list []Setting) []Setting {
	for i := range list {
		name, set := list[i].Name, list[i].set
		list[i].set = func(text string) error {
			if err := set(text); err != nil {
				return err
			}
			v.given[name] = true
			return nil
		}
	}
	return list
}

func mm(least, most float64) Range { return Range{Min: least, Max: most, Unit: "mm"} }
func over0(most float64) Range     { return Range{Max: most, Above: true, Unit: "mm"} }

// ForReading returns the settings of every command that reads a part.
func (v *Values) ForReading() []Setting {
	unit := NewChoice("unit", "unit of the numbers in an STL file: mm, cm, m or in", &v.Unit, "mm", "cm", "m", "in")
	unit.Default, unit.Holds = "mm", "UNIT"
	list := []Setting{
		unit,
		NewTriple("turn", "X,Y,Z", "turn the part by these degrees about x, then y, then z", &v.Turn, Range{Min: -360, Max: 360, Unit: "degrees"}),
		NewCount("pose", "N", "stand the part in this pose first, as poses numbers them", &v.Pose, 1, len(pose.Axes())),
	}
	list[2].Default = "1, as it is"
	for i := range list {
		list[i].Category = Reading
	}
	return v.track(list)
}

// ForSurvey returns the settings of machine, filament and limits.
func (v *Values) ForSurvey() []Setting {
	s := &v.Survey
	list := []Setting{
		NewNumber("limit", "MM", "longest bridge the machine lays cleanly, from a printed coupon", &s.Limit, mm(1, 1000)),
		NewNumber("slope", "DEGREES", "largest lean from the vertical that prints unaided", &s.Slope, Range{Min: 10, Max: 80, Unit: "degrees"}),
		NewNumber("ledge", "MM", "depth that may hang beyond what holds it", &s.Ledge, mm(0, 50)),
		NewNumber("layer", "MM", "layer height", &s.Layer, over0(2)),
		NewNumber("first-layer", "MM", "height of the first layer", &s.FirstLayer, over0(2)),
		NewNumber("nozzle", "MM", "nozzle diameter", &s.Nozzle, mm(0.05, 5)),
	}
	for i, d := range []float64{s.Limit, s.Slope, s.Ledge, s.Layer, s.FirstLayer, s.Nozzle} {
		list[i].Category, list[i].Default = Limits, trim(d)
	}
	list[0].Default += ", a convention, not a measurement"
	return v.track(list)
}

// ForRibs returns the settings of ribs and braces.
func (v *Values) ForRibs() []Setting {
	r := &v.Rib
	list := []Setting{
		NewNumber("spacing", "MM", "widest bay between ribs", &r.Spacing, mm(1, 1000)),
		NewNumber("rib-width", "MM", "thickness of a rib", &r.Width, mm(0.05, 10)),
		NewNumber("slenderness", "RATIO", "free length of a rib over its thickness", &r.Slenderness, Range{Min: 5, Max: 1000}),
		NewCount("brace-layers", "N", "thickness of a brace in layers", &r.BraceLayers, 1, 20),
		NewNumber("brace-pitch", "MM", "clear height between braces in a wall's opening", &r.BracePitch, mm(1, 1000)),
		NewNumber("setback", "MM", "how far ribs stay behind visible faces", &r.Setback, mm(0, 50)),
		NewNumber("foot", "MM", "width of a foot on each side of a rib", &r.Foot, mm(0, 50)),
		NewChoice("crest", "how ribs meet the ceiling: auto, solid or notched", &v.crest, "auto", "solid", "notched"),
		NewSwitch("sealed", "rib sealed cavities too, though no knife gets in", &r.Sealed),
		NewNumber("resample", "MM", "rebuild a surface that cannot be mended, at this resolution", &v.Resample, over0(10)),
		NewSwitch("separate", "keep part and ribs apart, as two named objects of one 3MF file", &v.Separate),
		NewTriple("bed", "X,Y,Z", "size of the bed in mm; warns when the part does not fit", &r.Bed, over0(5000)),
	}
	for i, d := range []string{"4/7 of the limit", "1.25 x nozzle", "70", "2", "slenderness x rib-width", "nozzle, at most half the ledge", "4", "auto"} {
		list[i].Default = d
	}
	for i := range list {
		list[i].Category = Ribs
	}
	return v.track(list)
}

// ForEstimates returns what the estimates of material and time assume.
func (v *Values) ForEstimates() []Setting {
	m := &v.Rib.Material
	list := []Setting{
		NewNumber("density", "G/CM3", "density of the filament, g/cm3", &m.Density, Range{Max: 25, Above: true, Unit: "g/cm3"}),
		NewNumber("diameter", "MM", "diameter of the filament", &m.Diameter, mm(0.5, 10)),
		NewNumber("speed", "MM/S", "speed while laying ribs", &m.Speed, Range{Max: 2000, Above: true, Unit: "mm/s"}),
		NewNumber("travel", "MM/S", "speed between them", &m.Travel, Range{Max: 5000, Above: true, Unit: "mm/s"}),
		NewNumber("support-density", "SHARE", "density of ordinary full support for comparison, 0 to 1", &m.Support, Range{Max: 1, Above: true}),
		NewNumber("spool", "GRAMS", "filament left on the spool; warns when it runs short", &m.Spool, Range{Max: 100000, Above: true, Unit: "g"}),
	}
	for i, d := range []float64{m.Density, m.Diameter, m.Speed, m.Travel, m.Support} {
		list[i].Default = trim(d)
	}
	for i := range list {
		list[i].Category = Estimate
	}
	return v.track(list)
}

// ForMarks returns the settings of what is written for the slicing program
// beside the part.
func (v *Values) ForMarks() []Setting {
	gap := NewNumber("keep-out-gap", "MM", "how far the bodies of --keep-out stay off the part", &v.KeepOut, mm(0.01, 100)).In(Output)
	gap.Default = "a quarter of a layer"
	return v.track([]Setting{gap})
}

// ForChoice returns the settings that pick ceilings by number.
func (v *Values) ForChoice() []Setting {
	list := []Setting{
		NewIDs("only", "rib only these ceilings, as survey numbers them", &v.Rib.Only),
		NewIDs("skip", "leave these ceilings alone", &v.Rib.Skip),
	}
	for i := range list {
		list[i].Category = Choice
	}
	return v.track(list)
}

// Finish fills in what follows from other values and refuses what
// contradicts itself. It is called once, after the last Set.
func (v *Values) Finish() error {
	s, r := &v.Survey, &v.Rib
	d := rib.DefaultSettings(*s)
	if !v.Given("spacing") {
		r.Spacing = d.Spacing
	}
	if !v.Given("rib-width") {
		r.Width = d.Width
	}
	if !v.Given("brace-pitch") {
		r.BracePitch = r.Slenderness * r.Width
	}
	if !v.Given("setback") {
		r.Setback = d.Setback
	}
	if !v.Given("keep-out-gap") {
		v.KeepOut = rib.DefaultGap(*s)
	}
	r.Crest = map[string]rib.Crest{"auto": rib.CrestAuto, "solid": rib.CrestSolid, "notched": rib.CrestNotched}[v.crest]
	return v.contradictions()
}

func (v *Values) contradictions() error {
	s, r := v.Survey, v.Rib
	switch {
	case s.Layer > s.Nozzle:
		return fmt.Errorf("layer %s is higher than the nozzle of %s can lay; set layer or nozzle", trim(s.Layer), trim(s.Nozzle))
	case s.FirstLayer > s.Nozzle:
		return fmt.Errorf("first-layer %s is higher than the nozzle of %s can lay; set first-layer or nozzle", trim(s.FirstLayer), trim(s.Nozzle))
	case s.Ledge >= s.Limit:
		return fmt.Errorf("ledge %s is not below the limit of %s; a ledge hangs, a bridge is held at both ends", trim(s.Ledge), trim(s.Limit))
	case r.Spacing > s.Limit:
		return fmt.Errorf("spacing %s is over the limit of %s; ribs that far apart carry nothing", trim(r.Spacing), trim(s.Limit))
	case r.Width < s.Nozzle:
		return fmt.Errorf("rib-width %s is below the nozzle of %s; a wall thinner than a bead is not printed", trim(r.Width), trim(s.Nozzle))
	case r.Width > r.Spacing/2:
		return fmt.Errorf("rib-width %s leaves no bay in a spacing of %s", trim(r.Width), trim(r.Spacing))
	case r.BracePitch < s.Layer*float64(r.BraceLayers):
		return fmt.Errorf("brace-pitch %s is below the %d layers of %s that a brace is thick", trim(r.BracePitch), r.BraceLayers, trim(s.Layer))
	case len(r.Only) > 0 && len(r.Skip) > 0:
		return fmt.Errorf("only and skip contradict each other; give one of them")
	}
	return nil
}
