// Package web finds the shape of one rib: a thin vertical web seen in its own
// plane, which hangs under a ceiling and stands on, or springs from, what has
// been printed below. It is a problem of two dimensions, the run u along the
// rib and the height z; it knows neither the plan of the part nor the other
// ribs.
//
// What it guarantees: every piece of an outline ends on material that the
// caller calls grounded, or on the bed; no underside of a web is flatter than
// the slope limit except where it lies on the part; where a web holds it enters
// the part by the embed, where it does not it keeps a visible gap; coordinates
// are multiples of a micron; the same site gives the same bytes.
//
// Words: the crest is the band right under the ceiling. Below it the web opens
// in pointed arches; the point is the apex, the sloping sides are flanks. What
// stands between two arches is a leg, what springs from a wall is a corbel.
//
// Start reading at [Shape]: profiles (profile.go) read ceiling and floor off
// the section, the scheme (scheme.go) chooses arches, legs and corbels, the
// outline (outline.go) draws them, and the walk (stability.go) says where
// braces must hold them while they print.
package web
