package atomicfile

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}

func read(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// only fails the test when dir holds anything but the named files.
func only(t *testing.T, dir string, names ...string) {
	t.Helper()
	es, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range es {
		got = append(got, e.Name())
	}
	if strings.Join(got, " ") != strings.Join(names, " ") {
		t.Errorf("directory holds %q, want %q", got, names)
	}
}

func TestWriteNewAndOld(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a part, \u6f6e.stl")
	for _, s := range []string{"one", "two", ""} {
		if err := Write(path, text(s)); err != nil {
			t.Fatal(err)
		}
		if got := read(t, path); got != s {
			t.Errorf("file holds %q, want %q", got, s)
		}
	}
	only(t, dir, filepath.Base(path))
}

func TestFailureLeavesTheOldFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "p")
	if err := Write(path, text("old")); err != nil {
		t.Fatal(err)
	}
	cause := errors.New("no")
	err := Write(path, func(w io.Writer) error {
		io.WriteString(w, strings.Repeat("x", 1<<20))
		return cause
	})
	if !errors.Is(err, cause) {
		t.Errorf("error %v, want the cause", err)
	}
	func() {
		defer func() {
			if recover() == nil {
				t.Error("the panic was swallowed")
			}
		}()
		Write(path, func(io.Writer) error { panic("no") })
	}()
	if read(t, path) != "old" {
		t.Error("the old file was touched")
	}
	only(t, dir, "p")
}

func TestPermissionsAreKept(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no permission bits here")
	}
	path := filepath.Join(t.TempDir(), "p")
	if err := os.WriteFile(path, nil, 0o640); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(path, 0o640); err != nil {
		t.Fatal(err)
	}
	if err := Write(path, text("new")); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(path)
	if err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("mode %v, err %v", info.Mode(), err)
	}
}

func TestTargetsThatCannotBeReplaced(t *testing.T) {
	dir := t.TempDir()
	if err := Write(dir, text("x")); err == nil || !strings.Contains(err.Error(), "directory") {
		t.Errorf("directory: %v", err)
	}
	missing := filepath.Join(dir, "no", "p")
	if err := Write(missing, text("x")); !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), missing) || strings.Contains(err.Error(), Prefix) {
		t.Errorf("missing directory: %v", err)
	}
	if os.Geteuid() == 0 {
		t.Log("running as root: the read-only cases are skipped")
		return
	}
	path := filepath.Join(dir, "p")
	if err := os.WriteFile(path, []byte("old"), 0o400); err != nil {
		t.Fatal(err)
	}
	if err := Write(path, text("x")); !errors.Is(err, fs.ErrPermission) || read(t, path) != "old" {
		t.Errorf("read-only file: %v", err)
	}
}

func TestLinksAreFollowed(t *testing.T) {
	dir := t.TempDir()
	path, link := filepath.Join(dir, "p"), filepath.Join(dir, "q")
	if err := Write(path, text("old")); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("p", link); err != nil {
		t.Skip("no symbolic links here")
	}
	if err := Write(link, text("new")); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&fs.ModeSymlink == 0 || read(t, path) != "new" {
		t.Error("the link was replaced in place of its target")
	}
}

func TestFullDevice(t *testing.T) {
	if _, err := os.Stat("/dev/full"); err != nil {
		t.Skip("no /dev/full here")
	}
	if err := Write("/dev/full", text("x")); err == nil || !strings.Contains(err.Error(), "/dev/full") {
		t.Errorf("full device: %v", err)
	}
	if err := Write("/dev/null", text("x")); err != nil {
		t.Errorf("null device: %v", err)
	}
}
