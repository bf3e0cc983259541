// Package threemf reads and writes 3MF files, the open format of the 3MF
// Consortium (3MF core specification, published as ISO/IEC 25422): a ZIP
// package with a model in XML. It is the one place that knows the library
// go3mf.
//
// What it guarantees of writing: the same objects give the same bytes, on any
// machine and at any time; coordinates are printed so that they read back bit
// for bit; lengths are millimetres; a failed write leaves nothing that could
// be taken for a file (see package atomicfile).
//
// Start at [Write].
package threemf
