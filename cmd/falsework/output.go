package main

import (
	"bufio"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"sync/atomic"

	"falsework/cmd/falsework/job"
	"falsework/mesh/atomicfile"
	"falsework/mesh/meshfile"
)

// stream is the name that stands for standard input and output.
const stream = "-"

// A target is a file that a command was asked to write.
type target struct {
	flag string // that names it: "-o", "--plan"
	path string // empty when not asked for
}

// checkTargets refuses, before any work is done, targets that cannot all be
// written as asked. Input is the part's file.
func (c *call) checkTargets(input string, list ...target) error {
	in, _ := os.Stat(input)
	seen := map[string]string{}
	if c.json {
		seen[stream] = "--json"
	}
	for _, t := range list {
		if t.path == "" {
			continue
		}
		key := t.path
		if key != stream {
			if abs, err := filepath.Abs(key); err == nil {
				key = abs
			}
		}
		if other, twice := seen[key]; twice {
			if key == stream {
				return usage("%s and %s - both go to standard output; give one of them a file", other, t.flag)
			}
			return usage("%s and %s name the same file %s", other, t.flag, t.path)
		}
		seen[key] = t.flag
		if t.path == stream {
			continue
		}
		info, err := os.Stat(t.path)
		if err == nil && info.IsDir() {
			return usage("%s %s is a folder; name a file in it", t.flag, t.path)
		}
		if err == nil && input != stream && in != nil && os.SameFile(in, info) {
			return usage("%s %s is the part itself; give the result another name", t.flag, t.path)
		}
		if dir := filepath.Dir(t.path); err != nil {
			if d, err := os.Stat(dir); err != nil || !d.IsDir() {
				return usage("%s %s: there is no folder %s; make it first", t.flag, t.path, dir)
			}
		}
	}
	return nil
}

// formatOf returns the format of a surface to be written, before any work is
// done. A terminal gets none.
func (c *call) formatOf(t target) (meshfile.Format, error) {
	if t.path == stream {
		if isTerminal(c.out) {
			return 0, usage("%s - would write a mesh on the terminal; send it to a file or another program", t.flag)
		}
		return meshfile.STL, nil
	}
	f, err := meshfile.FormatOf(t.path, meshfile.STL)
	if err != nil {
		return 0, usage("%s %v", t.flag, err)
	}
	return f, nil
}

// toStream tells whether one of the targets is standard output.
func toStream(list ...target) bool {
	for _, t := range list {
		if t.path == stream {
			return true
		}
	}
	return false
}

// write puts a file in place, whole or not at all.
func (c *call) write(ctx context.Context, path string, fill func(io.Writer) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if path == stream {
		b := bufio.NewWriter(c.out)
		if err := fill(watched{ctx, b}); err != nil {
			return err
		}
		return b.Flush()
	}
	if c.writing != nil {
		c.writing.Add(1)
		defer c.writing.Add(-1)
	}
	err := atomicfile.Write(path, func(w io.Writer) error { return fill(watched{ctx, w}) })
	if err == nil || errors.Is(err, context.Canceled) {
		return err
	}
	return job.Unusable(err)
}

// watched stops writing when the work is interrupted, so that a temporary
// file is taken away again at once.
type watched struct {
	ctx context.Context
	io.Writer
}

func (w watched) Write(p []byte) (int, error) {
	if err := w.ctx.Err(); err != nil {
		return 0, err
	}
	return w.Writer.Write(p)
}

// writing counts the files that are being written.
type writing = atomic.Int32
