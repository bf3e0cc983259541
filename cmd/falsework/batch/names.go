package batch

import (
	"fmt"
	"path"
	"path/filepath"
	"strings"
)

// suffix ends the names of ribbed parts.
const suffix = "-ribbed"

// RibbedName is the name of the ribbed part that comes of a file: the same,
// with -ribbed before its ending. Only 3MF stays what it was; all else
// becomes STL.
func RibbedName(file string) string {
	ext := path.Ext(file)
	base := strings.TrimSuffix(file, ext)
	if strings.EqualFold(ext, ".3mf") {
		return base + suffix + ext
	}
	return base + suffix + ".stl"
}

// PlanName and PictureName are the names of what belongs to a part. They keep
// its ending, so that two parts that differ in it alone do not meet.
func PlanName(file string) string    { return file + ".plan.json" }
func PictureName(file string) string { return file + ".png" }

// earlier tells whether a name is that of a result.
func earlier(file string) bool {
	return strings.HasSuffix(strings.ToLower(strings.TrimSuffix(file, path.Ext(file))), suffix)
}

// Settle gives a reason to every part whose result would take the name of
// another's result, or the place of a part. Names that differ in upper and
// lower case alone are one name to some systems, so they are here.
func Settle(parts []Part, out string) {
	sources := map[string]string{}
	for _, p := range parts {
		sources[fold(resolve(p.Path))] = p.Name
	}
	taken := map[string]string{}
	for i := range parts {
		p := &parts[i]
		if p.Reason != "" {
			continue
		}
		dir, file := path.Split(p.Name)
		for _, name := range []string{dir + RibbedName(file), p.Name} {
			if other, ok := taken[fold(name)]; ok && other != p.Name {
				p.Reason = fmt.Sprintf("its result would take the name of that of %s; rename one of them", other)
			}
			if source, ok := sources[fold(resolve(filepath.Join(out, filepath.FromSlash(name))))]; ok {
				p.Reason = fmt.Sprintf("its result would replace the part %s; name another folder with -o", source)
			}
		}
		if p.Reason == "" {
			taken[fold(dir+RibbedName(file))], taken[fold(p.Name)] = p.Name, p.Name
		}
	}
}

func fold(name string) string { return strings.ToLower(name) }

// resolve follows the symbolic links of a path as far as it exists.
func resolve(p string) string {
	if abs, err := filepath.Abs(p); err == nil {
		p = abs
	}
	rest := ""
	for at := p; ; at = filepath.Dir(at) {
		if real, err := filepath.EvalSymlinks(at); err == nil {
			return filepath.Join(real, rest)
		}
		if at == filepath.Dir(at) {
			return p
		}
		rest = filepath.Join(filepath.Base(at), rest)
	}
}
