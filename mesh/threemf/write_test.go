package threemf

import (
	"archive/zip"
	"bytes"
	"context"
	"math"
	"testing"
	"time"

	"github.com/hpinc/go3mf"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

var bg = context.Background()

func cube() *mesh.Mesh { return meshtest.Blocks(meshtest.Add(0, 0, 0, 10, 20, 30)) }

func written(t testing.TB, objects ...Object) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(bg, &b, objects...); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// decoded reads a package with the library alone.
func decoded(t *testing.T, data []byte) *go3mf.Model {
	t.Helper()
	model := new(go3mf.Model)
	if err := go3mf.NewDecoder(bytes.NewReader(data), int64(len(data))).Decode(model); err != nil {
		t.Fatal(err)
	}
	if err := model.Validate(); err != nil {
		t.Fatal(err)
	}
	return model
}

func TestTheSameObjectsGiveTheSameBytes(t *testing.T) {
	first := written(t, Object{"part", cube()}, Object{"ribs", meshtest.Turn(cube(), [3]float64{1, 2, 3}, 40)})
	for range 20 {
		if !bytes.Equal(written(t, Object{"part", cube()}, Object{"ribs", meshtest.Turn(cube(), [3]float64{1, 2, 3}, 40)}), first) {
			t.Fatal("written otherwise")
		}
	}
	z, err := zip.NewReader(bytes.NewReader(first), int64(len(first)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		if d := f.Modified; d.Year() != 1980 || d.Month() != time.January || d.Day() != 1 {
			t.Errorf("%s carries the date %v", f.Name, d)
		}
	}
}

func TestCoordinatesReadBackBitForBit(t *testing.T) {
	m := cube()
	for i, x := range []float32{math.SmallestNonzeroFloat32, 0.1, 1.0 / 3, -1e-20, 9.9999e8, 16777217, math.Nextafter32(1, 2), -0.30000001} {
		m.Vertices[i] = [3]float32{x, float32(i), -x}
	}
	got := decoded(t, written(t, Object{"odd", m})).Resources.Objects[0].Mesh.Vertices.Vertex
	if len(got) != len(m.Vertices) {
		t.Fatalf("%d vertices of %d", len(got), len(m.Vertices))
	}
	for i, v := range m.Vertices {
		if got[i] != v {
			t.Errorf("vertex %d is %v, was %v", i, got[i], v)
		}
	}
}

func TestSeveralObjectsAreOneItem(t *testing.T) {
	model := decoded(t, written(t, Object{"housing", cube()}, Object{"ribs & braces", cube()}))
	if len(model.Build.Items) != 1 || len(model.Resources.Objects) != 3 || model.Units != go3mf.UnitMillimeter {
		t.Fatalf("%d items, %d objects, unit %v", len(model.Build.Items), len(model.Resources.Objects), model.Units)
	}
	whole, ok := model.FindObject("", model.Build.Items[0].ObjectID)
	if !ok || whole.Components == nil || len(whole.Components.Component) != 2 {
		t.Fatalf("the item is %+v", whole)
	}
	for i, name := range []string{"housing", "ribs & braces"} {
		if o, _ := model.FindObject("", whole.Components.Component[i].ObjectID); o.Name != name || len(o.Mesh.Triangles.Triangle) != 12 {
			t.Errorf("component %d is %q with %d triangles", i, o.Name, len(o.Mesh.Triangles.Triangle))
		}
	}
}

func TestWhatTheFormatForbidsIsNotWritten(t *testing.T) {
	m := cube()
	m.Triangles = append(m.Triangles, [3]int32{1, 1, 2}, [3]int32{3, 4, 3})
	if n := len(decoded(t, written(t, Object{"part", m})).Resources.Objects[0].Mesh.Triangles.Triangle); n != 12 {
		t.Errorf("%d triangles, want 12", n)
	}
	var b bytes.Buffer
	if err := Write(bg, &b, Object{"nothing", &mesh.Mesh{}}); err == nil || b.Len() > 0 {
		t.Errorf("wrote %d bytes of nothing, error %v", b.Len(), err)
	}
	if err := Write(bg, &b); err == nil {
		t.Error("wrote no object at all")
	}
	ctx, stop := context.WithCancel(bg)
	stop()
	if err := Write(ctx, &b, Object{"part", cube()}); err != context.Canceled {
		t.Errorf("a cancelled write ends with %v", err)
	}
}

func BenchmarkWrite(b *testing.B) {
	m := meshtest.Ring(10, 3, 300)
	b.ReportMetric(float64(len(m.Triangles)), "triangles")
	for b.Loop() {
		if err := Write(bg, &bytes.Buffer{}, Object{"ring", m}); err != nil {
			b.Fatal(err)
		}
	}
}
