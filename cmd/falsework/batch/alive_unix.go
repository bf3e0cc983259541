//go:build unix

package batch

import (
	"errors"
	"syscall"
)

// alive tells whether there is a process of that number.
func alive(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
