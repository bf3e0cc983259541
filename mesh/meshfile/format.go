package meshfile

import (
	"fmt"
	"path/filepath"
	"strings"
)

// A Format is a format of files.
type Format int

// The formats.
const (
	STL Format = iota
	ThreeMF
)

// String returns the name of the format as people write it.
func (f Format) String() string {
	if f == ThreeMF {
		return "3MF"
	}
	return "STL"
}

// Extension returns what the names of such files end in, with its dot.
func (f Format) Extension() string {
	if f == ThreeMF {
		return ".3mf"
	}
	return ".stl"
}

// FormatOf returns the format that the extension of a file's name asks for,
// whatever its case. A name without an extension leaves the choice to
// otherwise; any other extension is an error of one line.
func FormatOf(path string, otherwise Format) (Format, error) {
	ext := filepath.Ext(filepath.Base(path))
	for _, f := range []Format{STL, ThreeMF} {
		if strings.EqualFold(ext, f.Extension()) {
			return f, nil
		}
	}
	if ext == "" || filepath.Base(path) == ext {
		return otherwise, nil
	}
	return 0, fmt.Errorf("%s: %s is no format written here; name a file that ends in .stl or .3mf", path, ext)
}
