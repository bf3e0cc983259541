// Package whole reads files whole, or says why it cannot. A file that changes
// while it is read gives an error, never a mixture.
package whole

import (
	"context"
	"errors"
	"io"
	"os"
	"sync/atomic"

	"falsework/mesh/par"
)

// Errors that are no fault of the system.
var (
	ErrDirectory = errors.New("is a directory")
	ErrChanged   = errors.New("changed while it was read")
	ErrTooLarge  = errors.New("is too large")
)

// File returns the bytes of the file at path, at most most of them. The error
// is one of those above, one of the system, or that of ctx.
func File(ctx context.Context, path string, most int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	before, err := f.Stat()
	switch {
	case err != nil:
		return nil, err
	case before.IsDir():
		return nil, ErrDirectory
	case !before.Mode().IsRegular():
		return Stream(ctx, f)
	case before.Size() > most:
		return nil, ErrTooLarge
	}
	data := make([]byte, before.Size())
	var failed atomic.Pointer[error]
	err = par.Range(ctx, len(data), 4<<20, func(lo, hi int) {
		if _, err := f.ReadAt(data[lo:hi], int64(lo)); err != nil {
			failed.CompareAndSwap(nil, &err)
		}
	})
	if err != nil {
		return nil, err
	}
	after, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if p := failed.Load(); p != nil && !errors.Is(*p, io.EOF) {
		return nil, *p
	} else if p != nil || after.Size() != before.Size() || !after.ModTime().Equal(before.ModTime()) {
		return nil, ErrChanged
	}
	return data, nil
}

// Stream returns all that r gives.
func Stream(ctx context.Context, r io.Reader) ([]byte, error) {
	return io.ReadAll(stopping{ctx, r})
}

// stopping is a reader that ends with the error of its context.
type stopping struct {
	ctx context.Context
	r   io.Reader
}

func (s stopping) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.r.Read(p)
}
