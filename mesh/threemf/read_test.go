package threemf

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

func parsed(t *testing.T, data []byte) *File {
	t.Helper()
	f, err := Parse(bg, data, "part.3mf")
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func volume(t *testing.T, m *mesh.Mesh) float64 {
	t.Helper()
	a, err := m.Audit(bg)
	if err != nil {
		t.Fatal(err)
	}
	if a.Err() != nil {
		t.Error(a.Err())
	}
	return a.Volume
}

func TestRoundTrip(t *testing.T) {
	for _, m := range []*mesh.Mesh{cube(), meshtest.Turn(meshtest.Ring(10, 3, 40), [3]float64{1, 2, 3}, 50), meshtest.RandomHouse(1).Mesh} {
		data := written(t, Object{"part", m})
		f := parsed(t, data)
		if !slices.Equal(meshtest.Soup(f.Mesh).Vertices, meshtest.Soup(m).Vertices) {
			t.Error("read back as another mesh")
		}
		if f.Unit != "millimeter" || len(f.Objects) != 1 || f.Objects[0].Name != "part" || len(f.Notes) > 0 {
			t.Errorf("read back as %+v", f)
		}
	}
	f := parsed(t, written(t, Object{"housing", cube()}, Object{"ribs", meshtest.Ring(10, 3, 40)}))
	if len(f.Objects) != 2 || f.Objects[0] != (Part{"housing", 0, 12}) || f.Objects[1].Name != "ribs" || f.Objects[1].First != 12 || f.Items != 1 {
		t.Errorf("two objects are read back as %+v of %d items", f.Objects, f.Items)
	}
}

// Lengths of the units: the international inch and foot are 25.4 and 304.8 mm
// by definition.
func TestUnits(t *testing.T) {
	for unit, length := range map[string]float64{"": 2, "micron": 0.002, "millimeter": 2, "centimeter": 20, "inch": 50.8, "foot": 609.6, "meter": 2000} {
		attrs := ""
		if unit != "" {
			attrs = `unit="` + unit + `"`
		}
		f := parsed(t, holding(t, modelText(attrs, object(1, tetra("2")), item(1, ""))))
		if got := f.Mesh.Bounds().Max[0]; math.Abs(got-length) > 1e-6*length {
			t.Errorf("%q: 2 units are %g mm, want %g", unit, got, length)
		}
		if got, want := volume(t, f.Mesh), length*length*length/6; math.Abs(got-want) > 1e-5*want {
			t.Errorf("%q: volume %g, want %g", unit, got, want)
		}
	}
}

// A tetrahedron of legs 2 encloses 8/6; transforms are written as rows, the
// last the displacement, and act on row vectors.
func TestTransforms(t *testing.T) {
	for _, c := range []struct {
		name, at string
		min, max [3]float64
		volume   float64
	}{
		{"none", ``, [3]float64{0, 0, 0}, [3]float64{2, 2, 2}, 8. / 6},
		{"moved", `transform="1 0 0 0 1 0 0 0 1 10 20 30"`, [3]float64{10, 20, 30}, [3]float64{12, 22, 32}, 8. / 6},
		{"a quarter turn about z", `transform="0 1 0 -1 0 0 0 0 1 0 0 0"`, [3]float64{-2, 0, 0}, [3]float64{0, 2, 2}, 8. / 6},
		{"stretched", `transform="2 0 0 0 3 0 0 0 4 1 1 1"`, [3]float64{1, 1, 1}, [3]float64{5, 7, 9}, 24 * 8. / 6},
		{"mirrored", `transform="-1 0 0 0 1 0 0 0 1 0 0 0"`, [3]float64{-2, 0, 0}, [3]float64{0, 2, 2}, 8. / 6},
		{"sheared", ` transform=" 1 0 0  0.5 1 0
			0 0 1 0 0 0 "`, [3]float64{0, 0, 0}, [3]float64{2, 2, 2}, 8. / 6},
	} {
		for _, way := range []string{
			modelText("", object(1, tetra("2")), item(1, c.at)),
			modelText("", object(1, tetra("2"))+object(5, components(component(1, c.at))), item(5, "")),
		} {
			f := parsed(t, holding(t, way))
			b := f.Mesh.Bounds()
			for i := range 3 {
				if math.Abs(b.Min[i]-c.min[i])+math.Abs(b.Max[i]-c.max[i]) > 1e-6 {
					t.Errorf("%s: lies at %v to %v, want %v to %v", c.name, b.Min, b.Max, c.min, c.max)
				}
			}
			if v := volume(t, f.Mesh); math.Abs(v-c.volume) > 1e-5 {
				t.Errorf("%s: volume %g, want %g (below zero: inside out)", c.name, v, c.volume)
			}
		}
	}
	// The component's transform comes first, the item's after it.
	f := parsed(t, holding(t, modelText("", object(1, tetra("2"))+
		object(2, components(component(1, `transform="1 0 0 0 1 0 0 0 1 10 0 0"`))), item(2, `transform="0 1 0 -1 0 0 0 0 1 0 0 5"`))))
	if b := f.Mesh.Bounds(); b.Min != [3]float64{-2, 10, 5} || b.Max != [3]float64{0, 12, 7} {
		t.Errorf("moved, then turned: %v", b)
	}
	// A mirror within a mirror faces outwards again.
	f = parsed(t, holding(t, modelText("", object(1, tetra("2"))+
		object(2, components(component(1, `transform="-1 0 0 0 1 0 0 0 1 0 0 0"`))), item(2, `transform="1 0 0 0 1 0 0 0 -1 0 0 0"`))))
	if v := volume(t, f.Mesh); math.Abs(v-8./6) > 1e-6 {
		t.Errorf("mirrored twice: volume %g", v)
	}
}

func TestItemsAndComponentsAreAllTaken(t *testing.T) {
	f := parsed(t, holding(t, modelText("",
		object(1, tetra("2"))+`<object id="2" name="fin" type="model">`+tetra("1")+"</object>"+
			object(3, components(component(1, ""), component(2, `transform="1 0 0 0 1 0 0 0 1 5 0 0"`)))+
			`<object id="9" type="support">`+tetra("3")+"</object>"+`<object id="10">`+tetra("7")+"</object>",
		item(3, "")+item(2, `transform="1 0 0 0 1 0 0 0 1 20 0 0"`)+item(9, ""))))
	if n := len(f.Mesh.Triangles); n != 12 || f.Items != 3 {
		t.Fatalf("%d triangles of %d items, want 12 of 3", n, f.Items)
	}
	want := []Part{{"", 0, 4}, {"fin", 4, 4}, {"fin", 8, 4}}
	if !slices.Equal(f.Objects, want) {
		t.Errorf("objects %+v, want %+v", f.Objects, want)
	}
	if v := volume(t, f.Mesh); math.Abs(v-10./6) > 1e-6 {
		t.Errorf("volume %g, want %g", v, 10./6)
	}
	if len(f.Notes) != 1 || !strings.Contains(f.Notes[0], "1 objects of type support") {
		t.Errorf("notes %q", f.Notes)
	}
}

// The same model in other givings of the same XML.
func TestGivings(t *testing.T) {
	want := parsed(t, holding(t, simple())).Mesh
	plain := simple()
	prefixed := strings.NewReplacer(`xmlns="`, `xmlns:c="`, "</", "</c:", "<?", "<?", "<", "<c:").Replace(plain)
	for name, text := range map[string]string{
		"byte order mark":     "\xef\xbb\xbf" + plain,
		"prefixes":            prefixed,
		"single quotes":       strings.ReplaceAll(plain, `"`, `'`),
		"comments":            strings.ReplaceAll(plain, "><", `><!-- <vertex x="9" --><`),
		"blanks":              strings.NewReplacer("><", ">\n\t<", `="`, "\n= \t\"", "/>", " \n/>").Replace(plain),
		"blanks in values":    strings.ReplaceAll(plain, `="2"`, `=" 2 "`),
		"ends written out":    strings.NewReplacer(`z="0"/>`, `z="0"></vertex>`, `v3="1"/>`, `v3="1">text</triangle>`).Replace(plain),
		"exponents":           strings.ReplaceAll(plain, `="2" y`, `="+0.2E1" y`),
		"other attributes":    strings.NewReplacer("<vertex ", `<vertex xmlns:q="urn:q" q:x="5" `, "<object ", `<object pid="7" q="s" thumbnail="/no" `).Replace(plain),
		"metadata":            strings.Replace(plain, "<resources>", `<metadata name="Title">a &amp; <!-- b --> <![CDATA[<vertex x=]]></metadata><resources><basematerials id="7"><base name="n" displaycolor="#fff"/></basematerials>`, 1),
		"foreign elements":    strings.NewReplacer("</mesh>", `<q:mesh xmlns:q="urn:q"><vertices/><mesh xmlns="`+coreSpace+`"/><q:mesh/></q:mesh></mesh>`, "<build>", `<build><q:item xmlns:q="urn:q" objectid="77"/>`).Replace(plain),
		"a required harmless": strings.Replace(plain, "<model ", `<model xmlns:m="http://schemas.microsoft.com/3dmanufacturing/material/2015/02" requiredextensions="m" `, 1),
		"empty elements":      strings.Replace(plain, "</build>", `</build><q:x xmlns:q="urn:q"/>`, 1) + "<!-- end -->\n<?end?>",
		"numbers as entities": strings.Replace(plain, `<object id="1"`, `<object name="&lt;&#65;&quot;" id="1"`, 1),
	} {
		f, err := Parse(bg, holding(t, text), "")
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if !slices.Equal(f.Mesh.Vertices, want.Vertices) || !slices.Equal(f.Mesh.Triangles, want.Triangles) {
			t.Errorf("%s: another mesh", name)
		}
	}
	units := utf16.Encode([]rune(strings.Replace(plain, "UTF-8", "UTF-16", 1)))
	for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
		b := order.AppendUint16(nil, 0xfeff)
		for _, u := range units {
			b = order.AppendUint16(b, u)
		}
		if f, err := Parse(bg, holding(t, string(b)), ""); err != nil || !slices.Equal(f.Mesh.Vertices, want.Vertices) {
			t.Errorf("UTF-16 %v: %v", order, err)
		}
	}
}

// Objects in parts of their own, as the production extension has them.
func TestObjectsInOtherParts(t *testing.T) {
	prod := `xmlns:pp="` + productionSpace + `" requiredextensions="pp"`
	other := modelText("", object(1, tetra("2"))+object(4, components(component(1, ""))), "")
	data := holding(t, modelText(prod, object(8, components(component(4, `pp:path="/3D/Objects/a.model" pp:UUID="x"`))), item(8, "")+item(1, `pp:path="/3d/objects/A.model" transform="1 0 0 0 1 0 0 0 1 9 9 9"`)),
		"3D/Objects/a.model", other)
	if f := parsed(t, data); len(f.Mesh.Triangles) != 8 {
		t.Errorf("%d triangles, want 8", len(f.Mesh.Triangles))
	}
	for text, want := range map[string]string{
		modelText(prod, object(8, components(component(4, `pp:path="/3D/none.model"`))), item(8, "")):                     "is named but not in the package",
		modelText(prod, object(8, components(component(4, `pp:path="/_rels/.rels"`))), item(8, "")):                       "not declared as a 3D model",
		modelText(prod, object(8, components(component(9, `pp:path="/3D/Objects/a.model"`))), item(8, "")):                "component 9 that is not there",
		modelText(prod, object(8, components(component(4, `pp:path="/3D/Objects/b.model"`))), item(8, "")):                "only the root model may have",
		modelText(prod+` unit="inch"`, object(8, components(component(4, `pp:path="/3D/Objects/a.model"`))), item(8, "")): "is in millimeters",
	} {
		_, err := Parse(bg, holding(t, text, "3D/Objects/a.model", other, "3D/Objects/b.model",
			modelText(prod, object(4, components(component(1, `pp:path="/3D/Objects/a.model"`))), "")), "")
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want ...%s...", err, want)
		}
	}
}

func TestParseStopsWhenCancelled(t *testing.T) {
	data := holding(t, simple())
	ctx := &countdown{Context: bg}
	for n := 0; ; n++ {
		ctx.left = n
		_, err := Parse(ctx, data, "")
		if err == nil {
			if n < 3 {
				t.Errorf("asked only %d times whether to stop", n)
			}
			return
		}
		if !errors.Is(err, errStop) {
			t.Fatalf("stopped at %d with %v", n, err)
		}
	}
}

func BenchmarkParse(b *testing.B) {
	m := meshtest.Ring(10, 3, 300)
	var data bytes.Buffer
	if err := Write(bg, &data, Object{"ring", m}); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(data.Len()))
	for b.Loop() {
		if _, err := Parse(bg, data.Bytes(), ""); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(m.Triangles)), "triangles")
}
