package meshfile

import (
	"context"
	"io"

	"falsework/mesh"
	"falsework/mesh/atomicfile"
	"falsework/mesh/stl"
	"falsework/mesh/threemf"
)

// An Object is a surface with a name: closed, oriented, in millimetres.
type Object = threemf.Object

// Write writes objects to a file in the format of its name, STL where the name
// has no extension. The file at path is replaced whole or not at all.
func Write(ctx context.Context, path string, objects ...Object) error {
	f, err := FormatOf(path, STL)
	if err != nil {
		return err
	}
	return atomicfile.Write(path, func(w io.Writer) error { return Encode(ctx, w, f, objects...) })
}

// Encode writes objects to w in the format f. Several objects are components
// of one in 3MF, and shells of one surface in STL, which has no names.
func Encode(ctx context.Context, w io.Writer, f Format, objects ...Object) error {
	if f == ThreeMF {
		return threemf.Write(ctx, w, objects...)
	}
	return stl.Write(ctx, w, joined(objects), stl.Source{})
}

// joined returns the objects as one surface.
func joined(objects []Object) *mesh.Mesh {
	if len(objects) == 1 {
		return objects[0].Mesh
	}
	all := &mesh.Mesh{}
	for _, o := range objects {
		base := int32(len(all.Vertices))
		all.Vertices = append(all.Vertices, o.Mesh.Vertices...)
		for _, t := range o.Mesh.Triangles {
			all.Triangles = append(all.Triangles, [3]int32{base + t[0], base + t[1], base + t[2]})
		}
	}
	return all
}
