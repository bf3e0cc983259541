//go:build !unix

package batch

import "os"

// alive tells whether there is a process of that number.
func alive(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	_ = p.Release()
	return true
}
