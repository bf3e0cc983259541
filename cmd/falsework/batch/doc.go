// Package batch takes a folder of parts through the program one by one: it
// finds the parts, works on each in a process of its own, puts results in
// place and remembers them.
//
// What it guarantees: a panic, a bound of memory or time that is passed, or a
// crash in one part costs that part alone and is told as its reason; the
// processors are shared out among the processes, never given twice; a result
// appears in the folder whole or not at all, with everything that belongs to
// it; a part is passed over only when its bytes, the settings and the program
// are those of a success on record and the result's files are still, byte for
// byte, those that were written. A process of a part stops when its standard
// input ends, so that none outlives the program that started it.
//
// Start reading at [Run.Do]; [Find] lists the parts; the other side, within
// the process of a part, is [Serve].
package batch
