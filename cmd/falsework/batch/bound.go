package batch

import (
	"io"
	"os"
	"runtime/debug"
	"runtime/metrics"
	"time"
)

// pause is how often the memory in use is looked at.
const pause = 20 * time.Millisecond

// Bound keeps this process within so many bytes of memory: softly by telling
// the collector, then by a look at what is in use every few milliseconds,
// which calls over and ends the process with the status it returns, and last,
// where the system offers it, by a bound of the system's.
func Bound(bytes int64, over func() int) {
	debug.SetMemoryLimit(bytes - bytes/8)
	// Stacks of threads and the runtime's own tables come on top.
	bySystem(bytes + bytes/4 + 256<<20)
	go func() {
		for {
			if inUse() > bytes {
				os.Exit(over())
			}
			time.Sleep(pause)
		}
	}()
}

// inUse returns the bytes that the process holds from the system.
func inUse() int64 {
	s := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"}}
	metrics.Read(s)
	return int64(s[0].Value.Uint64() - s[1].Value.Uint64())
}

// Serve calls stop when in ends, and end a while later, in case nobody heeds
// stop. A process of a part is told to stop that way; it also stops so when
// the one that started it is gone.
func Serve(in io.Reader, stop, end func()) {
	go func() {
		_, _ = io.Copy(io.Discard, in)
		stop()
		time.Sleep(2 * time.Second)
		end()
	}()
}
