package settings

import "falsework/rib/coupon"

// A Coupon is what the test piece is told beside machine and limits.
type Coupon struct {
	Spans, Slopes []float64
	Bare          bool // without the opening carried by ribs

	of *Values
}

// NewCoupon returns the built-in values of a test piece.
func (v *Values) NewCoupon() *Coupon {
	d := coupon.Defaults()
	return &Coupon{Spans: d.Spans, Slopes: d.Slopes, of: v}
}

// Settings returns what a test piece shows.
func (k *Coupon) Settings() []Setting {
	list := []Setting{
		NewNumbers("spans", "MM,MM,...", "lengths of the bridges", &k.Spans, 0, mm(5, 400)),
		NewNumbers("slopes", "DEG,DEG,...", "leans of the steps from the vertical", &k.Slopes, 0, Range{Min: 10, Max: 80, Unit: "degrees"}),
		NewSwitch("bare", "leave out the opening carried by ribs", &k.Bare),
	}
	list[0].Default, list[1].Default = "20 to 120 by 10", "35 to 70 by 5"
	for i := range list {
		list[i].Category = Piece
	}
	return k.of.track(list)
}

// Of returns the settings of the test piece once all values are known.
func (k *Coupon) Of(v *Values) coupon.Settings {
	s := coupon.Settings{Spans: k.Spans, Slopes: k.Slopes, Bed: v.Rib.Bed, Ribbed: !k.Bare, Survey: v.Survey, Rib: v.Rib}
	if !v.Given("bed") {
		s.Bed = coupon.Bed
	}
	return s
}

// ForPieces returns the settings of ribs that a test piece knows: all but
// those that concern a part's surface, its cavities and how it is written.
func (v *Values) ForPieces() []Setting {
	list := without(v.ForRibs(), "sealed", "resample", "separate")
	for i := range list {
		if s := &list[i]; s.Name == "bed" {
			s.Usage, s.Default, s.Category = "size of the bed in mm, on which the piece is laid out", "220,220,250", Piece
		}
	}
	return list
}

// ForMachine returns the settings that say for which nozzle and layers a limit
// holds.
func (v *Values) ForMachine() []Setting {
	var list []Setting
	for _, s := range v.ForSurvey() {
		switch s.Name {
		case "nozzle", "layer", "first-layer":
			list = append(list, s)
		}
	}
	return list
}

// All returns every setting of Values, for reading a profile whole.
func (v *Values) All() []Setting {
	list := append(v.ForReading(), v.ForSurvey()...)
	return append(append(append(list, v.ForRibs()...), v.ForChoice()...), v.ForEstimates()...)
}
