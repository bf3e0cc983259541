package threemf

import (
	"context"
	"fmt"

	"github.com/hpinc/go3mf"
	"github.com/hpinc/go3mf/spec"
)

// decode reads the model in a part of a package.
func (p *pack) decode(ctx context.Context, name string) (*go3mf.Model, error) {
	text, err := p.unpack(ctx, name, mostBytes)
	if err != nil {
		return nil, err
	}
	m, err := decodeText(ctx, utf8Text(text))
	if e, ok := err.(*Error); ok {
		e.Part = show(name)
	}
	return m, err
}

// decodeText reads the XML of a model, which it changes.
func decodeText(ctx context.Context, text []byte) (*go3mf.Model, error) {
	kept, err := clean(ctx, text)
	if err != nil {
		return nil, err
	}
	m := new(go3mf.Model)
	if err := unmarshal(kept, m); err != nil {
		return nil, damaged("cannot be followed (%v); export the part again", err)
	}
	return m, ctx.Err()
}

// unmarshal is the library's reader, held not to panic.
func unmarshal(kept []byte, m *go3mf.Model) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the library gave up: %v", r)
		}
	}()
	return go3mf.UnmarshalModel(kept, m)
}

// pathOf returns the part that an item or a component names by the production
// extension, empty where it names none.
func pathOf(attrs spec.AnyAttr) string {
	for _, group := range attrs {
		if u, ok := group.(*spec.UnknownAttrs); ok && u.Space == pathPrefix {
			for _, a := range u.Attr {
				if a.Name.Local == "path" {
					return a.Value
				}
			}
		}
	}
	return ""
}
