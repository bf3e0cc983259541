package job

import (
	"errors"
	"fmt"
	"strings"
)

// ErrUnusable is matched by errors that lie in the part or in where it is to
// be written, not in the program.
var ErrUnusable = errors.New("the part cannot be used")

// ErrDisagrees is matched when the second survey does not find what the plan
// says, so that nothing may be written.
var ErrDisagrees = errors.New("the result does not survive its own survey")

// marked is an error of a kind that keeps its own words.
type marked struct {
	kind error
	error
}

func (m marked) Is(target error) bool { return target == m.kind }
func (m marked) Unwrap() error        { return m.error }

// Unusable marks an error as the part's.
func Unusable(err error) error {
	if err == nil {
		return nil
	}
	return marked{ErrUnusable, err}
}

func unusable(format string, a ...any) error { return Unusable(fmt.Errorf(format, a...)) }

// OneLine puts a message on one line.
func OneLine(text string) string { return strings.Join(strings.Fields(text), " ") }
