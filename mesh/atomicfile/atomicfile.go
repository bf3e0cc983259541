// Package atomicfile replaces files whole or not at all. What is written goes
// to a temporary file beside its target; only when every byte has reached the
// disk does it take the target's name. A crash, a full disk or an interrupt
// at any moment leaves the old file, or the new one, never a part of either.
//
// Start at [Write].
package atomicfile

import (
	"bufio"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
)

// Prefix begins the name of every temporary file; only a process killed while
// it writes leaves one behind.
const Prefix = ".falsework-"

// Write replaces the file at path by what fill writes. When fill, the disk or
// the system fails, the error is returned, the temporary file is removed and
// the target is as it was.
//
// A symbolic link is followed: the file it points to is replaced. An existing
// file keeps its permissions; one that may not be written is not replaced. A
// device or pipe is written to directly, since it cannot be replaced.
func Write(path string, fill func(io.Writer) error) (err error) {
	f, err := create(path)
	if err != nil {
		return err
	}
	defer func() {
		if p := recover(); p != nil {
			f.abort()
			panic(p)
		}
	}()
	b := bufio.NewWriterSize(f.temp, 1<<16)
	if err = fill(b); err == nil {
		err = b.Flush()
	}
	if err != nil {
		f.abort()
		return describe(path, err)
	}
	return describe(path, f.commit())
}

// describe names the target, not the temporary file, in an error of the
// system. The cause stays within reach of errors.Is.
func describe(path string, err error) error {
	var p *fs.PathError
	var l *os.LinkError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &p):
		return fmt.Errorf("cannot write %s: %w", path, p.Err)
	case errors.As(err, &l):
		return fmt.Errorf("cannot write %s: %w", path, l.Err)
	}
	return err
}

// A file is a target being written.
type file struct {
	target string
	temp   *os.File
	direct bool // temp is the target itself, a device or pipe
}

func create(path string) (*file, error) {
	target, mode, device, err := look(path)
	if err != nil {
		return nil, describe(path, err)
	}
	if device {
		f, err := os.OpenFile(target, os.O_WRONLY, 0)
		if err != nil {
			return nil, describe(path, err)
		}
		return &file{target: target, temp: f, direct: true}, nil
	}
	temp, err := createTemp(filepath.Dir(target))
	if err != nil {
		return nil, describe(path, err)
	}
	f := &file{target: target, temp: temp}
	if mode != 0 && runtime.GOOS != "windows" {
		if err := temp.Chmod(mode); err != nil {
			f.abort()
			return nil, describe(path, err)
		}
	}
	return f, nil
}

// look returns the file that a path leads to through symbolic links, and the
// permissions of one that exists and may be replaced.
func look(path string) (target string, mode fs.FileMode, device bool, err error) {
	target = path
	if real, err := filepath.EvalSymlinks(path); err == nil {
		target = real
	}
	switch info, err := os.Stat(target); {
	case errors.Is(err, fs.ErrNotExist):
		return target, 0, false, nil
	case err != nil:
		return "", 0, false, err
	case info.IsDir():
		return "", 0, false, fmt.Errorf("cannot write %s: it is a directory; name a file in it", path)
	case !info.Mode().IsRegular():
		return target, 0, true, nil
	default:
		// A rename would replace a file that its owner has made read-only.
		f, err := os.OpenFile(target, os.O_WRONLY, 0)
		if err != nil {
			return "", 0, false, err
		}
		return target, info.Mode().Perm(), false, f.Close()
	}
}

// Move gives a whole file, as written by [Write], another name on the same
// disk, in place of what has it. The target is treated as Write does, but a
// device or pipe is refused.
func Move(from, path string) error {
	target, mode, device, err := look(path)
	switch {
	case err != nil:
		return describe(path, err)
	case device:
		return fmt.Errorf("cannot write %s: it is a device or pipe; name a file", path)
	}
	if mode != 0 && runtime.GOOS != "windows" {
		if err := os.Chmod(from, mode); err != nil {
			return describe(path, err)
		}
	}
	if err := os.Rename(from, target); err != nil {
		return describe(path, err)
	}
	syncDir(filepath.Dir(target))
	return nil
}

// createTemp makes a new file with the permissions any new file gets.
func createTemp(dir string) (*os.File, error) {
	for try := 0; ; try++ {
		var r [8]byte
		rand.Read(r[:])
		f, err := os.OpenFile(filepath.Join(dir, Prefix+hex.EncodeToString(r[:])), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil || !errors.Is(err, fs.ErrExist) || try == 100 {
			return f, err
		}
	}
}

// abort removes the temporary file. Errors of the removal would hide the one
// that led here.
func (f *file) abort() {
	f.temp.Close()
	if !f.direct {
		os.Remove(f.temp.Name())
	}
}

// commit gives the temporary file the target's name.
func (f *file) commit() error {
	if f.direct {
		return f.temp.Close()
	}
	err := f.temp.Sync()
	if e := f.temp.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.temp.Name(), f.target)
	}
	if err != nil {
		os.Remove(f.temp.Name())
		return err
	}
	syncDir(filepath.Dir(f.target))
	return nil
}

// syncDir makes the rename itself last. Not every system lets a directory be
// synced, and the file is whole either way, so an error is of no use to
// anyone.
func syncDir(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		d.Close()
	}
}
