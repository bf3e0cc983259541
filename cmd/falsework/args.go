package main

import "strings"

// arrange moves the flags of a command line before its other words, so that
// flags may stand before or after the file. takesValue tells of a flag name
// whether the next word is its value. A lone - is a file; what follows -- is
// never a flag.
func arrange(words []string, takesValue func(name string) bool) []string {
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
		if !hasValue && takesValue(name) && i+1 < len(words) {
			i++
			flags = append(flags, words[i])
		}
	}
	return append(append(flags, "--"), files...)
}
