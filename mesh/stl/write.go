package stl

import (
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"falsework/mesh"
	"falsework/mesh/atomicfile"
	"falsework/mesh/par"
)

// header begins every file written. It must not begin with the word that
// begins an ASCII file.
const header = "binary STL, lengths in mm, written by falsework"

// A Source tells which triangles came from a file unchanged. The zero Source
// says that none did.
type Source struct {
	Records []byte  // as in File
	Of      []int32 // per triangle its record, or -1; nil: triangle i from record i
}

// record returns the record that triangle t was read from, if its corners are
// still those of the record; otherwise nil.
func (s Source) record(m *mesh.Mesh, t int) []byte {
	r := t
	if s.Of != nil {
		r = -1
		if t < len(s.Of) {
			r = int(s.Of[t])
		}
	}
	if r < 0 || (r+1)*mesh.RecordSize > len(s.Records) {
		return nil
	}
	rec := s.Records[r*mesh.RecordSize : (r+1)*mesh.RecordSize]
	for c := range 3 {
		p := &m.Vertices[m.Triangles[t][c]]
		for i := range p {
			if math.Float32frombits(binary.LittleEndian.Uint32(rec[12+12*c+4*i:])) != p[i] {
				return nil
			}
		}
	}
	return rec
}

// WriteFile writes m as a binary STL file, replacing the file at path whole
// or not at all (see package atomicfile). A triangle that from names is
// copied as it was read; the others get a normal computed from their corners.
func WriteFile(ctx context.Context, path string, m *mesh.Mesh, from Source) error {
	return atomicfile.Write(path, func(w io.Writer) error { return Write(ctx, w, m, from) })
}

// Write writes m as a binary STL file to w, as [WriteFile] does.
func Write(ctx context.Context, w io.Writer, m *mesh.Mesh, from Source) error {
	if len(m.Triangles) > mesh.MaxTriangles {
		return fmt.Errorf("cannot write %d triangles, at most %d", len(m.Triangles), mesh.MaxTriangles)
	}
	var head [84]byte
	copy(head[:80], header)
	binary.LittleEndian.PutUint32(head[80:], uint32(len(m.Triangles)))
	if _, err := w.Write(head[:]); err != nil {
		return err
	}
	const block = 1 << 13 // triangles that one worker encodes at a time
	workers := par.Workers(len(m.Triangles), block)
	var own []byte
	for lo := 0; lo < len(m.Triangles); lo += workers * block {
		if err := ctx.Err(); err != nil {
			return err
		}
		n := min(workers*block, len(m.Triangles)-lo)
		buf := room(w, n*mesh.RecordSize)
		if buf == nil {
			if own == nil {
				own = make([]byte, n*mesh.RecordSize)
			}
			buf = own[:n*mesh.RecordSize]
		}
		par.Each(workers, func(k int) {
			for i := k * block; i < min((k+1)*block, n); i++ {
				encode(buf[i*mesh.RecordSize:(i+1)*mesh.RecordSize], m, lo+i, from)
			}
		})
		if _, err := w.Write(buf); err != nil {
			return err
		}
	}
	return nil
}

// room returns the place where w will put the next n bytes, if it is memory and has
// them to spare: what is encoded there need not be copied, and its pages are met by all
// workers.
func room(w io.Writer, n int) []byte {
	m, ok := w.(interface{ AvailableBuffer() []byte })
	if !ok {
		return nil
	}
	if b := m.AvailableBuffer(); cap(b) >= n {
		return b[:n]
	}
	return nil
}

// encode writes the record of triangle t to b.
func encode(b []byte, m *mesh.Mesh, t int, from Source) {
	if rec := from.record(m, t); rec != nil {
		copy(b, rec)
		return
	}
	put(b, normal(m.Corner(t, 0), m.Corner(t, 1), m.Corner(t, 2)))
	for c := range 3 {
		put(b[12+12*c:], m.Corner(t, c))
	}
	b[48], b[49] = 0, 0
}

func put(b []byte, p [3]float32) {
	for i, x := range p {
		binary.LittleEndian.PutUint32(b[4*i:], math.Float32bits(x))
	}
}

// normal returns the unit normal of a triangle, zero for one without area.
// Products are rounded one by one, so that every processor gives the same.
func normal(a, b, c [3]float32) [3]float32 {
	var u, v [3]float64
	for i := range 3 {
		u[i], v[i] = float64(b[i])-float64(a[i]), float64(c[i])-float64(a[i])
	}
	n := [3]float64{
		float64(u[1]*v[2]) - float64(u[2]*v[1]),
		float64(u[2]*v[0]) - float64(u[0]*v[2]),
		float64(u[0]*v[1]) - float64(u[1]*v[0]),
	}
	l := math.Sqrt(float64(n[0]*n[0]) + float64(n[1]*n[1]) + float64(n[2]*n[2]))
	if l == 0 {
		return [3]float32{}
	}
	return [3]float32{float32(n[0]/l) + 0, float32(n[1]/l) + 0, float32(n[2]/l) + 0}
}
