// Package section cuts meshes by planes into clean polygons, and clips,
// offsets, measures, rasters and triangulates polygons.
//
// # What it guarantees
//
//   - A [Polygons] made here has simple rings: outer rings counter-clockwise,
//     holes clockwise, no ring crossing itself or another. Rings may touch, in
//     points that both have. Ring order and start points are fixed, so that the same
//     input gives the same bytes.
//   - No function panics on any input. Rings with non-finite coordinates are
//     left out; rings given in any orientation, crossing or overlapping, are
//     read by their winding number (material where it is not zero).
//   - Clipping is exact on an integer grid (see [Grid]): inputs are rounded to
//     the grid once, crossings are rounded to it by snap rounding, and
//     everything after that is decided in exact integer arithmetic. The border
//     of a result lies within one grid step of the exact one, about a
//     nanometre for parts up to a metre across.
//   - A vertex exactly on a cutting plane counts as above it.
//
// # Where to start
//
// [NewSlicer] and [Slicer.At] for horizontal cuts, [NewCutter] and [Vertical]
// for vertical ones, [Union], [Subtract], [Intersect] and [Offset] for regions,
// [Polygons] for what can be asked of one. The machinery behind the clipping is
// in node.go (edges split where they meet), sweep.go (winding numbers on both
// sides of every edge) and chain.go (edges to rings).
//
// # Source of the method
//
// Snap rounding after J. D. Hobby, "Practical segment intersection with finite
// precision output", Computational Geometry 13 (1999): every crossing is
// rounded to the centre of its grid cell, every edge that passes through a cell
// holding a vertex is led through that vertex, and the result has no crossings.
package section
