package stl

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"unicode/utf16"

	"falsework/mesh"
	"falsework/mesh/internal/whole"
)

// MaxCoordinate is the greatest coordinate accepted: a thousand kilometres in
// millimetres, far beyond any part, and small enough that no sum or product
// overflows later.
const MaxCoordinate = 1e9

// A Format is one of the two forms of STL.
type Format int

// The forms.
const (
	Binary Format = iota
	ASCII
)

func (f Format) String() string {
	if f == ASCII {
		return "ascii"
	}
	return "binary"
}

// A Solid is a named run of triangles in an ASCII file.
type Solid struct {
	Name         string
	First, Count int // triangles
}

// A File is what was read. Triangle i of the mesh was made from record i:
// mesh.RecordSize bytes as in a binary file, also when it was ASCII.
type File struct {
	Mesh    *mesh.Mesh
	Records []byte
	Format  Format
	Header  string  // the 80 bytes before a binary file's count
	Solids  []Solid // of an ASCII file
}

// ReadFile reads the file at path. The error is an [*Error], one of the
// system, or that of ctx.
func ReadFile(ctx context.Context, path string) (*File, error) {
	data, err := Load(ctx, path)
	if err != nil {
		return nil, err
	}
	return Parse(ctx, data, path)
}

// Read reads all of r. The name is for messages.
func Read(ctx context.Context, r io.Reader, name string) (*File, error) {
	data, err := whole.Stream(ctx, r)
	if err != nil {
		return nil, fmt.Errorf("cannot read %s: %w", name, err)
	}
	return Parse(ctx, data, name)
}

// Load returns the bytes of a file that stays as it is while it is read, and
// is no longer than the longest STL file of a mesh. Its errors are those of
// [ReadFile].
func Load(ctx context.Context, path string) ([]byte, error) {
	data, err := whole.File(ctx, path, 84+mesh.RecordSize*mesh.MaxTriangles)
	switch {
	case errors.Is(err, whole.ErrDirectory):
		return nil, &Error{Kind: Unreadable, Name: path, Text: "is a directory, not a part; name an STL or 3MF file"}
	case errors.Is(err, whole.ErrChanged):
		return nil, &Error{Kind: Unreadable, Name: path, Text: "changed while it was read; run again when it is complete"}
	case errors.Is(err, whole.ErrTooLarge):
		return nil, tooLarge(path, "its size")
	}
	return data, err
}

func tooLarge(name, size string) *Error {
	return &Error{Kind: TooLarge, Name: name, Text: fmt.Sprintf("%s is more than the %d triangles a part may have; simplify it", size, mesh.MaxTriangles)}
}

// Parse reads a file held in memory. The result keeps the data of a binary
// file; they must not be changed afterwards.
func Parse(ctx context.Context, data []byte, name string) (*File, error) {
	return parseBy(ctx, data, name, mesh.Weld)
}

// ParseAgain reads back data that were written of m, as [Parse] does but for
// the numbers of the vertices, which may be those of m: see [mesh.Reweld].
func ParseAgain(ctx context.Context, data []byte, name string, m *mesh.Mesh) (*File, error) {
	return parseBy(ctx, data, name, func(ctx context.Context, records []byte) (*mesh.Mesh, error) {
		return mesh.Reweld(ctx, records, m)
	})
}

func parseBy(ctx context.Context, data []byte, name string, weld func(context.Context, []byte) (*mesh.Mesh, error)) (*File, error) {
	f, err := parse(ctx, data)
	if err == nil && len(f.Records) == 0 {
		err = &Error{Kind: Empty, Text: "holds no triangles; export the part again"}
	}
	if err == nil {
		f.Mesh, err = weld(ctx, f.Records)
	}
	if err == nil && !usable(f.Mesh.Vertices) {
		err = badNumber(f.Records)
	}
	var e *Error
	if errors.As(err, &e) {
		e.Name = name
	}
	if err != nil {
		return nil, err
	}
	return f, nil
}

// HeadSize is the length of a binary file before its first triangle.
const HeadSize = 84

// FitsSize tells whether a file that begins with these bytes, HeadSize of them
// at least, is as long as a binary STL file's own count says.
func FitsSize(begin []byte, size int64) bool {
	return len(begin) >= HeadSize && HeadSize+int64(binary.LittleEndian.Uint32(begin[80:]))*mesh.RecordSize == size
}

func parse(ctx context.Context, data []byte) (*File, error) {
	declared := int64(-1)
	if len(data) >= HeadSize {
		declared = int64(binary.LittleEndian.Uint32(data[80:]))
		if declared > mesh.MaxTriangles && HeadSize+declared*mesh.RecordSize == int64(len(data)) {
			return nil, tooLarge("", fmt.Sprintf("a count of %d", declared))
		}
		if HeadSize+declared*mesh.RecordSize == int64(len(data)) {
			return &File{Records: data[HeadSize:], Format: Binary, Header: string(data[:80])}, nil
		}
	}
	text := plain(data)
	switch {
	case len(bytes.TrimSpace(text)) == 0:
		return nil, &Error{Kind: Empty, Text: "is empty; export the part again"}
	case looksASCII(text):
		return parseASCII(ctx, text)
	case declared >= 0 && !bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return nil, mismatch(len(data), declared)
	case declared < 0 && len(data) < HeadSize && bytes.IndexByte(data, 0) >= 0:
		return nil, &Error{Kind: Truncated, Text: fmt.Sprintf("has %d bytes, but a binary STL begins with %d; it is cut short, copy or export it again", len(data), HeadSize)}
	}
	return nil, &Error{Kind: Foreign, Text: "is no STL file, neither binary nor ASCII, and no 3MF file; export the part as one of them"}
}

// mismatch words the error of a binary file whose size and count disagree.
func mismatch(size int, declared int64) *Error {
	held := (int64(size) - 84) / mesh.RecordSize
	hint := "it has bytes to spare"
	if declared > held {
		hint = "it is cut short"
	}
	return &Error{Kind: Mismatch, Text: fmt.Sprintf("declares %d triangles (%d bytes) but has %d bytes, room for %d; %s, or is no STL: copy or export it again",
		declared, 84+declared*mesh.RecordSize, size, held, hint)}
}

// plain returns text without a byte order mark, and UTF-16 text as UTF-8.
func plain(data []byte) []byte {
	switch {
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		return data[3:]
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")):
		var order binary.ByteOrder = binary.LittleEndian
		if data[0] == 0xfe {
			order = binary.BigEndian
		}
		u := make([]uint16, (len(data)-2)/2)
		for i := range u {
			u[i] = order.Uint16(data[2+2*i:])
		}
		return []byte(string(utf16.Decode(u)))
	}
	return data
}

// looksASCII tells whether text begins as an ASCII STL does: the word solid
// after blanks, and no control bytes near it. A binary file may begin with
// the word too, but its count then holds a zero byte.
func looksASCII(text []byte) bool {
	s := scanner{data: text}
	if !is(s.next(), "solid") {
		return false
	}
	for _, c := range text[:min(len(text), 512)] {
		if c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\v' && c != '\f' || c == 0x7f {
			return false
		}
	}
	return true
}

// limit is MaxCoordinate as bits. Without its sign, a float's bits order as
// its value does, NaN last.
var limit = math.Float32bits(MaxCoordinate)

// usable tells whether all coordinates are finite and not huge. Vertices are
// asked, of which there are a sixth as many as corners.
func usable(vertices [][3]float32) bool {
	for i := range vertices {
		for _, x := range vertices[i] {
			if math.Float32bits(x)&^(1<<31) > limit {
				return false
			}
		}
	}
	return true
}

// badNumber names the first coordinate of the records that is not usable.
func badNumber(records []byte) error {
	for t := 0; t < len(records)/mesh.RecordSize; t++ {
		for i := 12; i < 48; i += 4 {
			x := math.Float32frombits(binary.LittleEndian.Uint32(records[t*mesh.RecordSize+i:]))
			if !(math.Abs(float64(x)) <= MaxCoordinate) {
				return badCoordinate(t+1, 0, fmt.Sprint(x))
			}
		}
	}
	return nil
}

func badCoordinate(triangle, line int, what string) *Error {
	return &Error{Kind: BadNumber, Triangle: triangle, Line: line,
		Text: fmt.Sprintf("coordinate %s is not a finite number below %g; the file is damaged, export the part again", what, float64(MaxCoordinate))}
}
