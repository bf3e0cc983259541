package threemf

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// Bounds on the XML of a model. A model needs a depth of 6 and 7 attributes
// to an element; extensions may add to both.
const (
	mostDepth = 64
	mostAttrs = 64
	mostName  = 256
	mostSpace = 64 // namespaces declared at one place
)

// A scanner finds the tags of an XML text. It holds the text to be
// well-formed as far as tags go, and to the bounds above.
type scanner struct {
	b    []byte
	pos  int
	line int // breaks before mark
	mark int

	tag   tag
	open  [mostDepth][]byte // names of open elements, each in its own storage
	depth int
	began bool // a root element was seen
}

// A tag is a start tag; its bytes are the text's.
type tag struct {
	name  []byte // as written, with its prefix
	attrs []attribute
	empty bool // <like/> this
}

type attribute struct {
	name, value []byte
	quote       byte
}

// here returns the line that pos is in, from 1.
func (s *scanner) here() int {
	s.line += bytes.Count(s.b[s.mark:s.pos], []byte{'\n'})
	s.mark = s.pos
	return s.line + 1
}

// at places an error at the line the scanner has come to.
func (s *scanner) at(e *Error) *Error {
	e.Line = s.here()
	return e
}

func (s *scanner) malformed(what string) error {
	return s.at(&Error{Kind: Damaged, Text: "is no well-formed XML: " + what + "; the file is damaged, export the part again"})
}

// next goes on to the next tag: start tells whether it is a start tag, then in
// s.tag; otherwise the element at depth s.depth+1 has ended. It returns false
// at the end of the text.
func (s *scanner) next() (start, more bool, err error) {
	if s.tag.empty { // the end of an empty element
		s.tag.empty = false
		s.depth--
		return false, true, nil
	}
	for {
		i := bytes.IndexByte(s.b[s.pos:], '<')
		if i < 0 {
			i = len(s.b) - s.pos
		}
		if s.depth == 0 && len(bytes.TrimSpace(s.b[s.pos:s.pos+i])) > 0 {
			return false, false, s.malformed("text outside its root element")
		}
		s.pos += i
		if s.pos == len(s.b) {
			if s.depth > 0 {
				return false, false, s.malformed("it ends inside an element")
			}
			if !s.began {
				return false, false, s.malformed("it has no element")
			}
			return false, false, nil
		}
		rest := s.b[s.pos:]
		switch {
		case bytes.HasPrefix(rest, []byte("<!--")):
			err = s.pass(4, "-->")
		case bytes.HasPrefix(rest, []byte("<?")):
			err = s.instruction()
		case bytes.HasPrefix(rest, []byte("<![CDATA[")) && s.depth > 0:
			err = s.pass(9, "]]>")
		case bytes.HasPrefix(rest, []byte("<!")):
			return false, false, s.at(forbidden(clauseXML, "has a document type, which 3MF does not allow; export the part again"))
		case bytes.HasPrefix(rest, []byte("</")):
			return false, true, s.end()
		default:
			return true, true, s.start()
		}
		if err != nil {
			return false, false, err
		}
	}
}

// pass goes behind the word that ends what begins here.
func (s *scanner) pass(head int, end string) error {
	i := bytes.Index(s.b[s.pos+head:], []byte(end))
	if i < 0 {
		return s.malformed("it ends where " + end + " should follow")
	}
	s.pos += head + i + len(end)
	return nil
}

// instruction passes <? ... ?>, and reads the encoding of <?xml ... ?>.
func (s *scanner) instruction() error {
	from := s.pos
	if err := s.pass(2, "?>"); err != nil {
		return err
	}
	text := s.b[from:s.pos]
	if !bytes.HasPrefix(text, []byte("<?xml")) || len(text) < 6 || !blank(text[5]) {
		return nil
	}
	_, after, ok := bytes.Cut(text, []byte("encoding"))
	if !ok {
		return nil
	}
	label := strings.ToLower(strings.Trim(strings.TrimSpace(strings.TrimSuffix(string(after), "?>")), "= \t\r\n\"'"))
	label, _, _ = strings.Cut(label, "\"")
	label, _, _ = strings.Cut(label, "'")
	switch label {
	case "utf-8", "utf8", "utf-16", "utf16":
		return nil
	}
	return s.at(forbidden(clauseXML, "is encoded as %s, where 3MF allows UTF-8 and UTF-16; export the part again", show(label)))
}

// end reads an end tag.
func (s *scanner) end() error {
	s.pos += 2
	name, err := s.name()
	if err != nil {
		return err
	}
	s.blanks()
	if s.pos == len(s.b) || s.b[s.pos] != '>' {
		return s.malformed("an end tag that does not end")
	}
	s.pos++
	if s.depth == 0 || !bytes.Equal(s.open[s.depth-1], name) {
		return s.malformed("</" + show(string(name)) + "> ends what has not begun")
	}
	s.depth--
	return nil
}

// start reads a start tag into s.tag.
func (s *scanner) start() error {
	s.pos++
	name, err := s.name()
	if err != nil {
		return err
	}
	switch {
	case s.depth == 0 && s.began:
		return s.malformed("a second root element")
	case s.depth == mostDepth:
		return s.at(oversize("nests its elements more than %d deep; export the part again", mostDepth))
	}
	s.began = true
	s.tag.name, s.tag.attrs = name, s.tag.attrs[:0]
	for {
		gap := s.blanks()
		switch {
		case s.pos == len(s.b):
			return s.malformed("it ends inside a tag")
		case s.b[s.pos] == '>':
			s.pos++
			s.push(name)
			return nil
		case s.b[s.pos] == '/':
			if s.pos+1 == len(s.b) || s.b[s.pos+1] != '>' {
				return s.malformed("a / inside a tag")
			}
			s.pos += 2
			s.push(name)
			s.tag.empty = true
			return nil
		case !gap:
			return s.malformed("no blank before an attribute")
		}
		if err := s.attribute(); err != nil {
			return err
		}
	}
}

func (s *scanner) push(name []byte) {
	s.open[s.depth] = append(s.open[s.depth][:0], name...)
	s.depth++
}

func (s *scanner) attribute() error {
	name, err := s.name()
	if err != nil {
		return err
	}
	s.blanks()
	if s.pos == len(s.b) || s.b[s.pos] != '=' {
		return s.malformed("an attribute without a value")
	}
	s.pos++
	s.blanks()
	if s.pos == len(s.b) || s.b[s.pos] != '"' && s.b[s.pos] != '\'' {
		return s.malformed("an attribute's value without quotes")
	}
	quote := s.b[s.pos]
	s.pos++
	n := bytes.IndexByte(s.b[s.pos:], quote)
	if n < 0 {
		return s.malformed("an attribute's value that does not end")
	}
	value := s.b[s.pos : s.pos+n]
	if bytes.IndexByte(value, '<') >= 0 {
		return s.malformed("a < in an attribute's value")
	}
	s.pos += n + 1
	if len(s.tag.attrs) == mostAttrs {
		return s.at(oversize("has an element of more than %d attributes; export the part again", mostAttrs))
	}
	s.tag.attrs = append(s.tag.attrs, attribute{name, value, quote})
	return nil
}

// name reads a name. Letters beyond ASCII are taken as they come.
func (s *scanner) name() ([]byte, error) {
	from := s.pos
	for s.pos < len(s.b) && nameByte(s.b[s.pos]) {
		s.pos++
	}
	name := s.b[from:s.pos]
	switch {
	case len(name) == 0 || name[0] == '-' || name[0] == '.' || name[0] >= '0' && name[0] <= '9':
		return nil, s.malformed("no name where one should be")
	case len(name) > mostName:
		return nil, s.at(oversize("has a name of more than %d bytes; export the part again", mostName))
	}
	return name, nil
}

func nameByte(c byte) bool {
	return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || '0' <= c && c <= '9' || c == ':' || c == '_' || c == '-' || c == '.' || c >= utf8.RuneSelf
}

func blank(c byte) bool { return c == ' ' || c == '\n' || c == '\t' || c == '\r' }

// blanks passes blanks, and tells whether there were any.
func (s *scanner) blanks() bool {
	from := s.pos
	for s.pos < len(s.b) && blank(s.b[s.pos]) {
		s.pos++
	}
	return s.pos > from
}

// utf8Text returns the text as UTF-8 without a byte order mark.
func utf8Text(b []byte) []byte {
	var order binary.ByteOrder
	switch {
	case bytes.HasPrefix(b, []byte("\xef\xbb\xbf")):
		return b[3:]
	case bytes.HasPrefix(b, []byte("\xff\xfe")):
		order = binary.LittleEndian
	case bytes.HasPrefix(b, []byte("\xfe\xff")):
		order = binary.BigEndian
	default:
		return b
	}
	out := make([]byte, 0, len(b)/2)
	for i := 2; i+1 < len(b); i += 2 {
		r := rune(order.Uint16(b[i:]))
		if utf16.IsSurrogate(r) && i+3 < len(b) {
			if full := utf16.DecodeRune(r, rune(order.Uint16(b[i+2:]))); full != utf8.RuneError {
				r = full
				i += 2
			}
		}
		out = utf8.AppendRune(out, r)
	}
	return out
}

// show quotes a word of a file for a message, cut to a length that fits.
func show(word string) string {
	word = word[:min(len(word), 256)]
	word = strings.ToValidUTF8(word, "?")
	clean := strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return '?'
		}
		return r
	}, word)
	if len(clean) > 60 {
		cut := 60
		for cut > 0 && !utf8.RuneStart(clean[cut]) {
			cut--
		}
		return clean[:cut] + "..."
	}
	return clean
}
