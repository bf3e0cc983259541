package rib_test

import (
	"path/filepath"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/stl"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// The stages on the example, and the whole job on it and on its surface cut
// into many triangles (some 160,000; with a longer run try a third of the
// length for 1.6 million).

func benchPart(b *testing.B) *mesh.Mesh {
	b.Helper()
	f, err := stl.ReadFile(b.Context(), filepath.Join("..", "examples", "tide-housing.stl"))
	if err != nil {
		b.Fatal(err)
	}
	return f.Mesh
}

func BenchmarkExampleSurvey(b *testing.B) {
	m := benchPart(b)
	for b.Loop() {
		if _, err := span.Run(b.Context(), m, span.Defaults(), span.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkExamplePlan(b *testing.B) {
	m := benchPart(b)
	s, err := span.Run(b.Context(), m, span.Defaults(), span.Options{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := rib.Make(b.Context(), m, s, rib.DefaultSettings(s.Settings)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkExampleUnion(b *testing.B) {
	m := benchPart(b)
	_, plan := benchPlan(b, m)
	tools := plan.Solids()
	for b.Loop() {
		if _, err := union.Unite(m, tools); err != nil {
			b.Fatal(err)
		}
	}
}

func benchPlan(b *testing.B, m *mesh.Mesh) (*span.Survey, *rib.Plan) {
	b.Helper()
	s, err := span.Run(b.Context(), m, span.Defaults(), span.Options{})
	if err != nil {
		b.Fatal(err)
	}
	p, err := rib.Make(b.Context(), m, s, rib.DefaultSettings(s.Settings))
	if err != nil {
		b.Fatal(err)
	}
	return s, p
}

func BenchmarkWholeJob(b *testing.B) {
	m := benchPart(b)
	for _, c := range []struct {
		name string
		part *mesh.Mesh
	}{{"example", m}, {"fine", meshtest.SubdivideTo(m, 5)}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				_, plan := benchPlan(b, c.part)
				r, err := union.Unite(c.part, plan.Solids())
				if err != nil {
					b.Fatal(err)
				}
				if _, err := span.Run(b.Context(), r.Mesh, span.Defaults(), span.Options{Zones: plan.Zones(), OnRib: plan.OnRib}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(len(c.part.Triangles)), "triangles")
		})
	}
}
