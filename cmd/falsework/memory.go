package main

import (
	"os"
	"runtime/debug"
)

// Memory is collected by how much of it is no longer used, not by how often
// it doubled: a small part is done before the first collection, and a large
// one, whose tables are cheap to look through, does not need twice its size.
const (
	spare       = 64 << 20 // bytes that may lie unused
	perJob      = 40 << 20 // bytes that surveys and plan of any part hold
	perTriangle = 200      // bytes held at the fullest: records, meshes and what is to be written
)

// collectFor sets the collector for a part of so many triangles, unless the
// environment (GOGC) says what is wanted. Nothing is said of a part that is
// still to be read: 0.
func collectFor(triangles int) {
	if os.Getenv("GOGC") != "" {
		return
	}
	percent := 400
	if triangles > 0 {
		percent = max(100*spare/(perJob+perTriangle*triangles), 20)
	}
	debug.SetGCPercent(percent)
}
