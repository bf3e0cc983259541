package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// disk is a small disk of its own in memory, mounted for a test; the test is
// skipped where that is not permitted.
func disk(t *testing.T, size string) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("none", dir, "tmpfs", 0, "size="+size); err != nil {
		t.Skipf("no disk can be mounted here (%v): run as root to test full and read-only disks", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// run runs the program and returns its status and what it says.
func runProcess(t *testing.T, dir string, words ...string) (int, string) {
	t.Helper()
	out, err := falsework(t, dir, words...).CombinedOutput()
	return status(t, err), string(out)
}

// A full disk: the reason is said, the old file stays, nothing is left.
func TestFullDisk(t *testing.T) {
	parts := t.TempDir()
	if err := makeParts(parts); err != nil {
		t.Fatal(err)
	}
	// Blocks are 4 kB: the cube fits twice, the ribbed doorway not.
	small := disk(t, "16k")
	old := []byte("an old file")
	target := filepath.Join(small, "out.stl")
	if err := os.WriteFile(target, old, 0o666); err != nil {
		t.Fatal(err)
	}
	code, said := runProcess(t, parts, "rib", "doorway.stl", "-o", target)
	if code != exitUnusable || !strings.Contains(said, "cannot write "+target+": no space left on device") || strings.Count(said, "\n") != 1 {
		t.Errorf("status %d, %s", code, said)
	}
	if files := visible(t, small, true); len(files) != 1 || !bytes.Equal(files["out.stl"], old) {
		t.Errorf("%d files, the old one holds %q", len(files), files["out.stl"])
	}
}

// A disk that fills up in a batch: what fits is there, what does not has its
// reason, and there is a table.
func TestBatchOnFullDisk(t *testing.T) {
	dir := t.TempDir()
	in := filepath.Join(dir, "in")
	if err := makeParts(dir); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(in, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"doorway.stl", "cube.stl"} {
		if err := os.Rename(filepath.Join(dir, name), filepath.Join(in, name)); err != nil {
			t.Fatal(err)
		}
	}
	small := disk(t, "44k")
	if err := os.WriteFile(filepath.Join(small, "filler"), make([]byte, 36<<10), 0o666); err != nil {
		t.Fatal(err)
	}
	code, said := runProcess(t, dir, "batch", "in", "-o", small, "--jobs", "1")
	// There is no room for the summary either.
	if code != exitUnusable || !strings.Contains(said, "cannot write "+filepath.Join(small, "summary.csv")+": no space left on device") || !strings.Contains(said, "cannot write doorway-ribbed.stl: no space left on device") {
		t.Errorf("status %d, %s", code, said)
	}
	files := visible(t, small, true)
	delete(files, "filler")
	wholeFiles(t, files)
	if files["cube.stl"] == nil {
		t.Errorf("what fits is not there: %s", said)
	}
	// With room, the same command does the rest.
	if err := os.Remove(filepath.Join(small, "filler")); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("none", small, "tmpfs", syscall.MS_REMOUNT, "size=400k"); err != nil {
		t.Skipf("the disk cannot be made larger: %v", err)
	}
	code, said = runProcess(t, dir, "batch", "in", "-o", small)
	if code != 0 || !strings.Contains(said, "1 kept from an earlier run") {
		t.Errorf("status %d, %s", code, said)
	}
}

// A disk that may only be read.
func TestReadOnlyDisk(t *testing.T) {
	parts := t.TempDir()
	if err := makeParts(parts); err != nil {
		t.Fatal(err)
	}
	small := disk(t, "400k")
	if err := os.WriteFile(filepath.Join(small, "old-ribbed.stl"), []byte("old"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("none", small, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skipf("the disk cannot be made read-only: %v", err)
	}
	for _, c := range []struct {
		words []string
		want  string
	}{
		{[]string{"rib", "doorway.stl", "-o", filepath.Join(small, "x.stl")}, "read-only file system"},
		{[]string{"rib", "doorway.stl", "-o", filepath.Join(small, "old-ribbed.stl")}, "read-only file system"},
		{[]string{"batch", ".", "-o", small}, "cannot write to the folder " + small + ": read-only file system"},
		{[]string{"batch", ".", "-o", filepath.Join(small, "new")}, "read-only file system"},
	} {
		if code, said := runProcess(t, parts, c.words...); code != exitUnusable || !strings.Contains(said, c.want) {
			t.Errorf("%v: status %d, %s", c.words, code, said)
		}
	}
	if files := visible(t, small, true); len(files) != 1 || string(files["old-ribbed.stl"]) != "old" {
		t.Errorf("files %v", files)
	}
}
