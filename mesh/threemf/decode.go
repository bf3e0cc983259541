package threemf

import (
	"context"
	"fmt"

	"github.com/hpinc/go3mf"
	"github.com/hpinc/go3mf/spec"
)

// A model is what a part of a package says: as the library has it, with the
// surface of every mesh object beside it.
type model struct {
	*go3mf.Model
	surfaces map[*go3mf.Object]*surface
}

// decode reads the model in a part of a package.
func (p *pack) decode(ctx context.Context, name string) (*model, error) {
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
func decodeText(ctx context.Context, text []byte) (*model, error) {
	kept, surfaces, err := clean(ctx, text)
	if err != nil {
		return nil, err
	}
	m := &model{new(go3mf.Model), map[*go3mf.Object]*surface{}}
	if err := unmarshal(kept, m.Model); err != nil {
		return nil, damaged("cannot be followed (%v); export the part again", err)
	}
	for _, o := range m.Resources.Objects {
		if o.Mesh != nil && len(surfaces) > 0 {
			m.surfaces[o], surfaces = &surfaces[0], surfaces[1:]
		}
	}
	if len(surfaces) > 0 {
		return nil, damaged("cannot be followed (a mesh in no object); export the part again")
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
