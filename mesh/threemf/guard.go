package threemf

import (
	"bytes"
	"context"
	"math"
	"strconv"
	"strings"

	"github.com/hpinc/go3mf"
)

// Namespaces whose elements or attributes are read, and those of extensions
// that do not change what is solid, so that a file may require them.
const (
	coreSpace       = go3mf.Namespace
	productionSpace = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
)

var harmless = map[string]bool{
	coreSpace:       true,
	productionSpace: true,
	"http://schemas.microsoft.com/3dmanufacturing/material/2015/02":     true, // colours and materials
	"http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07": true, // named groups of triangles
}

// mostValue is the longest value of an attribute that is read, in bytes.
const mostValue = 1 << 12

// pathPrefix stands before the attribute path of the production extension in
// what [guard] leaves.
const pathPrefix = "p"

// A holds is what an attribute may hold.
type holds int

const (
	text holds = iota
	number
	index  // 0 to 2^31-1
	id     // 1 to 2^31-1
	matrix // 12 numbers
	place  // the name of a part, in the namespace of production
)

// A rule says how an attribute is to be.
type rule struct {
	name   string
	holds  holds
	needed bool
}

// An element is one that the reader follows; everything else of the core
// namespace that is known is passed over.
type element struct {
	name   string
	in     string // its parent, empty for the root
	attrs  []rule
	once   bool // at most once in its parent
	most   int  // in a model; 0 for as many as the text has room for
	leaf   bool // nothing in it is read; written as an empty element
	clause string
}

var elements = []element{
	{name: "model", clause: clauseModel, attrs: []rule{{"unit", text, false}, {"requiredextensions", text, false}}},
	{name: "resources", in: "model", once: true, clause: clauseResources},
	{name: "build", in: "model", once: true, clause: clauseBuild},
	{name: "item", leaf: true, most: 1 << 16, in: "build", clause: clauseItem, attrs: []rule{{"objectid", id, true}, {"transform", matrix, false}, {"path", place, false}}},
	{name: "object", most: 1 << 16, in: "resources", clause: clauseObject, attrs: []rule{{"id", id, true}, {"type", text, false}, {"name", text, false}}},
	{name: "mesh", in: "object", once: true, clause: clauseMesh},
	{name: "vertices", in: "mesh", once: true, clause: clauseMesh},
	{name: "vertex", leaf: true, in: "vertices", clause: clauseVertex, attrs: []rule{{"x", number, true}, {"y", number, true}, {"z", number, true}}},
	{name: "triangles", in: "mesh", once: true, clause: clauseMesh},
	{name: "triangle", leaf: true, in: "triangles", clause: clauseTriangle, attrs: []rule{{"v1", index, true}, {"v2", index, true}, {"v3", index, true}}},
	{name: "components", in: "object", once: true, clause: clauseComponent},
	{name: "component", leaf: true, most: 1 << 18, in: "components", clause: clauseComponent, attrs: []rule{{"objectid", id, true}, {"transform", matrix, false}, {"path", place, false}}},
}

// Numbers of elements in the table.
var meshElement, vertexElement, triangleElement = numberOf("mesh"), numberOf("vertex"), numberOf("triangle")

func numberOf(name string) int {
	for i := range elements {
		if elements[i].name == name {
			return i
		}
	}
	panic(name)
}

// oneOf lists the words that an attribute may hold.
var oneOf = map[string]string{
	"unit": " micron millimeter centimeter inch foot meter ",
	"type": " model solidsupport support surface other ",
}

// passed are elements of the core namespace that say nothing of the shape.
var passed = map[string]bool{"metadata": true, "metadatagroup": true, "basematerials": true, "base": true}

// A guard reads a model's XML once, holds it to the rules, and leaves only the
// elements and attributes of the table, rewritten in place: plain names of the
// core namespace, in the structure that the specification prescribes. What it
// leaves is safe for the library, which follows tags by name alone, knows no
// comments, and takes an attribute that is missing as 0. Vertices and triangles
// are kept while they are judged, and not left for a second reading.
//
// Whatever is written is no longer than what it stands for, and comes in the
// same order: so it never runs into what is still to be read.
type guard struct {
	scanner
	out      int // bytes written, never beyond what was read
	spaces   []binding
	stack    []frame
	surfaces []surface // of the mesh elements, in order
	counts   [16]int   // of elements by their number in the table
}

// A surface is what a mesh element lists.
type surface struct {
	vertices  [][3]float32
	triangles [][3]uint32
}

// A binding is a namespace declared for a prefix by the element at a depth.
type binding struct {
	prefix string
	space  string
	depth  int
}

// A frame is an open element of the table, or -1 for one passed over.
type frame struct {
	element int
	seen    uint64 // children by their number in the table
	ended   bool   // written as an empty element
}

// clean returns what the library shall read, in the storage of xml, and the
// surfaces of the mesh elements in order.
func clean(ctx context.Context, xml []byte) ([]byte, []surface, error) {
	g := &guard{scanner: scanner{b: xml}}
	for n := 0; ; n++ {
		if n&0xffff == 0 && ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		start, more, err := g.next()
		if err != nil {
			return nil, nil, err
		}
		if !more {
			return g.b[:g.out], g.surfaces, nil
		}
		g.here()
		if start {
			err = g.opened()
		} else {
			g.closed()
		}
		if err != nil {
			return nil, nil, err
		}
	}
}

func (g *guard) write(s ...string) {
	for _, s := range s {
		g.out += copy(g.b[g.out:], s)
	}
}

// closed ends the innermost open element.
func (g *guard) closed() {
	top := len(g.stack) - 1
	if f := g.stack[top]; f.element >= 0 && !f.ended {
		g.write("</", elements[f.element].name, ">")
	}
	g.stack = g.stack[:top]
	for len(g.spaces) > 0 && g.spaces[len(g.spaces)-1].depth > g.depth {
		g.spaces = g.spaces[:len(g.spaces)-1]
	}
}

// opened judges an element that begins, and writes it when it is to be read.
func (g *guard) opened() error {
	if err := g.declare(); err != nil {
		return err
	}
	parent := frame{element: -1}
	if n := len(g.stack); n > 0 {
		if parent = g.stack[n-1]; parent.element < 0 {
			g.stack = append(g.stack, frame{element: -1})
			return nil
		}
	}
	space, local := g.resolve(g.tag.name, true)
	if len(g.stack) == 0 && (space != coreSpace || string(local) != "model") {
		return g.at(forbidden(clauseModel, "begins with %s, not with a model of the core namespace; it is no 3MF model, or of a version not read here", show(string(g.tag.name))))
	}
	if space != coreSpace || passed[string(local)] {
		g.stack = append(g.stack, frame{element: -1})
		return nil
	}
	e := g.known(local, parent)
	if e < 0 {
		return g.at(forbidden(clauseModel, "has an element %s where the format knows none; export the part again", show(string(local))))
	}
	if n := len(g.stack); n > 0 {
		bit := uint64(1) << e
		if elements[e].once && parent.seen&bit != 0 {
			return g.at(forbidden(elements[e].clause, "has a second %s in one %s; export the part again", local, elements[e].in))
		}
		g.stack[n-1].seen |= bit
	}
	ended := g.tag.empty || elements[e].leaf
	g.stack = append(g.stack, frame{element: e, ended: ended})
	if g.counts[e]++; elements[e].most > 0 && g.counts[e] > elements[e].most {
		return g.at(oversize("has more than %d %ss; export the part alone", elements[e].most, elements[e].name))
	}
	switch e {
	case vertexElement:
		return g.vertex()
	case triangleElement:
		return g.triangle()
	case meshElement:
		g.surfaces = append(g.surfaces, surface{})
	}
	return g.emit(e, ended)
}

// known returns the number of the element of that name in its parent.
func (g *guard) known(local []byte, parent frame) int {
	in := ""
	if parent.element >= 0 {
		in = elements[parent.element].name
	}
	for i := range elements {
		if elements[i].in == in && elements[i].name == string(local) {
			return i
		}
	}
	return -1
}

// declare notes the namespaces that an element declares.
func (g *guard) declare() error {
	for _, a := range g.tag.attrs {
		prefix, ok := bytes.CutPrefix(a.name, []byte("xmlns"))
		if !ok || len(prefix) > 0 && prefix[0] != ':' {
			continue
		}
		if len(g.spaces) == mostSpace {
			return g.at(oversize("declares more than %d namespaces at one place; export the part again", mostSpace))
		}
		if len(prefix) > 0 {
			prefix = prefix[1:]
		}
		g.spaces = append(g.spaces, binding{string(prefix), string(a.value), g.depth})
	}
	return nil
}

// resolve returns the namespace and the local part of a name. A prefix that
// is not declared stands for itself, and so for nothing known.
func (g *guard) resolve(name []byte, isElement bool) (space string, local []byte) {
	prefix, rest, ok := bytes.Cut(name, []byte{':'})
	if !ok {
		prefix, rest = nil, name
		if !isElement {
			return "", rest
		}
	}
	for i := len(g.spaces) - 1; i >= 0; i-- {
		if g.spaces[i].prefix == string(prefix) {
			return g.spaces[i].space, rest
		}
	}
	return string(prefix), rest
}

// emit writes the element with what is read of its attributes.
func (g *guard) emit(e int, ended bool) error {
	el := &elements[e]
	g.write("<", el.name)
	err := g.each(el, func(r *rule, a *attribute, value []byte) error {
		if err := g.judge(el, r, value); err != nil {
			return err
		}
		g.write(" ")
		if r.holds == place {
			g.write(pathPrefix, ":")
		}
		g.write(r.name, "=")
		g.b[g.out] = a.quote
		g.out++
		g.out += copy(g.b[g.out:], value)
		g.b[g.out] = a.quote
		g.out++
		return nil
	})
	if err != nil {
		return err
	}
	if el.in == "" {
		g.write(` xmlns="`, coreSpace, `"`)
	}
	if ended {
		g.write("/>")
	} else {
		g.write(">")
	}
	return nil
}

// each hands the attributes that are read to f, with their rules and without
// blanks round them, and refuses an element that lacks one it needs.
func (g *guard) each(el *element, f func(r *rule, a *attribute, value []byte) error) error {
	var seen uint32
	for i := range g.tag.attrs {
		a := &g.tag.attrs[i]
		space, local := g.resolve(a.name, false)
		r := el.rule(space, local)
		if r < 0 {
			continue
		}
		if seen&(1<<r) != 0 {
			return g.malformed("an attribute " + el.attrs[r].name + " twice in one element")
		}
		seen |= 1 << r
		if err := f(&el.attrs[r], a, bytes.Trim(a.value, " \t\r\n")); err != nil {
			return err
		}
	}
	for i, r := range el.attrs {
		if r.needed && seen&(1<<i) == 0 {
			return g.at(forbidden(el.clause, "has a %s without %s; export the part again", el.name, r.name))
		}
	}
	return nil
}

// vertex keeps a vertex of the mesh that is open.
func (g *guard) vertex() error {
	el := &elements[vertexElement]
	var v [3]float32
	err := g.each(el, func(r *rule, _ *attribute, value []byte) error {
		x, ok := number32(value)
		v[r.name[0]-'x'] = x
		if !ok {
			return g.judge(el, r, value)
		}
		return nil
	})
	s := &g.surfaces[len(g.surfaces)-1]
	s.vertices = append(s.vertices, v)
	return err
}

// triangle keeps a triangle of the mesh that is open.
func (g *guard) triangle() error {
	el := &elements[triangleElement]
	var t [3]uint32
	err := g.each(el, func(r *rule, _ *attribute, value []byte) error {
		n, ok := index31(value)
		t[r.name[1]-'1'] = n
		if !ok {
			return g.judge(el, r, value)
		}
		return nil
	})
	s := &g.surfaces[len(g.surfaces)-1]
	s.triangles = append(s.triangles, t)
	return err
}

// rule returns the number of the rule for an attribute, or -1.
func (el *element) rule(space string, local []byte) int {
	for i, r := range el.attrs {
		want := ""
		if r.holds == place {
			want = productionSpace
		}
		if want == space && r.name == string(local) {
			return i
		}
	}
	return -1
}

// judge holds a value to its rule.
func (g *guard) judge(el *element, r *rule, value []byte) error {
	wrong := func(want string) error {
		return g.at(forbidden(el.clause, "has a %s whose %s is %s, not %s; export the part again", el.name, r.name, show(string(value)), want))
	}
	switch r.holds {
	case number:
		if _, ok := number32(value); !ok {
			return wrong("a finite number below 1e9")
		}
	case index, id:
		if _, ok := index31(value); !ok {
			return wrong("a whole number below 2147483648")
		}
		if r.holds == id && strings.Trim(string(value), "0") == "" {
			return g.at(forbidden(clauseResources, "has a %s whose %s is 0, where numbers begin at 1; export the part again", el.name, r.name))
		}
	case matrix:
		if len(value) > mostValue {
			return g.at(oversize("has a transform of %d bytes; export the part again", len(value)))
		}
		fields := bytes.Fields(value)
		if len(fields) != 12 {
			return g.at(forbidden(clauseMatrix, "has a transform of %d numbers, not 12; export the part again", len(fields)))
		}
		for _, f := range fields {
			if _, ok := number32(f); !ok {
				return g.at(forbidden(clauseMatrix, "has a transform with %s, which is no finite number below 1e9; export the part again", show(string(f))))
			}
		}
	case text, place:
		if len(value) > mostValue {
			return g.at(oversize("has a %s of %d bytes; export the part again", r.name, len(value)))
		}
		switch words := oneOf[r.name]; {
		case r.name == "requiredextensions":
			return g.extensions(value)
		case words != "" && !strings.Contains(words, " "+string(value)+" "):
			return wrong("one of" + strings.TrimRight(words, " "))
		}
	}
	return nil
}

// extensions refuses what the file requires and the reader does not know.
func (g *guard) extensions(value []byte) error {
	for _, prefix := range bytes.Fields(value) {
		if space, _ := g.resolve(append(append([]byte{}, prefix...), ':'), true); !harmless[space] {
			return g.at(&Error{Kind: Unsupported, Clause: clauseExtensions,
				Text: "requires the extension " + show(space) + ", which is not read here; export the part without it, or as STL"})
		}
	}
	return nil
}

// number32 returns a value that is a decimal number, finite and at most the
// greatest coordinate.
func number32(b []byte) (float32, bool) {
	if len(b) == 0 || len(b) > 400 {
		return 0, false
	}
	for _, c := range b {
		if (c < '0' || c > '9') && c != '+' && c != '-' && c != '.' && c != 'e' && c != 'E' {
			return 0, false
		}
	}
	x, err := strconv.ParseFloat(string(b), 32)
	return float32(x), err == nil && math.Abs(x) <= maxCoordinate
}

// maxCoordinate is the greatest coordinate accepted, as in STL files.
const maxCoordinate = 1e9

// index31 returns a value that is a whole number from 0 to 2^31-1.
func index31(b []byte) (uint32, bool) {
	if len(b) == 0 || len(b) > 32 {
		return 0, false
	}
	n := uint64(0)
	for _, c := range b {
		if c < '0' || c > '9' || n > math.MaxInt32 {
			return 0, false
		}
		n = 10*n + uint64(c-'0')
	}
	return uint32(min(n, math.MaxInt32)), n <= math.MaxInt32
}
