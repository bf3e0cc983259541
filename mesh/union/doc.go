// Package union makes one closed oriented surface of a part and the solids
// added to it, cut from it, or shared with it.
//
// The guarantee is on the file: what [Unite] returns has float32 coordinates,
// so that reading it back changes nothing, and for a closed part
//
//   - every edge has one triangle on each side, no vertex is used twice by
//     surfaces that only touch there, and no triangle is without area;
//   - no two vertices have equal coordinates;
//   - Report.Volume = PartVolume + ToolVolume - Overlap, to rounding;
//   - a triangle with Source s >= 0 is the part's triangle s, bit for bit, and
//     these come first and in order;
//   - the same operands give the same result on any processor.
//
// Words used below. Operand: one of the two surfaces at hand. Tool: a solid
// added to the part; the tools are made one solid before they meet it. Cut: an
// edge of one operand passing a triangle of the other. Weave: the cuts, and
// the segments between them. Winding: how often a surface goes round a point;
// inside means that it is not zero. Level: the winding of the other operand at
// a vertex, relative to its neighbours.
//
// The stages, a file each: candidate triangles (gather, grid, tree), signs of
// edges against triangles by exact predicates (meet, side), the weave of cuts
// (weave), pieces of cut triangles (split), which of them stay (label),
// triangles of what stays (bridge, ears, patch), rounding and its repair
// (repair), and the check of the result (check). Tools that are united with a
// part are shifted by some microns first, so that they touch nothing by chance
// (shift); where a predicate is zero all the same, it is decided as if the tool
// had moved by a vanishing step (side). When a stage or the check objects,
// another shift is drawn, a bounded number of times. What is cut away or shared
// keeps its tool in place unless that fails.
//
// The check holds every result closed, free of triangles without area and of
// vertices in one place; that of Unite and Subtract also free of doubled edges.
//
// A part that overlaps itself where a tool meets it is taken shell by shell
// (cross, loose); what is left overlapping, or added as a shell of its own, is
// named in Report.Notes. An open or non-manifold edge that a tool meets, an
// opening into whose reach a tool comes (rim), a shell that is inside out and
// a tool that is broken (tool) are each a [*DefectError] with a place. Defects
// away from the tools stay as they came, and do not change the answer.
package union
