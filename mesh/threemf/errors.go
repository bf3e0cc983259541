package threemf

import "fmt"

// A Kind is the kind of reason for which a package is refused.
type Kind int

// The kinds of reason.
const (
	Foreign     Kind = iota + 1 // no ZIP package
	Damaged                     // a ZIP or XML that cannot be followed
	Forbidden                   // against the core specification
	Unsupported                 // an extension that the file requires
	Oversize                    // beyond the bounds set for a file of this size
	Empty                       // nothing to print in it
	Unreadable                  // a directory, or a file that changes while it is read
)

var kindNames = map[Kind]string{Foreign: "foreign", Damaged: "damaged", Forbidden: "forbidden", Unsupported: "unsupported",
	Oversize: "oversize", Empty: "empty", Unreadable: "unreadable"}

func (k Kind) String() string { return kindNames[k] }

// Clauses of the 3MF core specification, version 1.3 (ISO/IEC 25422). The
// numbers are from memory: the text was not at hand.
const (
	clausePayload    = "2.1"     // the package and its root model
	clauseExtensions = "2.3.1"   // extensions that a file requires
	clauseXML        = "2.3.2"   // encoding, no document type
	clauseMatrix     = "3.3"     // 3D matrices
	clauseModel      = "3.4"     // the model element
	clauseResources  = "3.4.2"   // resources, their numbers
	clauseBuild      = "3.4.3"   // the build
	clauseItem       = "3.4.3.1" // items of the build
	clauseObject     = "4"       // objects
	clauseMesh       = "4.1"     // meshes
	clauseVertex     = "4.1.3.1" // vertices
	clauseTriangle   = "4.1.4.1" // triangles
	clauseComponent  = "4.2.1"   // components
)

// An Error says why a package cannot be read, where, and what to do: one
// line.
type Error struct {
	Kind   Kind
	Name   string // of the file, may be empty
	Part   string // of the package, may be empty
	Line   int    // of the part's text from 1, 0 where none is meant
	Clause string // of the core specification, empty unless it forbids this
	Text   string
}

func (e *Error) Error() string {
	s := e.Text
	switch {
	case e.Line > 0:
		s = fmt.Sprintf("%s line %d: %s", e.Part, e.Line, s)
	case e.Part != "":
		s = e.Part + ": " + s
	}
	if e.Name != "" {
		s = e.Name + ": " + s
	}
	if e.Clause != "" {
		s += fmt.Sprintf(" (3MF core specification, clause %s)", e.Clause)
	}
	return s
}

func forbidden(clause, format string, a ...any) *Error {
	return &Error{Kind: Forbidden, Clause: clause, Text: fmt.Sprintf(format, a...)}
}

func oversize(format string, a ...any) *Error {
	return &Error{Kind: Oversize, Text: fmt.Sprintf(format, a...)}
}

func damaged(format string, a ...any) *Error {
	return &Error{Kind: Damaged, Text: fmt.Sprintf(format, a...)}
}
