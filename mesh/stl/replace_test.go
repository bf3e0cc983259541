package stl

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"falsework/mesh/meshtest"
)

// A file that is replaced by a rename while it is read is read as one version
// or the other, or refused as one that changes. One that is written over in
// place is never taken for a part while it is not whole. (Versions of one
// length, written over within a tick of the system's clock, cannot be told
// apart by anyone who only reads.)
func TestReplacedWhileRead(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "p.stl")
	versions := [][]byte{
		written(t, meshtest.Sphere(10, 60), Source{}),
		written(t, meshtest.Sphere(11, 60), Source{}), // as long
		written(t, meshtest.Sphere(12, 90), Source{}),
	}
	if err := os.WriteFile(path, versions[0], 0o666); err != nil {
		t.Fatal(err)
	}
	for _, how := range []string{"renamed", "in place"} {
		stop := make(chan struct{})
		var wg sync.WaitGroup
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := 0; ; i++ {
				select {
				case <-stop:
					return
				default:
				}
				to := path
				if how == "renamed" {
					to = filepath.Join(dir, "next")
				}
				if err := os.WriteFile(to, versions[i%len(versions)], 0o666); err != nil {
					t.Error(err)
					return
				}
				if to != path {
					if err := os.Rename(to, path); err != nil {
						t.Error(err)
						return
					}
				}
			}
		}()
		whole, refused := 0, 0
		for range 300 {
			data, err := Load(bg, path)
			var e *Error
			switch {
			case errors.As(err, &e) && strings.Contains(e.Text, "changed while it was read"):
				refused++
			case err != nil:
				t.Errorf("%s: %v", how, err)
			case how == "renamed" || len(data) > 84:
				ok := false
				for _, v := range versions {
					ok = ok || bytes.Equal(v, data)
				}
				if ok {
					whole++
				} else if how == "renamed" {
					t.Fatalf("%s: %d bytes of no version", how, len(data))
				} else if _, err := Parse(bg, data, "p"); err == nil && len(data) != len(versions[0]) {
					t.Fatalf("%s: %d bytes of no version were taken for a part", how, len(data))
				}
			}
		}
		close(stop)
		wg.Wait()
		t.Logf("%s: %d whole, %d refused", how, whole, refused)
		if how == "renamed" && whole+refused != 300 {
			t.Errorf("%d whole, %d refused", whole, refused)
		}
	}
}
