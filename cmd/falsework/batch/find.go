package batch

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
)

// A Folder says which parts to look for, and where.
type Folder struct {
	Dir       string   // where the parts are
	Out       string   // where results go; not looked into, need not exist
	Recursive bool     // subfolders, too
	Match     []string // patterns as of [path.Match]; empty: every file with one of Extensions
	Endings   []string // of files that are parts, in lower case: ".stl"
}

// A Part is a file to be worked on.
type Part struct {
	Name   string // relative to the folder, with slashes
	Path   string
	Size   int64  // bytes
	Reason string // why it cannot be worked on, empty when it can
}

// Found is what a folder holds.
type Found struct {
	Parts   []Part   // in the order of their names
	Earlier []string // passed over: results of an earlier run
	Linked  []string // passed over: folders behind symbolic links
}

// CheckPattern refuses a pattern that [path.Match] cannot read.
func CheckPattern(pattern string) error {
	if _, err := path.Match(pattern, ""); err != nil {
		return fmt.Errorf("must be a pattern of *, ? and [a-z], not %q", pattern)
	}
	return nil
}

// Find lists the parts in a folder. Hidden files and folders, whose names
// begin with a dot, are passed over, and so is Out. A file that cannot be
// worked on is listed with its reason. The error is one of the system, about
// the folder itself.
func Find(f Folder) (*Found, error) {
	root, err := filepath.EvalSymlinks(f.Dir)
	if err == nil {
		root, err = filepath.Abs(root)
	}
	if err != nil {
		return nil, err
	}
	out, _ := os.Stat(f.Out)
	found := &Found{}
	visit := func(p string, d fs.DirEntry, err error) error {
		rel, e := filepath.Rel(root, p)
		if e != nil {
			return e
		}
		name := filepath.ToSlash(rel)
		switch {
		case err != nil && p == root:
			return err
		case err != nil:
			found.Parts = append(found.Parts, Part{Name: name, Path: p, Reason: "the folder cannot be read: " + cause(err)})
			return fs.SkipDir
		case p == root:
			return nil
		case strings.HasPrefix(d.Name(), "."):
			return skip(d)
		case d.IsDir():
			if info, err := d.Info(); !f.Recursive || err == nil && out != nil && os.SameFile(info, out) {
				return fs.SkipDir
			}
			return nil
		}
		found.take(f, name, p, d)
		return nil
	}
	if err := filepath.WalkDir(root, visit); err != nil {
		return nil, err
	}
	slices.SortFunc(found.Parts, func(a, b Part) int { return strings.Compare(a.Name, b.Name) })
	return found, nil
}

func skip(d fs.DirEntry) error {
	if d.IsDir() {
		return fs.SkipDir
	}
	return nil
}

// take lists one entry of a folder, when it is a part.
func (found *Found) take(f Folder, name, p string, d fs.DirEntry) {
	info, err := os.Stat(p)
	if err == nil && info.IsDir() { // a link; following those might never end
		if f.Recursive {
			found.Linked = append(found.Linked, name)
		}
		return
	}
	if !f.takes(name) {
		return
	}
	if earlier(path.Base(name)) {
		found.Earlier = append(found.Earlier, name)
		return
	}
	part := Part{Name: name, Path: p}
	switch {
	case errors.Is(err, fs.ErrNotExist) && d.Type()&fs.ModeSymlink != 0:
		part.Reason = "the symbolic link points to nothing; copy the file itself"
	case err != nil:
		part.Reason = "cannot be read: " + cause(err)
	case !info.Mode().IsRegular():
		part.Reason = "is a device or pipe, not a file; copy the part into a file"
	default:
		part.Size = info.Size()
	}
	found.Parts = append(found.Parts, part)
}

// takes tells whether a file is a part by its name.
func (f Folder) takes(name string) bool {
	if len(f.Match) == 0 {
		return slices.Contains(f.Endings, strings.ToLower(path.Ext(name)))
	}
	for _, pattern := range f.Match {
		of := name
		if !strings.Contains(pattern, "/") {
			of = path.Base(name)
		}
		if ok, err := path.Match(pattern, of); ok && err == nil {
			return true
		}
	}
	return false
}

// cause is the system's word for an error, without the path.
func cause(err error) string {
	var number syscall.Errno
	var p *fs.PathError
	switch {
	case errors.As(err, &number):
		return number.Error()
	case errors.As(err, &p):
		return p.Err.Error()
	}
	return err.Error()
}
