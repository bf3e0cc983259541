package threemf

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	"io"
	"strings"

	"github.com/hpinc/go3mf"

	"falsework/mesh"
)

// An Object is a surface with a name.
type Object struct {
	Name string
	Mesh *mesh.Mesh // closed and oriented, millimetres
}

// Write writes a package whose build has one item: the one object, or the
// several as components of one. Triangles that name a vertex twice, which the
// format forbids and which bound nothing, are left out.
func Write(ctx context.Context, w io.Writer, objects ...Object) error {
	model, err := newModel(objects)
	if err != nil {
		return err
	}
	var packed bytes.Buffer
	e := go3mf.NewEncoder(stopping{ctx, &packed})
	e.FloatPrecision = -1 // as many digits as read back the same float32
	if err := e.Encode(model); err != nil {
		return err
	}
	return repack(ctx, w, packed.Bytes())
}

// stopping is a writer that ends with the error of its context.
type stopping struct {
	ctx context.Context
	w   io.Writer
}

func (s stopping) Write(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.w.Write(p)
}

// newModel returns the objects as the library wants them.
func newModel(objects []Object) (*go3mf.Model, error) {
	if len(objects) == 0 {
		return nil, fmt.Errorf("cannot write a 3MF file without an object")
	}
	m := &go3mf.Model{
		Units:    go3mf.UnitMillimeter,
		Language: "en",
		Metadata: []go3mf.Metadata{{Name: xml.Name{Local: "Application"}, Value: "falsework"}},
		// Named, because the library draws a random name otherwise.
		RootRelationships: []go3mf.Relationship{{ID: "model", Type: go3mf.RelType3DModel, Path: go3mf.DefaultModelPath}},
	}
	var parts []*go3mf.Component
	for i, o := range objects {
		g, err := newMesh(o.Mesh)
		if err != nil {
			return nil, fmt.Errorf("cannot write %q: %w", o.Name, err)
		}
		id := uint32(i + 1)
		m.Resources.Objects = append(m.Resources.Objects, &go3mf.Object{ID: id, Name: plainName(o.Name), Mesh: g})
		parts = append(parts, &go3mf.Component{ObjectID: id})
	}
	last := uint32(len(objects))
	if last > 1 {
		last++
		names := make([]string, len(objects))
		for i, o := range objects {
			names[i] = plainName(o.Name)
		}
		m.Resources.Objects = append(m.Resources.Objects, &go3mf.Object{
			ID: last, Name: strings.Join(names, " with "), Components: &go3mf.Components{Component: parts}})
	}
	m.Build.Items = []*go3mf.Item{{ObjectID: last}}
	return m, nil
}

// plainName returns a name that needs no numbered character references: the
// consortium's own library, of which many readers are made, refuses those.
func plainName(name string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\'':
			return '\u2019'
		case r == '"':
			return '\u201d'
		case r < ' ', r == 0x7f:
			return ' '
		}
		return r
	}, strings.ToValidUTF8(name, "?"))
}

// newMesh returns a surface as the library wants it. A mesh of the format has
// at least four triangles with three different corners each (core
// specification, clauses on meshes and triangles).
func newMesh(m *mesh.Mesh) (*go3mf.Mesh, error) {
	if len(m.Triangles) > mesh.MaxTriangles {
		return nil, fmt.Errorf("%d triangles, at most %d", len(m.Triangles), mesh.MaxTriangles)
	}
	g := new(go3mf.Mesh)
	g.Vertices.Vertex = make([]go3mf.Point3D, len(m.Vertices))
	for i, v := range m.Vertices {
		g.Vertices.Vertex[i] = v
	}
	g.Triangles.Triangle = make([]go3mf.Triangle, 0, len(m.Triangles))
	for _, t := range m.Triangles {
		if t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
			g.Triangles.Triangle = append(g.Triangles.Triangle, go3mf.Triangle{V1: uint32(t[0]), V2: uint32(t[1]), V3: uint32(t[2])})
		}
	}
	if n := len(g.Triangles.Triangle); n < 4 {
		return nil, fmt.Errorf("a surface of %d triangles bounds no solid; 3MF wants 4 or more", n)
	}
	return g, nil
}

// contentTypes is the part of a package that names the types of its parts.
// The library lists them in random order.
const contentTypes = xml.Header +
	`<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">` +
	`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
	`<Default Extension="model" ContentType="` + go3mf.ContentType3DModel + `"/>` +
	`</Types>`

const contentTypesName = "[Content_Types].xml"

// repack writes the packed parts without the time of day and in a fixed order,
// as they are compressed.
func repack(ctx context.Context, w io.Writer, packed []byte) error {
	from, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return fmt.Errorf("the package as written cannot be read again: %w", err)
	}
	to := zip.NewWriter(w)
	head := func(name string) *zip.FileHeader {
		// 1 January 1980, the earliest date that a ZIP file can hold.
		//lint:ignore SA1019 CreateRaw takes the date from no other field.
		return &zip.FileHeader{Name: name, Method: zip.Deflate, ModifiedDate: 1<<5 | 1}
	}
	types, err := to.CreateHeader(head(contentTypesName))
	if err != nil {
		return err
	}
	if _, err := io.WriteString(types, contentTypes); err != nil {
		return err
	}
	for _, name := range []string{"_rels/.rels", go3mf.DefaultModelPath[1:]} {
		f := find(from, name)
		if f == nil {
			return fmt.Errorf("the package as written has no part %s", name)
		}
		raw, err := f.OpenRaw()
		if err != nil {
			return err
		}
		h := head(name)
		h.CRC32, h.CompressedSize64, h.UncompressedSize64 = f.CRC32, f.CompressedSize64, f.UncompressedSize64
		part, err := to.CreateRaw(h)
		if err != nil {
			return err
		}
		if _, err := io.Copy(stopping{ctx, part}, raw); err != nil {
			return err
		}
	}
	return to.Close()
}

func find(z *zip.Reader, name string) *zip.File {
	for _, f := range z.File {
		if f.Name == name {
			return f
		}
	}
	return nil
}
