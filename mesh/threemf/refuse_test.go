package threemf

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"testing"
)

var errStop = errors.New("stop")

// A countdown is a context that ends after it was asked so many times.
type countdown struct {
	context.Context
	left int
}

func (c *countdown) Err() error {
	if c.left--; c.left < 0 {
		return errStop
	}
	return nil
}

// refused parses and returns the error as ours.
func refused(t *testing.T, data []byte) *Error {
	t.Helper()
	f, err := Parse(bg, data, "x.3mf")
	var e *Error
	if !errors.As(err, &e) || f != nil {
		t.Fatalf("got %v, %v; want a refusal", f, err)
	}
	if text := e.Error(); strings.ContainsAny(text, "\n\r") || !strings.HasPrefix(text, "x.3mf: ") || len(text) > 400 {
		t.Errorf("message %q", text)
	}
	return e
}

func TestWhatTheSpecificationForbidsIsRefusedWithItsClause(t *testing.T) {
	one := object(1, tetra("2"))
	swap := func(old, by string) string {
		s := strings.Replace(simple(), old, by, 1)
		if s == simple() {
			t.Fatalf("%q is not in the model", old)
		}
		return s
	}
	for _, c := range []struct{ name, text, clause, want string }{
		{"document type", "<!DOCTYPE model [<!ENTITY a 'b'>]>" + simple(), clauseXML, "document type"},
		{"another encoding", swap("UTF-8", "ISO-8859-1"), clauseXML, "iso-8859-1"},
		{"another root", swap(coreSpace, "urn:other"), clauseModel, "not with a model"},
		{"unknown unit", modelText(`unit="furlong"`, one, item(1, "")), clauseModel, "unit is furlong, not one of micron millimeter"},
		{"unknown element", swap("<build>", "<built/><build>"), clauseModel, "element built"},
		{"element out of place", swap("<build>", "<mesh/><build>"), clauseModel, "element mesh"},
		{"two builds", swap("<build>", "<build/><build>"), clauseBuild, "second build"},
		{"required extension", modelText(`xmlns:b="urn:beams" requiredextensions="b"`, one, item(1, "")), clauseExtensions, "urn:beams"},
		{"required but not declared", modelText(`requiredextensions="zz"`, one, item(1, "")), clauseExtensions, "zz"},
		{"object without number", swap(`object id="1"`, `object`), clauseObject, "object without id"},
		{"number 0", modelText("", object(0, tetra("2")), item(1, "")), clauseResources, "id is 0"},
		{"number twice", modelText("", one+one, item(1, "")), clauseResources, "two objects have the number 1"},
		{"unknown type", swap(`object id="1"`, `object id="1" type="ghost"`), clauseObject, "type is ghost"},
		{"neither mesh nor components", modelText("", object(1, ""), item(1, "")), clauseObject, "either a mesh or components"},
		{"mesh and components", modelText("", one+object(2, tetra("1")+components(component(1, ""))), item(2, "")), clauseObject, "either a mesh or components"},
		{"two meshes", swap("<mesh>", "<mesh></mesh><mesh>"), clauseMesh, "second mesh"},
		{"too few triangles", modelText("", object(1, strings.Replace(tetra("2"), `<triangle v1="2" v2="0" v3="3"/>`, "", 1)), item(1, "")), clauseMesh, "4 vertices and 3 triangles"},
		{"vertex without z", swap(` z="0"`, ""), clauseVertex, "vertex without z"},
		{"not a number", swap(`x="2"`, `x="NaN"`), clauseVertex, "x is NaN"},
		{"infinite", swap(`x="2"`, `x="inf"`), clauseVertex, "x is inf"},
		{"beyond float", swap(`x="2"`, `x="1e99"`), clauseVertex, "x is 1e99"},
		{"huge", swap(`x="2"`, `x="2e9"`), clauseVertex, "x is 2e9"},
		{"hexadecimal", swap(`x="2"`, `x="0x1p4"`), clauseVertex, "x is 0x1p4"},
		{"decimal comma", swap(`x="2"`, `x="2,5"`), clauseVertex, "x is 2,5"},
		{"empty number", swap(`x="2"`, `x=""`), clauseVertex, "x is , not"},
		{"index beyond", swap(`v1="1"`, `v1="4"`), clauseTriangle, "names vertex 4 of 4"},
		{"index below", swap(`v1="1"`, `v1="-1"`), clauseTriangle, "v1 is -1"},
		{"index of 2^32", swap(`v1="1"`, `v1="4294967297"`), clauseTriangle, "v1 is 4294967297"},
		{"vertex twice", swap(`v1="1" v2="2"`, `v1="2" v2="2"`), clauseTriangle, "triangle 3 names vertex 2 twice"},
		{"component of itself", modelText("", one+object(2, components(component(2, ""))), item(2, "")), clauseComponent, "component 2"},
		{"components in a ring", modelText("", one+object(2, components(component(3, "")))+object(3, components(component(2, ""))), item(2, "")), clauseComponent, "component 3"},
		{"no such component", modelText("", one+object(2, components(component(7, ""))), item(2, "")), clauseComponent, "component 7"},
		{"no components", modelText("", one+object(2, components()), item(2, "")), clauseComponent, "no components"},
		{"short transform", modelText("", one, item(1, `transform="1 0 0 0 1 0 0 0 1 0 0"`)), clauseMatrix, "11 numbers"},
		{"infinite transform", modelText("", one, item(1, `transform="1 0 0 0 1 0 0 0 1 0 0 inf"`)), clauseMatrix, "inf"},
		{"flattening transform", modelText("", one, item(1, `transform="1 0 0 0 1 0 0 0 0 0 0 0"`)), clauseMatrix, "flattens"},
		{"placed beyond", modelText(`unit="meter"`, one, item(1, `transform="1 0 0 0 1 0 0 0 1 9e8 0 0"`)), clauseMatrix, "placed beyond"},
		{"no such item", modelText("", one, item(3, "")), clauseItem, "object 3"},
		{"item without object", modelText("", one, "<item/>"), clauseItem, "item without objectid"},
		{"item of type other", modelText("", `<object id="1" type="other">`+tetra("2")+"</object>", item(1, "")), clauseItem, "type other"},
	} {
		e := refused(t, holding(t, c.text))
		if e.Clause != c.clause || !strings.Contains(e.Error(), c.want) || !strings.Contains(e.Error(), "clause "+c.clause) {
			t.Errorf("%s: %v (clause %s), want ...%s... by clause %s", c.name, e, e.Clause, c.want, c.clause)
		}
		if e.Part != modelName && e.Part != "/"+modelName {
			t.Errorf("%s: blames part %q", c.name, e.Part)
		}
	}
}

func TestErrorsNameTheLine(t *testing.T) {
	text := strings.ReplaceAll(simple(), "><", ">\n<")
	line := 1 + strings.Count(text[:strings.Index(text, `v1="1"`)], "\n")
	e := refused(t, holding(t, strings.Replace(text, `v1="1"`, `v1="one"`, 1)))
	if e.Line != line {
		t.Errorf("line %d, want %d: %v", e.Line, line, e)
	}
}

func TestBrokenPackagesAreRefused(t *testing.T) {
	whole := holding(t, simple())
	for _, c := range []struct {
		name string
		data []byte
		kind Kind
		want string
	}{
		{"nothing", nil, Foreign, "no 3MF"},
		{"text", []byte("solid x"), Foreign, "no 3MF"},
		{"a head alone", whole[:40], Damaged, "ZIP"},
		{"cut short", whole[:len(whole)-30], Damaged, "ZIP"},
		{"an empty package", packed(t), Forbidden, "[Content_Types].xml"},
		{"no root", packed(t, contentTypesName, contentTypes), Forbidden, "_rels/.rels"},
		{"no model named", packed(t, contentTypesName, contentTypes, "_rels/.rels", "<Relationships/>"), Forbidden, "names no 3D model"},
		{"no model", packed(t, contentTypesName, contentTypes, "_rels/.rels", rels), Forbidden, "not in the package"},
		{"not declared a model", packed(t, contentTypesName, strings.Replace(contentTypes, `"model"`, `"x"`, 1), "_rels/.rels", rels, modelName, simple()), Forbidden, "not declared"},
		{"two models named", packed(t, contentTypesName, contentTypes, "_rels/.rels", strings.Replace(rels, "<Relationship ", `<Relationship Id="b" Target="/b.model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/><Relationship `, 1), modelName, simple()), Forbidden, "more than one"},
		{"outside the package", packed(t, contentTypesName, contentTypes, "_rels/.rels", strings.Replace(rels, "Target=", `TargetMode="External" Target=`, 1), modelName, simple()), Forbidden, "outside"},
		{"one name twice", packed(t, contentTypesName, contentTypes, "_rels/.rels", rels, modelName, simple(), "3d/3DMODEL.model", simple()), Forbidden, "two parts"},
		{"types with a document type", packed(t, contentTypesName, "<!DOCTYPE x>"+contentTypes, "_rels/.rels", rels, modelName, simple()), Forbidden, "document type"},
		{"types no XML", packed(t, contentTypesName, "<a><b></a>", "_rels/.rels", rels, modelName, simple()), Damaged, "well-formed"},
		{"an empty build", holding(t, modelText("", object(1, tetra("2")), "")), Empty, "build is empty"},
		{"supports alone", holding(t, modelText("", `<object id="1" type="support">`+tetra("2")+"</object>", item(1, ""))), Empty, "no solid"},
		{"no text", holding(t, ""), Damaged, "no element"},
		{"text alone", holding(t, "model"), Damaged, "outside its root"},
		{"no end", holding(t, strings.TrimSuffix(simple(), "</model>")), Damaged, "ends inside"},
		{"ended twice", holding(t, simple()+"</model>"), Damaged, "not begun"},
		{"crossed", holding(t, strings.Replace(simple(), "</vertices>", "</mesh>", 1)), Damaged, "not begun"},
		{"two roots", holding(t, simple()+simple()[strings.Index(simple(), "<model"):]), Damaged, "second root"},
		{"an attribute twice", holding(t, strings.Replace(simple(), `x="2"`, `x="2" x="2"`, 1)), Damaged, "twice"},
		{"no quotes", holding(t, strings.Replace(simple(), `x="2"`, `x=2`, 1)), Damaged, "without quotes"},
		{"an open comment", holding(t, strings.Replace(simple(), "<build>", "<!-- <build>", 1)), Damaged, "-->"},
		{"an entity", holding(t, strings.Replace(simple(), `<object `, `<object name="&lol;" `, 1)), Damaged, "entity"},
	} {
		if e := refused(t, c.data); e.Kind != c.kind || !strings.Contains(e.Error(), c.want) {
			t.Errorf("%s: %v (%v), want ...%s... (%v)", c.name, e, e.Kind, c.want, c.kind)
		}
	}
	// Bytes damaged in place are caught by the package's own sums.
	at := strings.Index(string(whole), modelName) + len(modelName) + 40
	spoilt := append([]byte{}, whole...)
	spoilt[at] ^= 0x55
	if e := refused(t, spoilt); e.Kind != Damaged && e.Kind != Forbidden {
		t.Errorf("spoilt: %v", e)
	}
}

// Files made to grow without end are refused within a small multiple of their
// size, in memory as well.
func TestBombsAreRefusedWithinBounds(t *testing.T) {
	many := make([]string, 0, 2*mostEntries)
	for i := range mostEntries + 1 {
		many = append(many, fmt.Sprint("x", i), "")
	}
	ladder := object(1, tetra("2"))
	for i := 2; i < 40; i++ {
		ladder += object(i, components(component(i-1, ""), component(i-1, "")))
	}
	deep := object(1, tetra("2"))
	for i := 2; i < 100; i++ {
		deep += object(i, components(component(i-1, "")))
	}
	idle := object(1, "<mesh><vertices>"+strings.Repeat(`<vertex x="0" y="0" z="0"/>`, 4000)+"</vertices>"+tetra("2")[strings.Index(tetra("2"), "<triangles>"):])
	idle += object(2, components(strings.Repeat(component(1, ""), 30000)))
	spread := func(s string) string { return strings.Replace(simple(), "<build>", s+"<build>", 1) }
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"a long text", holding(t, simple()+strings.Repeat(" ", 12<<20)), "unpacks to more than"},
		{"a long list of types", packed(t, contentTypesName, contentTypes+strings.Repeat(" ", 8<<20), "_rels/.rels", rels, modelName, simple()), "has more than 1048576 bytes"},
		{"many entries", packed(t, many...), "16385 parts"},
		{"doubling components", holding(t, modelText("", ladder, item(39, ""))), "multiply to"},
		{"a ladder of components", holding(t, modelText("", deep, item(99, ""))), "nests components"},
		{"copies of many vertices", holding(t, modelText("", idle, item(2, ""))), "multiply to"},
		{"deep elements", holding(t, spread(strings.Repeat("<q:a xmlns:q='u'>", 5000)+strings.Repeat("</q:a>", 5000))), "more than 64"},
		{"deep open elements", holding(t, strings.Repeat("<a>", 1<<20)), "no 3MF model"},
		{"many attributes", holding(t, spread("<q:a xmlns:q='u' "+attributes(5000)+"/>")), "more than 64 attributes"},
		{"many namespaces", holding(t, spread(namespaces(3))), "more than 64 namespaces"},
		{"a long name", holding(t, spread("<"+strings.Repeat("n", 1<<20)+"/>")), "name of more than 256"},
		{"a long value", holding(t, strings.Replace(simple(), "<object ", `<object name="`+strings.Repeat("n", 1<<20)+`" `, 1)), "name of 1048576 bytes"},
		{"a long transform", holding(t, modelText("", object(1, tetra("2")), item(1, `transform="`+strings.Repeat("1 ", 1<<20)+`"`))), "transform of 2097151 bytes"},
		{"many extensions", holding(t, modelText(`requiredextensions="`+strings.Repeat("a ", 1<<20)+`"`, object(1, tetra("2")), item(1, ""))), "requiredextensions of"},
		{"many objects", holding(t, modelText("", strings.Repeat("<object id='1'/>", 1<<17), item(1, ""))), "more than 65536 objects"},
		{"many items", holding(t, modelText("", object(1, tetra("2")), strings.Repeat("<item objectid='1'/>", 1<<16+1))), "more than 65536 items"},
		{"a long number", holding(t, strings.Replace(simple(), `x="2"`, `x="`+strings.Repeat("0", 1<<20)+`"`, 1)), "x is 000"},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		e := refused(t, c.data)
		runtime.ReadMemStats(&after)
		if !strings.Contains(e.Error(), c.want) {
			t.Errorf("%s: %v, want ...%s...", c.name, e, c.want)
		}
		if got, most := after.TotalAlloc-before.TotalAlloc, uint64(8*(freeBytes+mostRatio*len(c.data))); got > most {
			t.Errorf("%s: a file of %d bytes took %d bytes of memory, at most %d", c.name, len(c.data), got, most)
		}
	}
}

func attributes(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, `a%d="1" `, i)
	}
	return b.String()
}

// namespaces nests elements that declare 30 namespaces each.
func namespaces(depth int) string {
	var b strings.Builder
	for d := range depth {
		b.WriteString("<q:a xmlns:q='u' ")
		for i := range 30 {
			fmt.Fprintf(&b, `xmlns:n%d_%d="u" `, d, i)
		}
		b.WriteString(">")
	}
	return b.String() + strings.Repeat("</q:a>", depth)
}
