package stl

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strconv"

	"falsework/mesh"
)

// A scanner gives the words of a text and counts its lines.
type scanner struct {
	data []byte
	pos  int
	line int // line breaks passed; a lone CR is one too
}

// next returns the next word, empty at the end.
func (s *scanner) next() []byte {
	for s.pos < len(s.data) && s.data[s.pos] <= ' ' {
		s.step()
	}
	from := s.pos
	for s.pos < len(s.data) && s.data[s.pos] > ' ' {
		s.pos++
	}
	return s.data[from:s.pos]
}

// step passes one byte.
func (s *scanner) step() {
	c := s.data[s.pos]
	s.pos++
	if c == '\n' || c == '\r' && (s.pos == len(s.data) || s.data[s.pos] != '\n') {
		s.line++
	}
}

// restOfLine returns what is left of the line, without blanks around it.
func (s *scanner) restOfLine() []byte {
	from := s.pos
	for s.pos < len(s.data) && s.data[s.pos] != '\n' && s.data[s.pos] != '\r' {
		s.pos++
	}
	return bytes.TrimSpace(s.data[from:s.pos])
}

// is compares a word with a keyword in lower case, whatever the word's case.
func is(word []byte, keyword string) bool {
	if len(word) != len(keyword) {
		return false
	}
	for i, c := range word {
		if 'A' <= c && c <= 'Z' {
			c += 'a' - 'A'
		}
		if c != keyword[i] {
			return false
		}
	}
	return true
}

// parseASCII reads one or more solids.
func parseASCII(ctx context.Context, text []byte) (*File, error) {
	p := parser{scanner: scanner{data: text}, f: &File{Format: ASCII}}
	for {
		w := p.next()
		switch {
		case len(w) == 0:
			return p.f, nil
		case !is(w, "solid"):
			return nil, p.unexpected(w, "solid")
		}
		if err := p.solid(ctx); err != nil {
			return nil, err
		}
	}
}

type parser struct {
	scanner
	f *File
}

// solid reads from the name after the word solid to that after endsolid.
func (p *parser) solid(ctx context.Context) error {
	begin := p.line
	s := Solid{Name: string(p.restOfLine()), First: len(p.f.Records) / mesh.RecordSize}
	for {
		w := p.next()
		switch {
		case is(w, "facet"):
			if err := p.facet(); err != nil {
				return err
			}
			if s.Count++; s.Count&0xfff == 0 && ctx.Err() != nil {
				return ctx.Err()
			}
			if s.First+s.Count > mesh.MaxTriangles {
				return tooLarge("", "it")
			}
		case is(w, "endsolid"):
			p.restOfLine()
			p.f.Solids = append(p.f.Solids, s)
			return nil
		case len(w) == 0:
			return &Error{Kind: Truncated, Line: p.line + 1, Text: fmt.Sprintf(
				"the file ends after %d triangles without the endsolid of the solid begun in line %d; it is cut short, copy or export it again", s.First+s.Count, begin+1)}
		default:
			return p.unexpected(w, "facet or endsolid")
		}
	}
}

// facet reads from the word after facet to endfacet.
func (p *parser) facet() error {
	var rec [mesh.RecordSize]byte
	if err := p.words("normal"); err != nil {
		return err
	}
	for i := range 3 {
		// A normal is not used, and often "nan" in its author's spelling.
		x, err := strconv.ParseFloat(string(p.next()), 32)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			x = 0
		}
		binary.LittleEndian.PutUint32(rec[4*i:], math.Float32bits(float32(x)))
	}
	if err := p.words("outer", "loop"); err != nil {
		return err
	}
	for c := range 3 {
		if err := p.words("vertex"); err != nil {
			return err
		}
		for i := range 3 {
			x, err := p.coordinate()
			if err != nil {
				return err
			}
			binary.LittleEndian.PutUint32(rec[12+12*c+4*i:], math.Float32bits(x))
		}
	}
	if err := p.words("endloop", "endfacet"); err != nil {
		return err
	}
	p.f.Records = append(p.f.Records, rec[:]...)
	return nil
}

func (p *parser) coordinate() (float32, error) {
	w := p.next()
	x, err := strconv.ParseFloat(string(w), 32)
	switch {
	case len(w) == 0:
		return 0, p.unexpected(w, "a number")
	case err != nil && errors.Is(err, strconv.ErrRange) || err == nil && !(math.Abs(x) <= MaxCoordinate):
		return 0, badCoordinate(0, p.line+1, quote(w))
	case err != nil && bytes.IndexByte(w, ',') >= 0:
		return 0, &Error{Kind: BadNumber, Line: p.line + 1, Text: fmt.Sprintf("%s is no number: STL wants a decimal point, not a comma; export the part again", quote(w))}
	case err != nil:
		return 0, p.unexpected(w, "a number")
	}
	return float32(x), nil
}

// words reads the given keywords and nothing else.
func (p *parser) words(want ...string) error {
	for _, k := range want {
		w := p.next()
		if is(w, k) {
			continue
		}
		if k == "endloop" && is(w, "vertex") {
			return &Error{Kind: Syntax, Line: p.line + 1, Text: "a fourth vertex in a facet, where STL has three; export the part again as triangles"}
		}
		return p.unexpected(w, k)
	}
	return nil
}

func (p *parser) unexpected(got []byte, want string) *Error {
	if len(got) == 0 {
		return &Error{Kind: Truncated, Line: p.line + 1, Text: fmt.Sprintf("the file ends where %s should follow; it is cut short, copy or export it again", want)}
	}
	return &Error{Kind: Syntax, Line: p.line + 1, Text: fmt.Sprintf("%s where %s should be; the file is damaged or no STL, export the part again", quote(got), want)}
}

// quote shows a word of the file, cut to a length that fits a message.
func quote(w []byte) string {
	if len(w) > 24 {
		return strconv.Quote(string(w[:24])) + "..."
	}
	return strconv.Quote(string(w))
}
