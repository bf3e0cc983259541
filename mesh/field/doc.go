// Package field makes a closed surface of one that cannot be mended, by way
// of a signed distance field: where the part is, is asked of the generalised
// winding number, which open edges, overlaps and stray triangles do not
// mislead for long; how far its surface is, of the triangles themselves; and
// a new surface is drawn at a stated resolution.
//
// What it guarantees: the result is closed and oriented by [mesh.Mesh.Audit];
// it lies near the input, and how near is measured and reported, both ways.
// It is approximate everywhere: edges are cut off by about the resolution, no
// triangle of the input survives, walls much thinner than the resolution may
// be lost.
//
// Start at [Resample]. This is the one package that knows the library for
// signed distance fields.
//
// Sources: winding numbers, A. Jacobson, L. Kavan and O. Sorkine-Hornung,
// "Robust Inside-Outside Segmentation using Generalized Winding Numbers",
// 2013; far triangles taken together as a dipole, G. Barill and others, "Fast
// Winding Numbers for Soups and Clouds", 2018; solid angle, A. Van Oosterom
// and J. Strackee, 1983; nearest point on a triangle, C. Ericson, "Real-Time
// Collision Detection", 2005, section 5.1.5.
package field
