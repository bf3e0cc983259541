package rib

import (
	"fmt"
	"math"

	"falsework/span"
)

// A SettingsError says which setting cannot be used and why.
type SettingsError struct{ Name, Reason string }

// Error names the setting and the reason.
func (e *SettingsError) Error() string { return e.Name + ": " + e.Reason }

// Check refuses settings that make no sense, by themselves or beside those of
// the survey, with the reason. The error is a [*SettingsError].
func (s Settings) Check(of span.Settings) error {
	for _, x := range []struct {
		name string
		v    float64
		zero bool // may be zero
	}{
		{"spacing", s.Spacing, false}, {"rib-width", s.Width, false}, {"slenderness", s.Slenderness, false},
		{"brace-pitch", s.BracePitch, false}, {"setback", s.Setback, true}, {"foot", s.Foot, true},
		{"density", s.Material.Density, false}, {"diameter", s.Material.Diameter, false},
		{"speed", s.Material.Speed, false}, {"travel", s.Material.Travel, false},
		{"support", s.Material.Support, true}, {"spool", s.Material.Spool, true},
		{"bed", s.Bed[0], true}, {"bed", s.Bed[1], true}, {"bed", s.Bed[2], true},
	} {
		switch {
		case math.IsNaN(x.v) || math.IsInf(x.v, 0):
			return &SettingsError{x.name, "must be a number"}
		case x.v < 0 || x.v == 0 && !x.zero:
			return &SettingsError{x.name, fmt.Sprintf("%g must be more than zero", x.v)}
		}
	}
	switch {
	case s.Spacing > of.Limit:
		return &SettingsError{"spacing", fmt.Sprintf("%g mm is more than the limit of %g mm: bays that wide would not bridge", s.Spacing, of.Limit)}
	case s.Width < of.Nozzle:
		return &SettingsError{"rib-width", fmt.Sprintf("%g mm is thinner than the nozzle of %g mm: the slicing program would drop such a wall", s.Width, of.Nozzle)}
	case s.Spacing < 4*s.Width:
		return &SettingsError{"spacing", fmt.Sprintf("%g mm is less than four ribs of %g mm: no blade gets between", s.Spacing, s.Width)}
	case s.BraceLayers < 1:
		return &SettingsError{"brace-layers", fmt.Sprintf("%d must be at least 1", s.BraceLayers)}
	case s.BracePitch < of.Layer:
		return &SettingsError{"brace-pitch", fmt.Sprintf("%g mm is less than a layer of %g mm", s.BracePitch, of.Layer)}
	case s.BracePitch < 2*float64(s.BraceLayers)*of.Layer:
		return &SettingsError{"brace-pitch", fmt.Sprintf("%g mm leaves no gap between braces %g mm thick", s.BracePitch, float64(s.BraceLayers)*of.Layer)}
	case s.Material.Support > 1:
		return &SettingsError{"support", fmt.Sprintf("%g must be a share from 0 to 1", s.Material.Support)}
	case s.Crest < CrestAuto || s.Crest > CrestNotched:
		return &SettingsError{"crest", "must be auto, solid or notched"}
	case len(s.Only) > 0 && len(s.Skip) > 0:
		return &SettingsError{"only, skip", "give one of them, not both"}
	}
	return nil
}

// checkNumbers refuses ceiling numbers the survey does not have.
func (s Settings) checkNumbers(of *span.Survey) error {
	known := map[int]bool{}
	for _, c := range of.Ceilings {
		known[c.ID] = true
	}
	for _, list := range []struct {
		name string
		ids  []int
	}{{"only", s.Only}, {"skip", s.Skip}} {
		for _, id := range list.ids {
			if !known[id] {
				return &SettingsError{list.name, fmt.Sprintf("there is no ceiling %d; the survey with these settings lists %d", id, len(of.Ceilings))}
			}
		}
	}
	return nil
}

// wanted tells whether a ceiling is to be ribbed by only and skip.
func (s Settings) wanted(id int) bool {
	for _, x := range s.Skip {
		if x == id {
			return false
		}
	}
	if len(s.Only) == 0 {
		return true
	}
	for _, x := range s.Only {
		if x == id {
			return true
		}
	}
	return false
}

// String names the crest as the flag does.
func (c Crest) String() string {
	switch c {
	case CrestSolid:
		return "solid"
	case CrestNotched:
		return "notched"
	}
	return "auto"
}

// ParseCrest reads the name of a crest.
func ParseCrest(s string) (Crest, error) {
	for c := CrestAuto; c <= CrestNotched; c++ {
		if s == c.String() {
			return c, nil
		}
	}
	return 0, &SettingsError{"crest", fmt.Sprintf("%q is none of auto, solid, notched", s)}
}

// under are the settings for one ceiling.
func (s Settings) under(id int) Settings {
	if bay, ok := s.Closer[id]; ok {
		s.Spacing = bay
	}
	return s
}
