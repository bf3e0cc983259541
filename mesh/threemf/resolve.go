package threemf

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/hpinc/go3mf"

	"falsework/mesh"
)

// Bounds on what components may multiply to: a fixed number of triangles or
// vertices, and a multiple of those in the file.
const (
	freeSize   = 1 << 20
	mostCopies = 64
	mostLevels = 64 // of components within components
)

// A library holds the objects of the parts that were read.
type library struct {
	pack   *pack
	models map[string]map[uint32]*node // by part key, then by number
	unit   go3mf.Units                 // of the package's first part
	stored int64                       // size of all meshes
}

// A node is an object with what it is made of.
type node struct {
	obj    *go3mf.Object
	skin   *surface // nil for components
	parts  []placed
	total  int64 // size when multiplied out: triangles, or vertices where those are more
	copies int64 // objects when multiplied out
	level  int   // 1 for a mesh, one more than its components' greatest
}

// A placed object is an item or a component.
type placed struct {
	node *node
	at   affine
}

// model reads the objects of a part, once. Root tells whether it is the
// package's first, whose components may name other parts.
func (l *library) model(ctx context.Context, name string, m *model, root bool) (map[uint32]*node, error) {
	key := partKey(name)
	if nodes, ok := l.models[key]; ok {
		return nodes, nil
	}
	if m == nil {
		if err := l.pack.isModel(name); err != nil {
			return nil, err
		}
		var err error
		if m, err = l.pack.decode(ctx, name); err != nil {
			return nil, err
		}
		if m.Units != l.unit {
			return nil, &Error{Kind: Forbidden, Clause: clauseModel, Part: show(name), Text: fmt.Sprintf("is in %ss, the package's first part in %ss; export the part again", m.Units, l.unit)}
		}
	}
	nodes := make(map[uint32]*node, len(m.Resources.Objects))
	l.models[key] = nodes
	for _, o := range m.Resources.Objects {
		n, err := l.node(ctx, nodes, o, m.surfaces[o], root)
		if err == nil && nodes[o.ID] != nil {
			err = forbidden(clauseResources, "two objects have the number %d; export the part again", o.ID)
		}
		if err != nil {
			var e *Error
			if errors.As(err, &e) && e.Part == "" {
				e.Part = show(name)
			}
			return nil, err
		}
		nodes[o.ID] = n
	}
	return nodes, ctx.Err()
}

// node checks an object and finds its components. Those of the same part must
// come before it, so that no object can be a component of itself.
func (l *library) node(ctx context.Context, before map[uint32]*node, o *go3mf.Object, skin *surface, root bool) (*node, error) {
	n := &node{obj: o, skin: skin, copies: 1, level: 1}
	switch {
	case skin != nil && o.Components != nil, skin == nil && o.Components == nil:
		return nil, forbidden(clauseObject, "object %d must be either a mesh or components; export the part again", o.ID)
	case skin != nil:
		n.total = int64(max(len(skin.triangles), len(skin.vertices)))
		l.stored += n.total
		return n, skin.check(o)
	}
	if len(o.Components.Component) == 0 {
		return nil, forbidden(clauseComponent, "object %d has no components; export the part again", o.ID)
	}
	for _, c := range o.Components.Component {
		from := before
		if path := pathOf(c.AnyAttr); path != "" {
			if !root {
				return nil, forbidden(clauseComponent, "object %d has a component in another part, which only the root model may have; export the part again", o.ID)
			}
			var err error
			if from, err = l.model(ctx, path, nil, false); err != nil {
				return nil, err
			}
		}
		child := from[c.ObjectID]
		if child == nil {
			return nil, forbidden(clauseComponent, "object %d has a component %d that is not there or not defined before it; export the part again", o.ID, c.ObjectID)
		}
		at, err := place3(c.Transform)
		if err != nil {
			return nil, err
		}
		n.parts = append(n.parts, placed{child, at})
		n.total = add(n.total, child.total)
		n.copies = add(n.copies, child.copies)
		n.level = max(n.level, child.level+1)
	}
	if n.level > mostLevels {
		return nil, oversize("nests components more than %d deep; export the part again", mostLevels)
	}
	return n, nil
}

// add adds counts without overflow.
func add(a, b int64) int64 { return min(a+b, math.MaxInt64/2) }

// check holds the mesh of an object to what the specification asks of its
// numbers. Open or misoriented surfaces are left to those who mend.
func (s *surface) check(o *go3mf.Object) error {
	vertices := uint32(len(s.vertices))
	if solid(o) && (vertices < 3 || len(s.triangles) < 4) {
		return forbidden(clauseMesh, "object %d has %d vertices and %d triangles; a solid has 3 and 4 at least: export the part again", o.ID, vertices, len(s.triangles))
	}
	for i, t := range s.triangles {
		switch {
		case max(t[0], t[1], t[2]) >= vertices:
			return forbidden(clauseTriangle, "object %d, triangle %d names vertex %d of %d, counted from 0; export the part again", o.ID, i+1, max(t[0], t[1], t[2]), vertices)
		case t[0] == t[1] || t[1] == t[2] || t[2] == t[0]:
			return forbidden(clauseTriangle, "object %d, triangle %d names vertex %d twice; export the part again", o.ID, i+1, max(min(t[0], t[1]), min(max(t[0], t[1]), t[2])))
		}
	}
	return nil
}

// solid tells whether an object is one that is printed as part of a model.
func solid(o *go3mf.Object) bool {
	return o.Type == go3mf.ObjectTypeModel || o.Type == go3mf.ObjectTypeOther
}

// An affine is a transform of row vectors: the rows of a 3 by 3 matrix, then
// the displacement.
type affine [4][3]float64

var identity = affine{{1}, {0, 1}, {0, 0, 1}}

// place3 returns a transform of the file; the zero matrix, which the library
// gives where there is none, is the identity.
func place3(m go3mf.Matrix) (affine, error) {
	if m == (go3mf.Matrix{}) {
		return identity, nil
	}
	var a affine
	for i := range 4 {
		for j := range 3 {
			a[i][j] = float64(m[4*i+j])
		}
	}
	if d := a.det(); d == 0 || math.IsNaN(d) || math.IsInf(d, 0) {
		return a, forbidden(clauseMatrix, "has a transform that flattens what it places; export the part again")
	}
	return a, nil
}

// then returns the transform that does a first and b after it.
func (a affine) then(b affine) affine {
	if a == identity {
		return b
	}
	var c affine
	for i := range 4 {
		for j := range 3 {
			c[i][j] = float64(a[i][0]*b[0][j]) + float64(a[i][1]*b[1][j]) + float64(a[i][2]*b[2][j])
		}
	}
	for j := range 3 {
		c[3][j] += b[3][j]
	}
	return c
}

// det returns the determinant; it is below zero where a mirrors.
func (a affine) det() float64 {
	return float64(a[0][0]*(float64(a[1][1]*a[2][2])-float64(a[1][2]*a[2][1]))) -
		float64(a[0][1]*(float64(a[1][0]*a[2][2])-float64(a[1][2]*a[2][0]))) +
		float64(a[0][2]*(float64(a[1][0]*a[2][1])-float64(a[1][1]*a[2][0])))
}

// A flattener writes instances of objects as triangle records.
type flattener struct {
	unit    float64 // millimetres
	records []byte
	objects []Part
	left    map[go3mf.ObjectType]int // objects left out, by type
}

// expand adds what a placed object holds.
func (f *flattener) expand(ctx context.Context, n *node, at affine, name string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if n.obj.Name != "" {
		name = n.obj.Name
	}
	if !solid(n.obj) {
		f.left[n.obj.Type]++
		return nil
	}
	if n.skin != nil {
		return f.mesh(n, at, name)
	}
	for _, p := range n.parts {
		if err := f.expand(ctx, p.node, p.at.then(at), name); err != nil {
			return err
		}
	}
	return nil
}

// mesh adds the triangles of one instance of a mesh.
func (f *flattener) mesh(n *node, at affine, name string) error {
	moved := make([][3]float32, len(n.skin.vertices))
	still := at == identity && f.unit == 1
	for i, v := range n.skin.vertices {
		if still {
			moved[i] = v
			continue
		}
		for j := range 3 {
			x := float64(float64(v[0])*at[0][j]) + float64(float64(v[1])*at[1][j]) + float64(float64(v[2])*at[2][j]) + at[3][j]
			x *= f.unit
			if !(math.Abs(x) <= maxCoordinate) {
				return forbidden(clauseMatrix, "object %d is placed beyond %g mm; export the part again", n.obj.ID, float64(maxCoordinate))
			}
			moved[i][j] = float32(x) + 0 // -0 becomes 0
		}
	}
	mirrored := at.det() < 0
	first := len(f.records) / mesh.RecordSize
	f.records = slices.Grow(f.records, len(n.skin.triangles)*mesh.RecordSize)
	for _, corners := range n.skin.triangles {
		if mirrored {
			corners[1], corners[2] = corners[2], corners[1]
		}
		var rec [mesh.RecordSize]byte
		for c, v := range corners {
			for j, x := range moved[v] {
				binary.LittleEndian.PutUint32(rec[12+12*c+4*j:], math.Float32bits(x))
			}
		}
		f.records = append(f.records, rec[:]...)
	}
	f.objects = append(f.objects, Part{Name: name, First: first, Count: len(n.skin.triangles)})
	return nil
}
