package mesh

import "fmt"

// A FaultKind is a way in which a surface fails to bound a solid.
type FaultKind int

// The kinds of fault, worst first.
const (
	Empty       FaultKind = iota + 1 // no triangle
	Flat                             // no extent along some axis
	OpenEdge                         // an edge with one triangle
	Unbalanced                       // an edge of more than two, that do not pair off as neighbours
	Misoriented                      // an edge whose two triangles disagree about outside
	NoVolume                         // closed, but nothing inside
	InsideOut                        // a shell whose outside is in
	Duplicate                        // a triangle with the corners of another
	Degenerate                       // a triangle without area
	NonManifold                      // an edge of four, six, ... triangles that pair off: harmless
)

var faultNames = [...]string{
	Empty: "empty", Flat: "flat", OpenEdge: "open edge", Unbalanced: "unbalanced edge", Misoriented: "misoriented edge",
	NoVolume: "no volume", InsideOut: "inside-out shell", Duplicate: "duplicate triangle", Degenerate: "degenerate triangle",
	NonManifold: "non-manifold edge",
}

func (k FaultKind) String() string {
	if k > 0 && int(k) < len(faultNames) {
		return faultNames[k]
	}
	return fmt.Sprintf("fault %d", int(k))
}

// A Fault is one kind of fault of a surface, with how often it occurs and
// where it does first. It is an error of one line.
type Fault struct {
	Kind     FaultKind
	Count    int        // edges, triangles or shells
	Triangle int        // the first at fault, from 0; -1 where there is none
	At       [3]float64 // a point of it: the middle of the edge or triangle
}

// faultWords say what a kind means and what to do.
var faultWords = map[FaultKind][2]string{
	Empty:       {"the part has no triangles", "export it again"},
	Flat:        {"the part is flat", "export it as a solid"},
	OpenEdge:    {"the surface is open: %d edges belong to one triangle only", "close it in the program it was drawn in"},
	Unbalanced:  {"the surface is not the skin of a solid: at %d edges three or more triangles meet and do not pair off", "unite its bodies in the program it was drawn in"},
	Misoriented: {"the surface does not know its outside: triangles face opposite ways at %d edges", "make its facets face outwards in the program it was drawn in"},
	NoVolume:    {"the surface is closed but holds no volume", "export the part as a solid"},
	InsideOut:   {"%d shells are inside out", "turn their facets round in the program they were drawn in"},
	Duplicate:   {"%d triangles are there twice", "export the part again"},
	Degenerate:  {"%d triangles have no area", "export the part again"},
	NonManifold: {"%d edges belong to four or more triangles", "let bodies overlap or stay apart, not touch along an edge"},
}

func (f *Fault) Error() string {
	w := faultWords[f.Kind]
	s := w[0]
	switch f.Kind {
	case Empty, Flat, NoVolume:
		return s + "; " + w[1]
	}
	s = fmt.Sprintf(s, f.Count)
	return fmt.Sprintf("%s, the first at (%.4g, %.4g, %.4g) in triangle %d; %s", s, f.At[0], f.At[1], f.At[2], f.Triangle+1, w[1])
}
