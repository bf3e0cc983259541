// Package span reads a part the way a filament printer builds it, layer on
// layer, and finds every ceiling that hangs in the air: how far it must
// bridge, where it is held, and whether it needs ribs. It knows nothing of
// ribs. Start reading at [Run].
//
// # Terms
//
// S is the section of the part on the mid-plane of a layer, d how far a layer
// may stand out beyond the one below and carry itself: the distance of the two
// mid-planes times the tangent of the slope limit and a hair (0.15 degrees).
//
//   - U of a layer: S less S of the layer below grown by d. What hangs.
//   - Footprint: what the layer adds within d of U. Footprints that touch in
//     plan and follow one another in height make a ceiling.
//   - Held rim: border of a ceiling on material that reaches the bed when the
//     ceiling is laid, and does not stand on the ceiling itself. Free rim: the
//     rest.
//   - Reach: the shortest way inside the footprint to a held rim.
//   - Strand: the shortest way a bead through a point can be carried at both
//     ends, along a straight chord or over a ridge between two held rims. Two
//     ways round a hole and back to one wall are none.
//   - Span: the longest of the strands that are needed.
//   - Hang: the distance to what is held or carried by a strand within the
//     limit, less what the rise of the underside carries by itself. A ceiling
//     needs ribs when its hang passes the ledge.
//
// # The way through
//
// Facets tell which layers can hang (layers.go); those are cut and clipped
// (hang.go); what begins in mid-air is followed until it is carried
// (ground.go); pieces of layers become ceilings (join.go, chart.go); each
// ceiling is laid out on a lattice with its exact border (ceiling.go, sheet.go)
// and measured there (geodesic.go, chord.go, strand.go, verdict.go); judge.go
// puts the verdict into words. calibrate.go reads the limit off a test print.
//
// # What it guarantees
//
//   - Layers are skipped only where nothing can hang: the answer is that of a
//     survey that skips none.
//   - Lengths along flat ceilings hold to 0.2 mm, arches and domes to 0.5 mm or
//     1 %, strips along curved walls to 0.7 mm, however the part is turned
//     about z, mirrored, moved, subdivided or sliced. The depth of a ledge whose
//     underside rises depends on the layer height by as much as two layers may
//     stand out. A verdict that hangs on less says that it is at the limit.
//   - The same part and settings give the same numbers on any number of cores.
//   - Nothing is printed, nothing global is kept, no input makes it panic.
//
// # What it does not see
//
// What is narrower than a bead, beside a wider ceiling or alone, is left out:
// no printer lays it. A blade of more, held somewhere, that hangs below a ceiling
// by less than the rise that joins counts as part of it. A string may turn a
// corner away from its ridge, as no bead does. What touches a wall by less than a
// bead is not held there. Where a ceiling winds over itself, each turn counts the one
// before as printed.
package span
