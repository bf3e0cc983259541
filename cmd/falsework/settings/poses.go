package settings

// ForPoses returns the settings of ribs that a comparison of poses knows.
func (v *Values) ForPoses() []Setting {
	var list []Setting
	for _, s := range v.ForRibs() {
		if s.Name == "bed" {
			s.Usage, s.Category = "size of the bed in mm, on which the poses are tried", Reading
		}
		list = append(list, s)
	}
	return list
}
