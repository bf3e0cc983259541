// Package stl reads and writes STL files, binary and ASCII.
//
// What it guarantees of reading: the two forms are told apart by content,
// never by the word "solid" alone; a count that the file declares is compared
// with its size and decides no allocation; time and memory are bounded by the
// length of the file; coordinates are finite and below [MaxCoordinate];
// every triangle of the file is one of the mesh, in order, however broken.
// Whatever is refused gives an [*Error] of one line.
//
// What it guarantees of writing: the same mesh gives the same bytes; a file
// is replaced whole or not at all; a triangle that came from a file unchanged
// leaves with its record as it was read, normal and attribute bytes too.
//
// Start at [ReadFile] and [WriteFile]. A file is in whatever unit its author
// meant; the format does not say.
package stl
