package job

import (
	"fmt"
	"strconv"

	"falsework/mesh"
)

// Sizes of a part's longest side, millimetres, beyond which a unit is
// doubted, and beyond which nothing sensible can be done. A desktop machine
// prints things between a thimble and a chair.
const (
	likelyMetres = 2
	likelyInches = 15
	likelyLarge  = 2000
	leastSize    = 1
	mostSize     = 20000
)

// sizeHint says when a part's size looks like another unit; the error refuses
// sizes at which no answer would mean anything. Declared is the unit that the
// file itself declares. No doubt is raised when the unit was given.
func sizeHint(b mesh.Box, declared string, given bool) (string, error) {
	longest := 0.0
	for i := range b.Min {
		longest = max(longest, b.Max[i]-b.Min[i])
	}
	if declared != "" {
		return declaredHint(longest, declared)
	}
	switch {
	case longest > mostSize:
		return "", unusable("the part is %s long, larger than anything printed; give the unit of its numbers with --unit, or scale it", say(longest))
	case longest < leastSize && given:
		return "", unusable("the part is %s long, too small to print; check --unit", say(longest))
	case longest < leastSize:
		return "", unusable("the part is %s long, too small to print; are its numbers metres? give --unit m (%s) or --unit in (%s)", say(longest), say(longest*1000), say(longest*25.4))
	case given:
		return "", nil
	case longest < likelyMetres:
		return fmt.Sprintf("the part is only %s long; if its numbers are metres give --unit m (%s), if inches --unit in (%s)", say(longest), say(longest*1000), say(longest*25.4)), nil
	case longest < likelyInches:
		return fmt.Sprintf("the part is only %s long; if its numbers are inches give --unit in (%s), if centimetres --unit cm (%s)", say(longest), say(longest*25.4), say(longest*10)), nil
	case longest > likelyLarge:
		return fmt.Sprintf("the part is %s long; check the unit of its numbers (--unit)", say(longest)), nil
	}
	return "", nil
}

// declaredHint is sizeHint for a file that declares its unit: where the size
// looks wrong, the program that wrote the file must put it right.
func declaredHint(longest float64, declared string) (string, error) {
	switch {
	case longest > mostSize:
		return "", unusable("the part is %s long by the unit its file declares, %s, larger than anything printed; export it again with the right unit", say(longest), declared)
	case longest < leastSize:
		return "", unusable("the part is %s long by the unit its file declares, %s, too small to print; export it again with the right unit", say(longest), declared)
	case longest < likelyMetres, longest > likelyLarge:
		return fmt.Sprintf("the part is %s long by the unit its file declares, %s; if that is wrong, export it again with the right unit", say(longest), declared), nil
	}
	return "", nil
}

func say(mm float64) string { return strconv.FormatFloat(mm, 'g', 4, 64) + " mm" }
