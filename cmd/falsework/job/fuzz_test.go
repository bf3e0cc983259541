package job

import (
	"bytes"
	"context"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"falsework/cmd/falsework/settings"
	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/stl"
	"falsework/span"
)

// seedParts are small parts for fuzzing, sound and broken, by name.
func seedParts() map[string]*mesh.Mesh {
	table := meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 4, 12), meshtest.Cut(4, -1, -1, 16, 5, 8))
	open := meshtest.Clone(table)
	open.Triangles = open.Triangles[:len(open.Triangles)-3]
	island := meshtest.Join(meshtest.Blocks(meshtest.Add(0, 0, 0, 5, 5, 2)), meshtest.Blocks(meshtest.Add(0, 0, 4, 5, 5, 6)))
	twice := meshtest.Join(table, table)
	return map[string]*mesh.Mesh{
		"cube":       meshtest.Blocks(meshtest.Add(0, 0, 0, 3, 3, 3)),
		"table":      table,
		"turned":     meshtest.Turn(table, [3]float64{1, 2, 3}, 40),
		"inside out": meshtest.Flip(table),
		"open":       open,
		"island":     island,
		"twice":      twice,
		"crossing":   meshtest.Join(table, meshtest.Move(table, 3, 1, 2)),
		"hollow":     meshtest.Join(meshtest.Blocks(meshtest.Add(0, 0, 0, 9, 9, 9)), meshtest.Flip(meshtest.Blocks(meshtest.Add(2, 2, 2, 7, 7, 7)))),
		"cone":       meshtest.Cone(4, 5, 7),
		"metres":     meshtest.Scale(table, 0.1, 0.1, 0.1),
	}
}

// ascii writes a mesh as the text form of STL.
func ascii(m *mesh.Mesh) string {
	var b strings.Builder
	b.WriteString("solid s\n")
	for t := range m.Triangles {
		b.WriteString("facet normal 0 0 0\nouter loop\n")
		for c := range 3 {
			p := m.Corner(t, c)
			b.WriteString("vertex")
			for _, x := range p {
				b.WriteString(" " + trimmed(x))
			}
			b.WriteString("\n")
		}
		b.WriteString("endloop\nendfacet\n")
	}
	return b.String() + "endsolid s\n"
}

func trimmed(x float32) string {
	return strings.TrimSuffix(say(float64(x)), " mm")
}

// FuzzSurvey takes any bytes for a file and runs them through reading,
// mending and the survey: it must neither panic nor hang, every error is one
// line, and what a survey lists must make sense.
func FuzzSurvey(f *testing.F) {
	seeds := 0
	for _, m := range seedParts() {
		var b bytes.Buffer
		if err := stl.Write(context.Background(), &b, m, stl.Source{}); err != nil {
			f.Fatal(err)
		}
		f.Add(b.Bytes())
		f.Add([]byte(ascii(m)))
		seeds += 2
	}
	for _, text := range []string{"", "solid\nendsolid\n", "solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1e9 0 0\nvertex 0 1 nan\nendloop\nendfacet\nendsolid x\n"} {
		f.Add([]byte(text))
		seeds++
	}
	if seeds < 20 {
		f.Fatalf("%d seeds", seeds)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<15 {
			return
		}
		ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
		defer cancel()
		v := settings.New()
		v.Survey.Layer, v.Survey.FirstLayer, v.Survey.Limit = 0.4, 0.4, 10
		if err := v.Finish(); err != nil {
			t.Fatal(err)
		}
		line := Standard(nil)
		p, err := line.Read(ctx, Input{Path: "-", Stream: bytes.NewReader(data), Values: v})
		if err != nil {
			oneLineOf(t, err)
			return
		}
		if b := p.Mesh.Bounds(); b.Diagonal() > 200 {
			return // a large part takes its time
		}
		s, err := line.First(ctx, p, v)
		if err != nil {
			oneLineOf(t, err)
			return
		}
		sane(t, s)
	})
}

func oneLineOf(t *testing.T, err error) {
	t.Helper()
	if errors.Is(err, context.DeadlineExceeded) {
		t.Fatal("it hangs")
	}
	if !errors.Is(err, ErrUnusable) {
		t.Fatalf("not the part's fault: %v", err)
	}
	if s := err.Error(); s == "" || strings.ContainsAny(s, "\n\r") {
		t.Errorf("not one line: %q", s)
	}
}

// sane asks of a survey what must always hold.
func sane(t *testing.T, s *span.Survey) {
	t.Helper()
	for i, c := range s.Ceilings {
		if c.ID != i+1 || c.Why == "" || !(c.Area > 0) || !(c.Z[0] <= c.Z[1]) || math.IsNaN(c.Span) || math.IsNaN(c.Reach) {
			t.Errorf("ceiling %d is not sane: %+v", i+1, c)
		}
		for k := range c.Min {
			if !(c.Min[k] <= c.Max[k]) || c.Min[k] < s.Bounds.Min[k]-1 || c.Max[k] > s.Bounds.Max[k]+1 {
				t.Errorf("ceiling %d lies outside the part: %+v", c.ID, c)
			}
		}
	}
}
