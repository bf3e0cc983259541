// Package union makes one closed oriented surface of a part and the solids
// added to it, cut from it, or shared with it. Start at [Unite].
//
// Words used below. Operand: one of the two surfaces at hand, A the part and B
// the tool. Tool: a solid added to the part; the tools are made one solid
// before they meet it. Cut: an edge of one operand passing a triangle of the
// other. Weave: the cuts, and the segments between them. Winding: how often a
// surface goes round a point; inside means that it is not zero. Level: the
// winding of the other operand at a vertex, relative to its neighbours. Rim:
// where a surface is open. Patch: the new part of a surface. Unit in the last
// place: the step from a coordinate to the next one that a file can hold.
//
// The guarantee is on the file: what [Unite] returns has float32 coordinates,
// so that reading it back changes nothing, and for a closed part
//
//   - every edge has one triangle on each side, no new vertex is used twice by
//     surfaces that only touch there, and no triangle is without area;
//   - no two vertices have equal coordinates;
//   - Report.Volume = PartVolume + ToolVolume - Overlap: to 1e-9 of ToolVolume
//     before rounding, to 1e-4 after, or to a unit in the last place times the
//     new area where that is more;
//   - what lies in the part or in a tool lies in the result, and nothing else;
//   - a triangle with Source s >= 0 is the part's triangle s, bit for bit, and
//     these come first and in order;
//   - the same operands give the same result, to the bit, on any processor and
//     any number of them;
//   - the order of the tools, a quarter turn or a mirror of all, and triangles
//     split in themselves change neither volume nor genus, but for the shift.
//
// The stages, a file each: tools made one solid (combine), candidate triangles
// (gather, grid, tree), signs of
// edges against triangles by exact predicates (meet, side), the weave of cuts
// (weave), pieces of cut triangles (split), which of them stay (label),
// triangles of what stays (bridge, pinch, visit, ears, blunt, patch), rounding
// and its repair (repair), and the check of the result (check). Tools that are united with a
// part are shifted by some microns first, so that they touch nothing by chance
// (shift); where a predicate is zero all the same, it is decided as if the tool
// had moved by a vanishing step (side). When a stage or the check objects,
// another shift is drawn, a bounded number of times. What is cut away, shared
// or made one tool keeps its place: there each vertex of the tool moves by a
// vanishing step of its own, outwards, or inwards where it is shared, so that
// flush faces leave nothing between them (motion, pinch). Only when that fails
// is it moved by microns.
//
// The check holds every result closed, free of triangles without area, of
// vertices in one place, and of skins: places wider than a few hundred units in
// the last place where two faces have nothing between them (skin). What would
// keep one whatever is tried is refused with its place; a union with a part
// keeps it, and Report.Notes names it. The result of Unite, Subtract and
// Combine is also free of doubled edges and of new vertices where surfaces only
// touch.
//
// A part that overlaps itself where a tool meets it is taken shell by shell
// (cross, loose); what is left overlapping, or added as a shell of its own, is
// named in Report.Notes. An open or non-manifold edge that a tool meets, an
// opening into whose reach a tool comes (rim), a shell that is inside out and
// a tool that is broken (tool) are each a [*DefectError] with a place. Defects
// away from the tools stay as they came, and do not change the answer.
package union
