package stl

import "fmt"

// A Kind is the kind of reason for which a file is refused.
type Kind int

// The kinds of reason.
const (
	Empty      Kind = iota + 1 // no bytes, or no triangle
	Foreign                    // neither form of STL
	Mismatch                   // size and declared count disagree
	Truncated                  // ASCII that ends before its last endsolid
	Syntax                     // ASCII with a word where another should be
	BadNumber                  // a coordinate not finite, huge, or no number
	TooLarge                   // more triangles than a mesh may have
	Unreadable                 // a directory, or a file that changes while it is read
)

var kindNames = map[Kind]string{Empty: "empty", Foreign: "foreign", Mismatch: "mismatch", Truncated: "truncated",
	Syntax: "syntax", BadNumber: "bad number", TooLarge: "too large", Unreadable: "unreadable"}

func (k Kind) String() string { return kindNames[k] }

// An Error says why a file cannot be read, where, and what to do: one line.
type Error struct {
	Kind     Kind
	Name     string // of the file, may be empty
	Triangle int    // its number in the file from 1, 0 where none is meant
	Line     int    // of an ASCII file from 1, 0 otherwise
	Text     string
}

func (e *Error) Error() string {
	s := e.Text
	switch {
	case e.Line > 0:
		s = fmt.Sprintf("line %d: %s", e.Line, s)
	case e.Triangle > 0:
		s = fmt.Sprintf("triangle %d: %s", e.Triangle, s)
	}
	if e.Name != "" {
		s = e.Name + ": " + s
	}
	return s
}
