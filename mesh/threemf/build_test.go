package threemf

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/hpinc/go3mf"
)

// modelName is where the packages made here have their model.
const modelName = "3D/3dmodel.model"

const rels = `<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` +
	`<Relationship Id="r" Target="/` + modelName + `" Type="` + go3mf.RelType3DModel + `"/></Relationships>`

// packed makes a package of names and texts in turn.
func packed(t testing.TB, parts ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(parts); i += 2 {
		h := &zip.FileHeader{Name: parts[i]}
		if len(parts[i+1]) > 0 {
			h.Method = zip.Deflate
		}
		w, err := z.CreateHeader(h)
		if err != nil {
			t.Fatal(err)
		}
		w.Write([]byte(parts[i+1]))
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// holding makes a package round the text of its model.
func holding(t testing.TB, model string, more ...string) []byte {
	t.Helper()
	return packed(t, append([]string{contentTypesName, contentTypes, "_rels/.rels", rels, modelName, model}, more...)...)
}

// tetra is the mesh of a tetrahedron with legs of the given length.
func tetra(leg string) string {
	vertex := func(x, y, z string) string { return fmt.Sprintf(`<vertex x="%s" y="%s" z="%s"/>`, x, y, z) }
	return "<mesh><vertices>" + vertex("0", "0", "0") + vertex(leg, "0", "0") + vertex("0", leg, "0") + vertex("0", "0", leg) + "</vertices>" +
		`<triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="1" v2="2" v3="3"/><triangle v1="2" v2="0" v3="3"/></triangles></mesh>`
}

// modelText is the text of a model with these attributes, resources and build.
func modelText(attrs, resources, build string) string {
	return `<?xml version="1.0" encoding="UTF-8"?>` + "\n" + `<model xmlns="` + coreSpace + `" ` + attrs + "><resources>" + resources + "</resources><build>" + build + "</build></model>"
}

func object(id int, inside string) string {
	return fmt.Sprintf(`<object id="%d">%s</object>`, id, inside)
}

func components(c ...string) string { return "<components>" + strings.Join(c, "") + "</components>" }

func component(id int, attrs string) string {
	return fmt.Sprintf(`<component objectid="%d" %s/>`, id, attrs)
}

func item(id int, attrs string) string { return fmt.Sprintf(`<item objectid="%d" %s/>`, id, attrs) }

// simple is a model of one tetrahedron.
func simple() string { return modelText("", object(1, tetra("2")), item(1, "")) }
