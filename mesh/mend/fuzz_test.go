package mend_test

import (
	"encoding/binary"
	"errors"
	"math"
	"testing"

	"falsework/mesh"
	"falsework/mesh/mend"
	"falsework/mesh/meshtest"
)

// A fuzzed surface is written as bytes in one of two forms, told apart by the
// first byte: records of triangles with float32 coordinates, as a file has
// them; or triangles on a grid of small numbers, three bytes a corner, where
// coincidences are frequent.
const (
	asRecords = 0
	onGrid    = 1
)

// surfaceOf reads a fuzzed surface; nil when it has no or too many triangles.
func surfaceOf(data []byte) soup {
	if len(data) == 0 {
		return nil
	}
	form, data := data[0]%2, data[1:]
	var s soup
	switch form {
	case asRecords:
		for ; len(data) >= mesh.RecordSize; data = data[mesh.RecordSize:] {
			var t [3][3]float32
			for k := range 9 {
				x := math.Float32frombits(binary.LittleEndian.Uint32(data[12+4*k:]))
				if !(math.Abs(float64(x)) <= 1e9) { // the reader refuses these
					return nil
				}
				t[k/3][k%3] = x
			}
			s = append(s, t)
		}
	case onGrid:
		for ; len(data) >= 9; data = data[9:] {
			var t [3][3]float32
			for k := range 9 {
				t[k/3][k%3] = float32(int8(data[k]))
			}
			s = append(s, t)
		}
	}
	if len(s) > 600 {
		return nil
	}
	return s
}

// bytes writes a surface in the first form.
func (s soup) bytes() []byte {
	b := make([]byte, 1+mesh.RecordSize*len(s))
	for t, tri := range s {
		for k := range 9 {
			binary.LittleEndian.PutUint32(b[1+mesh.RecordSize*t+12+4*k:], math.Float32bits(tri[k/3][k%3]))
		}
	}
	return b
}

// grid writes a surface of small whole numbers in the second form.
func (s soup) grid() []byte {
	b := []byte{onGrid}
	for _, tri := range s {
		for k := range 9 {
			b = append(b, byte(int8(tri[k/3][k%3])))
		}
	}
	return b
}

// FuzzSurface: whatever the surface, it is mended or refused with a fault and
// a place; what is mended is sound, made of vertices that were there, and
// stays as it is when it is mended again.
func FuzzSurface(f *testing.F) {
	// The defects of the table, on the same solids with fewer triangles.
	block := meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 30, 40), meshtest.Cut(5, 0, 10, 15, 30, 20))
	coarse := meshtest.Join(meshtest.Subdivide(block, 1), meshtest.Move(meshtest.Sphere(5, 6), 40, 15, 20))
	for _, d := range defects() {
		s := soupOf(coarse)
		d.brk(&s)
		f.Add(s.bytes())
	}
	cube := soupOf(meshtest.Blocks(meshtest.Add(0, 0, 0, 2, 2, 2)))
	window := soupOf(meshtest.Blocks(meshtest.Add(0, 0, 0, 6, 4, 6), meshtest.Cut(2, -1, 2, 4, 5, 4)))
	nested := append(append(soup{}, soupOf(meshtest.Blocks(meshtest.Add(-1, -1, -1, 3, 3, 3)))...), soupOf(meshtest.Flip(meshtest.Blocks(meshtest.Add(0, 0, 0, 2, 2, 2))))...)
	for _, s := range []soup{cube, window, nested, cube[1:], append(cube[:len(cube):len(cube)], cube[0], reverse(cube[3])), append(window[3:], [3][3]float32{{1, 1, 1}, {2, 2, 2}, {3, 3, 3}})} {
		f.Add(s.grid())
		f.Add(s.bytes())
	}
	f.Logf("%d triangles in the seeds of the table", len(coarse.Triangles))
	f.Fuzz(func(t *testing.T, data []byte) {
		s := surfaceOf(data)
		if len(s) == 0 {
			return
		}
		m := s.weld()
		r, err := mend.Surface(bg, m)
		if err != nil {
			var u *mend.Unmendable
			if !errors.As(err, &u) || u.Fault.Kind == 0 || u.Error() == "" || r == nil || r.Mesh == nil {
				t.Fatalf("refusal %v", err)
			}
			return
		}
		for _, fault := range meshtest.Faults(r.Mesh) {
			switch fault.Kind {
			case meshtest.Crowded, meshtest.Pinched, meshtest.Degenerate:
			case meshtest.Doubled:
				// A surface may cover itself; leaves without thickness are dropped.
				if leaves(r.Mesh) > 0 {
					t.Fatalf("mended, but %v is back to back with another", fault)
				}
			default:
				t.Fatalf("mended, but %v", fault)
			}
		}
		if r.Source != nil {
			checkSource(t, m, r)
		}
		if again, err := mend.Surface(bg, r.Mesh); err != nil || math.Abs(again.Audit.Volume-r.Audit.Volume) > 1e-9*math.Abs(r.Audit.Volume) {
			t.Fatalf("mended again: %v", err)
		}
	})
}

// leaves counts the triangles that have the corners of another and run the
// other way.
func leaves(m *mesh.Mesh) (n int) {
	first := func(t [3]int32) [3]int32 { // the same triangle, its least corner first
		for t[0] > t[1] || t[0] > t[2] {
			t = [3]int32{t[1], t[2], t[0]}
		}
		return t
	}
	seen := map[[3]int32]bool{}
	for _, t := range m.Triangles {
		t = first(t)
		if seen[[3]int32{t[0], t[2], t[1]}] {
			n++
		}
		seen[t] = true
	}
	return n
}
