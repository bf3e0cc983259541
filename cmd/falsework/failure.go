package main

import (
	"context"
	"errors"
	"fmt"

	"falsework/cmd/falsework/job"
)

// What the exit status says; see the help text.
const (
	exitDone        = 0
	exitOurFault    = 1
	exitUsage       = 2
	exitLeft        = 3
	exitUnusable    = 4
	exitSomeFailed  = 5
	exitInterrupted = 130
)

// A failure ends a command with an exit status. A failure without a message
// has said what there was to say.
type failure struct {
	code int
	err  error
}

func (f *failure) Error() string {
	if f.err == nil {
		return fmt.Sprintf("exit status %d", f.code)
	}
	return f.err.Error()
}

func (f *failure) Unwrap() error { return f.err }

// usage is a failure of how the program was called.
func usage(format string, a ...any) error {
	return &failure{exitUsage, fmt.Errorf(format, a...)}
}

// codeOf returns the exit status for an error of a command.
func codeOf(err error) int {
	var f *failure
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &f):
		return f.code
	case errors.Is(err, context.Canceled):
		return exitInterrupted
	case errors.Is(err, job.ErrUnusable):
		return exitUnusable
	}
	return exitOurFault
}
