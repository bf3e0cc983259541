// Package meshfile writes surfaces to files of any format that the program
// knows, and reads them back: binary STL by package stl, 3MF by package
// threemf.
//
// What it guarantees: a file is replaced whole or not at all; the format to
// write follows from the extension of the file's name; the same objects give
// the same bytes. What the packages for the formats guarantee holds here, too.
//
// Start at [Write].
package meshfile
