package threemf

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"net/url"
	"path"
	"strings"

	"github.com/hpinc/go3mf"
)

// Bounds on a package. What is unpacked may be a fixed amount and a multiple
// of the file's size. A model's text packs to a fifth or a tenth, very regular
// ones to a thirtieth; deflate itself could reach a thousandth.
const (
	freeBytes   = 4 << 20
	mostRatio   = 64
	mostBytes   = 1 << 30 // of all parts together: some 17 million triangles
	mostEntries = 1 << 14
	mostIndex   = 1 << 20 // bytes of a part that lists other parts
)

// A pack is a package whose parts can be read, within bounds.
type pack struct {
	parts map[string]*zip.File // by name, lower case, with a slash in front
	types types
	room  int64 // bytes that may still be unpacked
	most  int64 // bytes that could be at first
}

// IsPackage tells whether data begin as a ZIP package does.
func IsPackage(data []byte) bool {
	return bytes.HasPrefix(data, []byte("PK\x03\x04")) || bytes.HasPrefix(data, []byte("PK\x05\x06"))
}

// openPackage lists the parts of a package. Nothing but the two lists that
// every package has is unpacked.
func openPackage(data []byte) (*pack, error) {
	if !IsPackage(data) {
		return nil, &Error{Kind: Foreign, Text: "is no 3MF file; export the part as 3MF or STL"}
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, damaged("its ZIP package cannot be read (%v); it is cut short or damaged, copy or export it again", err)
	}
	if len(z.File) > mostEntries {
		return nil, oversize("holds %d parts, at most %d are read; export the part again", len(z.File), mostEntries)
	}
	room := min(freeBytes+mostRatio*int64(len(data)), mostBytes)
	p := &pack{parts: make(map[string]*zip.File, len(z.File)), room: room, most: room}
	for _, f := range z.File {
		key := partKey(f.Name)
		if _, twice := p.parts[key]; twice && !strings.HasSuffix(key, "/") {
			return nil, forbidden(clausePayload, "two parts are named %s; export the part again", show(f.Name))
		}
		p.parts[key] = f
	}
	if p.types, err = p.readTypes(); err != nil {
		return nil, err
	}
	return p, nil
}

// partKey returns the name under which a part is found: part names are
// compared without regard to case (Open Packaging Conventions, ISO/IEC
// 29500-2).
func partKey(name string) string {
	if plain, err := url.PathUnescape(name); err == nil {
		name = plain
	}
	return strings.ToLower(path.Clean("/" + strings.ReplaceAll(name, "\\", "/")))
}

// has tells whether the package has a part of that name.
func (p *pack) has(name string) bool { return p.parts[partKey(name)] != nil }

// unpack returns the bytes of a part, no more than most.
func (p *pack) unpack(ctx context.Context, name string, most int64) ([]byte, error) {
	f := p.parts[partKey(name)]
	if f == nil {
		return nil, &Error{Kind: Forbidden, Clause: clausePayload, Part: show(name), Text: "is named but not in the package; export the part again"}
	}
	fail := func(e *Error) error { e.Part = show(f.Name); return e }
	if f.Flags&1 != 0 {
		return nil, fail(forbidden(clausePayload, "is encrypted; export the part without protection"))
	}
	if f.Method != zip.Store && f.Method != zip.Deflate {
		return nil, fail(forbidden(clausePayload, "is packed by method %d; 3MF knows stored and deflated parts only, export the part again", f.Method))
	}
	r, err := f.Open()
	if err != nil {
		return nil, fail(damaged("cannot be unpacked (%v); copy or export the file again", err))
	}
	defer r.Close()
	limit := min(p.room, most)
	// What the file says of a part's size decides no allocation.
	var b bytes.Buffer
	b.Grow(int(min(int64(f.UncompressedSize64), limit, 16*int64(f.CompressedSize64)+512)))
	if _, err := io.Copy(&b, io.LimitReader(stopped{ctx, r}, limit+1)); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, fail(damaged("cannot be unpacked (%v); copy or export the file again", err))
	}
	if n := int64(b.Len()); n > limit {
		if limit == p.room {
			return nil, fail(oversize("the package unpacks to more than %d bytes, far beyond a model of its size; export the part again", p.most))
		}
		return nil, fail(oversize("has more than %d bytes; export the part again", most))
	}
	p.room -= int64(b.Len())
	return b.Bytes(), nil
}

// stopped is a reader that ends with the error of its context.
type stopped struct {
	ctx context.Context
	r   io.Reader
}

func (s stopped) Read(b []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.r.Read(b)
}

// types are the content types of the parts.
type types struct {
	byName, byExtension map[string]string
}

func (t types) of(name string) string {
	if c, ok := t.byName[partKey(name)]; ok {
		return c
	}
	return t.byExtension[strings.TrimPrefix(strings.ToLower(path.Ext(name)), ".")]
}

func (p *pack) readTypes() (types, error) {
	t := types{map[string]string{}, map[string]string{}}
	err := p.each(contentTypesName, func(e xml.StartElement) {
		switch kind := attr(e, "ContentType"); e.Name.Local {
		case "Default":
			t.byExtension[strings.ToLower(attr(e, "Extension"))] = kind
		case "Override":
			t.byName[partKey(attr(e, "PartName"))] = kind
		}
	})
	return t, err
}

// rootModel returns the name of the part that the package begins with.
func (p *pack) rootModel() (string, error) {
	var targets []string
	outside := false
	err := p.each("_rels/.rels", func(e xml.StartElement) {
		if e.Name.Local == "Relationship" && attr(e, "Type") == go3mf.RelType3DModel {
			targets = append(targets, attr(e, "Target"))
			outside = outside || strings.EqualFold(attr(e, "TargetMode"), "External")
		}
	})
	switch {
	case err != nil:
		return "", err
	case len(targets) == 0:
		return "", forbidden(clausePayload, "the package names no 3D model to begin with; it is no 3MF file, or damaged: export the part again")
	case outside:
		return "", forbidden(clausePayload, "the 3D model lies outside the package; export the part as one file")
	}
	for _, t := range targets[1:] {
		if partKey(t) != partKey(targets[0]) {
			return "", forbidden(clausePayload, "the package names more than one 3D model to begin with; export the part again")
		}
	}
	return targets[0], p.isModel(targets[0])
}

// isModel refuses a part that is not there or not declared a model.
func (p *pack) isModel(name string) error {
	switch {
	case !p.has(name):
		return &Error{Kind: Forbidden, Clause: clausePayload, Part: show(name), Text: "is named but not in the package; export the part again"}
	case !strings.EqualFold(p.types.of(name), go3mf.ContentType3DModel):
		return &Error{Kind: Forbidden, Clause: clausePayload, Part: show(name), Text: "is not declared as a 3D model; export the part again"}
	}
	return nil
}

// each hands every element of a small XML part to f. The library's decoder
// expands no entities but the five that XML has.
func (p *pack) each(name string, f func(xml.StartElement)) error {
	text, err := p.unpack(context.Background(), name, mostIndex)
	if err != nil {
		return err
	}
	d := xml.NewDecoder(bytes.NewReader(utf8Text(text)))
	d.CharsetReader = func(label string, r io.Reader) (io.Reader, error) { return r, nil }
	for {
		token, err := d.Token()
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return &Error{Kind: Damaged, Part: show(name), Text: "is no well-formed XML (" + err.Error() + "); export the part again"}
		}
		switch t := token.(type) {
		case xml.Directive:
			return &Error{Kind: Forbidden, Clause: clauseXML, Part: show(name), Text: "has a document type, which 3MF does not allow; export the part again"}
		case xml.StartElement:
			f(t)
		}
	}
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}
