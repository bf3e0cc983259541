package threemf

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"

	"falsework/mesh/meshtest"
)

// seeds are packages of the other tests, as they are and damaged.
func seeds(t testing.TB) [][]byte {
	list := [][]byte{
		written(t, Object{"part", cube()}, Object{"ribs", cube()}),
		holding(t, simple()),
		holding(t, strings.ReplaceAll(simple(), "><", "> <!-- --><")),
		holding(t, modelText(`unit="inch"`, object(1, tetra("2"))+object(2, components(component(1, `transform="-1 0 0 0 1 0 0 0 1 0 0 0"`), component(1, ""))), item(2, ""))),
	}
	for _, l := range list[:2] {
		list = append(list, l[:len(l)/2], append(slices.Clone(l[:len(l)/3]), l[len(l)/2:]...))
	}
	return list
}

// FuzzParse holds whatever is read to be what the package promises: an error
// of one line, or a mesh of finite coordinates that writes and reads back.
func FuzzParse(f *testing.F) {
	for _, s := range seeds(f) {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := Parse(bg, data, "fuzz")
		judge(t, file, err)
	})
}

// FuzzModel is the same for the text of a model alone, which a fuzzer of
// packages hardly reaches through their sums.
func FuzzModel(f *testing.F) {
	f.Add(simple())
	f.Add(strings.ReplaceAll(simple(), "><", ">\n<!-- --><"))
	f.Add(strings.ReplaceAll(simple(), `"`, `'`))
	f.Add(modelText(`unit="inch" xmlns:p="`+productionSpace+`"`, object(1, tetra("2"))+object(2, components(component(1, `transform="-1 0 0 0 1 0 0 0 1 0 0 0"`), component(1, `p:path="/3D/3dmodel.model"`))), item(2, "")))
	f.Add(`<c:model xmlns:c="` + coreSpace + `"><c:resources/><q:x xmlns:q="u"><q:x/></q:x><c:build/></c:model>`)
	f.Add("<?xml version='1.0' encoding='utf-16'?><model/>")
	f.Fuzz(func(t *testing.T, text string) {
		m, err := decodeText(bg, utf8Text([]byte(text)))
		if err != nil {
			judge(t, nil, err)
			return
		}
		file, err := flatten(bg, &pack{}, modelName, m)
		judge(t, file, err)
	})
}

func judge(t *testing.T, f *File, err error) {
	t.Helper()
	if err != nil {
		var e *Error
		if f != nil || !errors.As(err, &e) || strings.ContainsAny(err.Error(), "\n\r") || len(err.Error()) > 1000 {
			t.Fatalf("file %v with error %q", f, err)
		}
		return
	}
	for _, v := range f.Mesh.Vertices {
		for _, x := range v {
			if !(-maxCoordinate <= x && x <= maxCoordinate) {
				t.Fatalf("coordinate %v", v)
			}
		}
	}
	count := 0
	for _, o := range f.Objects {
		if o.First != count {
			t.Fatalf("objects %+v", f.Objects)
		}
		count += o.Count
	}
	if count != len(f.Mesh.Triangles) {
		t.Fatalf("objects of %d triangles in a mesh of %d", count, len(f.Mesh.Triangles))
	}
	for _, tri := range f.Mesh.Triangles {
		if tri[0] == tri[1] || tri[1] == tri[2] || tri[2] == tri[0] {
			return // rounding or coincidence made it so; it is left out when written
		}
	}
	var b bytes.Buffer
	if err := Write(bg, &b, Object{"again", f.Mesh}); err != nil {
		t.Fatal(err)
	}
	again, err := Parse(bg, b.Bytes(), "")
	if err != nil || !slices.Equal(meshtest.Soup(again.Mesh).Vertices, meshtest.Soup(f.Mesh).Vertices) {
		t.Fatalf("reads back otherwise: %v", err)
	}
}

func TestSeedsAreThere(t *testing.T) {
	if n := len(seeds(t)); n < 8 {
		t.Errorf("%d seeds", n)
	}
}
