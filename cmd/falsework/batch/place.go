package batch

import (
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"

	"falsework/cmd/falsework/report"
	"falsework/mesh/atomicfile"
)

// place moves what was made in the work folder to where it belongs, the part
// last so that where it is, the rest is too, and puts the names, the part
// first, into the row. It returns the hash of each file.
// A part that is only copied must have the given content.
func place(out, work string, p Part, content string, a *Answer, row *report.BatchPart) ([]string, error) {
	dir := dirOf(p.Name)
	if err := os.MkdirAll(filepath.Join(out, filepath.FromSlash(dir)), 0o777); err != nil {
		return nil, fmt.Errorf("its result cannot be written: %s", cause(err))
	}
	files := append([]string{}, a.Row.Files...)
	if a.Copy {
		name := path.Base(p.Name)
		if err := copyFile(p.Path, filepath.Join(work, name)); err != nil {
			return nil, err
		}
		files = append([]string{name}, files...)
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("the program left no result; please report it with the part")
	}
	row.Files = nil
	hashes := make([]string, len(files))
	for i, name := range files {
		if path.Base(name) != name {
			return nil, fmt.Errorf("the program named a result %q outside its folder", name)
		}
		h, err := hashFile(filepath.Join(work, name))
		if err != nil {
			return nil, fmt.Errorf("the program left no %s: %s", name, cause(err))
		}
		if a.Copy && i == 0 && h != content {
			return nil, errChanged
		}
		hashes[i] = h
		row.Files = append(row.Files, path.Join(dir, name))
	}
	for i := len(files) - 1; i >= 0; i-- {
		if err := atomicfile.Move(filepath.Join(work, files[i]), filepath.Join(out, filepath.FromSlash(row.Files[i]))); err != nil {
			return nil, err
		}
	}
	return hashes, nil
}

// dirOf is the folder of a name, "" for none.
func dirOf(name string) string {
	if d := path.Dir(name); d != "." {
		return d
	}
	return ""
}

func copyFile(from, to string) error {
	f, err := os.Open(from)
	if err != nil {
		return fmt.Errorf("cannot be read: %s", cause(err))
	}
	defer f.Close()
	return atomicfile.Write(to, func(w io.Writer) error { _, err := io.Copy(w, f); return err })
}
