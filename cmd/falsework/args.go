package main

import "strings"

// arrange moves the flags of a command line before its other words, so that
// flags may stand before or after the file. takesValue tells of a flag name
// whether the next word is its value. A lone - is a file; what follows -- is
// never a flag. A flag whose value is missing is an error.
func arrange(words []string, takesValue func(name string) bool) ([]string, error) {
	var flags, files []string
	for i := 0; i < len(words); i++ {
		w := words[i]
		if w == "--" {
			files = append(files, words[i+1:]...)
			break
		}
		if len(w) < 2 || w[0] != '-' {
			files = append(files, w)
			continue
		}
		flags = append(flags, w)
		name, _, hasValue := strings.Cut(strings.TrimLeft(w, "-"), "=")
		if hasValue || !takesValue(name) {
			continue
		}
		if i++; i == len(words) {
			return nil, usage("%s needs a value", w)
		}
		flags = append(flags, words[i])
	}
	return append(append(flags, "--"), files...), nil
}
