package batch

import "syscall"

// bySystem bounds the private memory of this process. Address space that is
// only reserved does not count, so the collector's reservations do no harm.
func bySystem(bytes int64) {
	var now syscall.Rlimit
	if syscall.Getrlimit(syscall.RLIMIT_DATA, &now) == nil && uint64(bytes) < now.Max {
		_ = syscall.Setrlimit(syscall.RLIMIT_DATA, &syscall.Rlimit{Cur: uint64(bytes), Max: now.Max})
	}
}
