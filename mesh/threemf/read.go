package threemf

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/hpinc/go3mf"

	"falsework/mesh"
)

// A Part is a run of triangles that was one object of the file.
type Part struct {
	Name         string // as the file has it, may be empty
	First, Count int    // triangles
}

// A File is what was read: everything that the build prints, in place.
type File struct {
	Mesh    *mesh.Mesh // millimetres
	Objects []Part     // in the order of the build
	Items   int        // of the build
	Unit    string     // that the file declares, in its words
	Notes   []string   // what was left behind, in words
}

// units are the lengths of the units in millimetres.
var units = map[go3mf.Units]float64{
	go3mf.UnitMicrometer: 0.001, go3mf.UnitMillimeter: 1, go3mf.UnitCentimeter: 10,
	go3mf.UnitInch: 25.4, go3mf.UnitFoot: 304.8, go3mf.UnitMeter: 1000,
}

// Parse reads a package held in memory. The name is for messages. The error
// is an [*Error] or that of ctx.
func Parse(ctx context.Context, data []byte, name string) (*File, error) {
	f, err := parse(ctx, data)
	var e *Error
	if errors.As(err, &e) {
		e.Name = name
	}
	return f, err
}

func parse(ctx context.Context, data []byte) (*File, error) {
	p, err := openPackage(data)
	if err != nil {
		return nil, err
	}
	root, err := p.rootModel()
	if err != nil {
		return nil, err
	}
	m, err := p.decode(ctx, root)
	if err != nil {
		return nil, err
	}
	f, err := flatten(ctx, p, root, m)
	var e *Error
	if errors.As(err, &e) && e.Part == "" {
		e.Part = show(root)
	}
	return f, err
}

// flatten resolves items and components to one surface.
func flatten(ctx context.Context, p *pack, root string, m *model) (*File, error) {
	l := &library{pack: p, unit: m.Units, models: map[string]map[uint32]*node{}}
	nodes, err := l.model(ctx, root, m, true)
	if err != nil {
		return nil, err
	}
	items, err := l.items(ctx, m.Build.Items, nodes)
	if err != nil {
		return nil, err
	}
	flat := &flattener{unit: units[m.Units], left: map[go3mf.ObjectType]int{}}
	for _, i := range items {
		if err := flat.expand(ctx, i.node, i.at, ""); err != nil {
			return nil, err
		}
	}
	f := &File{Objects: flat.objects, Items: len(items), Unit: m.Units.String()}
	for t, n := range flat.left {
		f.Notes = append(f.Notes, fmt.Sprintf("left out: %d objects of type %s, which are no part of the solid", n, t))
	}
	slices.Sort(f.Notes)
	if len(flat.records) == 0 {
		return nil, &Error{Kind: Empty, Text: "the build holds no solid; export the part again"}
	}
	f.Mesh, err = mesh.Weld(ctx, flat.records)
	return f, err
}

// items returns what the build prints, checked not to multiply to more than a
// file of its size could mean.
func (l *library) items(ctx context.Context, build []*go3mf.Item, nodes map[uint32]*node) ([]placed, error) {
	if len(build) == 0 {
		return nil, &Error{Kind: Empty, Text: "the build is empty, so there is nothing to print; place the part on the bed and export it again"}
	}
	var items []placed
	var total, copies int64
	for _, i := range build {
		from := nodes
		if path := pathOf(i.AnyAttr); path != "" {
			var err error
			if from, err = l.model(ctx, path, nil, false); err != nil {
				return nil, err
			}
		}
		n := from[i.ObjectID]
		switch {
		case n == nil:
			return nil, forbidden(clauseItem, "the build names object %d, which is not there; export the part again", i.ObjectID)
		case n.obj.Type == go3mf.ObjectTypeOther:
			return nil, forbidden(clauseItem, "the build names object %d of type other; export the part again", i.ObjectID)
		}
		at, err := place3(i.Transform)
		if err != nil {
			return nil, err
		}
		items = append(items, placed{n, at})
		total, copies = add(total, n.total), add(copies, n.copies)
	}
	most := min(freeSize+mostCopies*l.stored, mesh.MaxTriangles)
	if total > most || copies > most {
		return nil, oversize("its components multiply to %d triangles in %d objects, at most %d are read from a file of its size; export one part alone", total, copies, most)
	}
	return items, nil
}
