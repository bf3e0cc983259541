package settings

// ForPoses returns the settings of ribs that a comparison of poses knows: all
// but how files are written.
func (v *Values) ForPoses() []Setting {
	list := without(v.ForRibs(), "separate")
	for i := range list {
		if list[i].Name == "bed" {
			list[i].Usage, list[i].Category = "size of the bed in mm, on which the poses are tried", Reading
		}
	}
	return append(list, without(v.ForEstimates(), "spool")...)
}

// ForEffort returns what the estimate of a piece alone assumes.
func (v *Values) ForEffort() []Setting {
	return without(v.ForEstimates(), "spool", "support-density")
}

// without returns the settings but those of some names.
func without(list []Setting, names ...string) []Setting {
	var out []Setting
	for _, s := range list {
		if !contains(names, s.Name) {
			out = append(out, s)
		}
	}
	return out
}
