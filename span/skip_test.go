package span

import (
	"context"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/stl"
)

// plain is the survey that skips no layer.
func plain(t testing.TB, m *mesh.Mesh, s Settings) *Survey {
	t.Helper()
	out := &Survey{Bounds: m.Bounds(), Settings: s}
	st := newStack(out.Bounds, s)
	act, err := findActivity(context.Background(), m, out.Bounds, st, s.Slope)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range [][]bool{act.hang, act.lean, act.birth} {
		for k := range row {
			row[k] = true
		}
	}
	out, err = out.read(context.Background(), m, Options{}, st, act)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// agree compares two surveys number by number.
func agree(t *testing.T, name string, a, b *Survey) {
	t.Helper()
	if len(a.Ceilings) != len(b.Ceilings) {
		t.Errorf("%s: %d ceilings, the plain way %d:%s\n%s", name, len(a.Ceilings), len(b.Ceilings), list(a), list(b))
		return
	}
	for i := range a.Ceilings {
		c, d := a.Ceilings[i], b.Ceilings[i]
		if fmt.Sprint(c) != fmt.Sprint(d) {
			t.Errorf("%s: ceiling %d differs:%s\n%s", name, c.ID, list(a), list(b))
			return
		}
	}
	for k := range a.Layers() {
		if fmt.Sprint(a.ground.loose[k]) != fmt.Sprint(b.ground.loose[k]) {
			t.Errorf("%s: layer %d: what is loose differs", name, k)
			return
		}
	}
}

// coarse are settings under which a part has few layers.
func coarse() Settings {
	s := Defaults()
	s.Layer, s.FirstLayer = 0.5, 0.5
	return s
}

func TestSkippingChangesNothing(t *testing.T) {
	long := property.Long()
	for i, p := range parts {
		if !long && i%24 != 0 {
			continue
		}
		m := p.m()
		agree(t, p.name, survey(t, m, coarse()), plain(t, m, coarse()))
		m = meshtest.Turn(p.m(), [3]float64{1, 0.3, 0.5}, 20)
		agree(t, p.name+", tilted", survey(t, m, coarse()), plain(t, m, coarse()))
	}
	// Heap 106, tilted, has the nose of a cone: one of its faces looks down, the
	// other up, and their edge leans more than either.
	seeds := []uint64{0, 1, 2, 3, 106}
	if long {
		seeds = nil
		for seed := range uint64(300) {
			seeds = append(seeds, seed)
		}
	}
	for _, seed := range seeds {
		m := clutter(rand.New(rand.NewPCG(seed, 1)))
		agree(t, fmt.Sprintf("clutter %d", seed), survey(t, m, coarse()), plain(t, m, coarse()))
		m = meshtest.Turn(m, [3]float64{1, 1, 0}, float64(seed))
		agree(t, fmt.Sprintf("clutter %d, tilted", seed), survey(t, m, coarse()), plain(t, m, coarse()))
	}
}

// clutter is a heap of blocks and balls that overlap as they like.
func clutter(r *rand.Rand) *mesh.Mesh {
	var all []*mesh.Mesh
	at := func() float64 { return float64(r.IntN(200)) / 10 }
	for range 2 + r.IntN(6) {
		x, y, z := at(), at(), at()
		switch r.IntN(4) {
		case 0:
			all = append(all, meshtest.Move(meshtest.Sphere(1+at()/4, 16), x, y, z))
		case 1:
			all = append(all, meshtest.Move(meshtest.Cone(1+at()/4, 1+at()/2, 12), x, y, z))
		default:
			all = append(all, meshtest.Blocks(add(x, y, z, x+0.5+at(), y+0.5+at(), z+0.5+at()/2)))
		}
	}
	return meshtest.Join(all...)
}

// realParts calls f for the part files made by others, and skips the test,
// saying so, where they are not at hand.
func realParts(t *testing.T, f func(name string, m *mesh.Mesh)) {
	dir := os.Getenv("FALSEWORK_PARTS")
	if dir == "" {
		dir = filepath.Join("..", "..", "shared", "parts")
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*.stl"))
	if len(files) == 0 {
		t.Skip("no real parts: set FALSEWORK_PARTS to a folder of STL files")
	}
	for _, file := range files {
		in, err := stl.ReadFile(context.Background(), file)
		if err != nil {
			continue
		}
		m, err := mesh.Weld(context.Background(), in.Records)
		if err != nil {
			continue
		}
		f(filepath.Base(file), m)
	}
}

func TestSkippingOnRealParts(t *testing.T) {
	if !property.Long() {
		t.Skip("set FALSEWORK_LONG=1 to survey real parts without skipping")
	}
	realParts(t, func(name string, m *mesh.Mesh) {
		for i, axis := range [][3]float64{{0, 0, 1}, {1, 0, 0}, {0, 1, 0}, {1, 1, 0}} {
			q := meshtest.Turn(m, axis, 90-20*float64(i))
			t.Log(name, axis)
			agree(t, fmt.Sprintf("%s about %v", name, axis), survey(t, q, coarse()), plain(t, q, coarse()))
		}
	})
}

// FuzzRun surveys heaps of triangles drawn from the input: it must neither
// panic nor hang, and what it lists must make sense.
func FuzzRun(f *testing.F) {
	f.Add([]byte("a part is a heap of numbers, read as boxes: this one is text"))
	f.Add([]byte{0, 0, 0, 10, 10, 30, 10, 0, 30, 60, 10, 33})
	f.Add([]byte{0, 0, 0, 5, 9, 30, 70, 0, 0, 90, 9, 30, 0, 0, 30, 95, 9, 34})
	f.Fuzz(func(t *testing.T, data []byte) {
		var all []*mesh.Mesh
		for len(data) >= 6 && len(all) < 12 {
			v := [6]float64{}
			for i := range v {
				v[i] = float64(data[i]) / 10
			}
			data = data[6:]
			m, err := meshtest.TryBlocks(add(v[0], v[1], v[2], v[3], v[4], v[5]))
			if err == nil {
				all = append(all, m)
			}
		}
		m := meshtest.Join(all...)
		if len(data) >= 2 {
			// Move one vertex: sloped, inside-out and open surfaces.
			k := int(binary.LittleEndian.Uint16(data))
			if n := len(m.Vertices); n > 0 {
				m.Vertices[k%n][k%3] += float32(k%97) / 7
			}
		}
		s, err := Run(context.Background(), m, coarse(), Options{})
		if err != nil {
			return
		}
		sane(t, s)
	})
}

// sane asks of a survey what must always hold.
func sane(t *testing.T, s *Survey) {
	t.Helper()
	for i, c := range s.Ceilings {
		if c.ID != i+1 || c.Why == "" || !(c.Area > 0) || !(c.Z[0] <= c.Z[1]) {
			t.Errorf("ceiling %d is not sane: %+v", i+1, c)
		}
		if c.Kind == Bridge && !(c.Span > 0 && c.Span < 1e6) || c.Reach < 0 || c.Hang < 0 {
			t.Errorf("ceiling %d: lengths are not sane: %+v", i+1, c)
		}
		if i > 0 && s.Ceilings[i-1].Z[0] > c.Z[0] {
			t.Errorf("ceiling %d stands below the one before it", c.ID)
		}
		j, err := s.Judge(c.ID, nil, c.Limit)
		if err != nil || !c.NeedsRibs && j.Hang > s.Settings.Ledge+over+1e-9 {
			t.Errorf("ceiling %d: judged %+v (%v), verdict %+v", c.ID, j, err, c)
		}
	}
}
