package rib_test

import (
	"math"
	"strings"
	"testing"

	"falsework/mesh"
	mt "falsework/mesh/meshtest"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// A result that is not what was planned is refused, whatever the union says of
// itself: the evidence is that of the mesh as it is.
func TestVerifyRefusesTampering(t *testing.T) {
	part := mt.Blocks(mt.Add(0, 0, 0, 100, 60, 63), mt.Cut(3, 3, 3, 97, 60, 60))
	plan, _ := ribbed(t, part, nil)
	solids := plan.Solids()
	ribs, braces := len(plan.Ceilings[0].Ribs), len(plan.Ceilings[0].Braces)
	if ribs == 0 || braces == 0 || len(solids) < ribs+braces {
		t.Fatalf("%d ribs and %d braces of %d solids are too few to tamper with", ribs, braces, len(solids))
	}
	without := func(k int) []*mesh.Mesh {
		return append(append([]*mesh.Mesh(nil), solids[:k]...), solids[k+1:]...)
	}
	moved := func(k int, by float64) []*mesh.Mesh {
		out := append([]*mesh.Mesh(nil), solids...)
		m := mt.Clone(out[k])
		r := plan.Ceilings[0].Ribs[k]
		dx, dy := r.To[0]-r.From[0], r.To[1]-r.From[1]
		l := math.Hypot(dx, dy)
		for i := range m.Vertices {
			m.Vertices[i][0] += float32(-by * dy / l)
			m.Vertices[i][1] += float32(by * dx / l)
		}
		out[k] = m
		return out
	}
	united := func(tools []*mesh.Mesh) (*mesh.Mesh, union.Report) {
		r, err := union.Unite(part, tools)
		if err != nil {
			t.Fatal(err)
		}
		return r.Mesh, r.Report
	}
	whole, report := united(solids)
	for _, x := range []struct {
		name   string
		make   func() (*mesh.Mesh, union.Report)
		reason string // "" when it must be accepted
		blamed bool   // the ceiling, when that is where the fault lies
	}{
		{"as planned", func() (*mesh.Mesh, union.Report) { return whole, report }, "", false},
		{"a rib knocked out", func() (*mesh.Mesh, union.Report) { return united(without(0)) }, "second survey", true},
		{"a rib moved by a millimetre", func() (*mesh.Mesh, union.Report) { return united(moved(0, 1)) }, "is not there", true},
		{"a brace dropped", func() (*mesh.Mesh, union.Report) { return united(without(ribs)) }, "brace planned", true},
		{"another union's word for it", func() (*mesh.Mesh, union.Report) { m, _ := united(without(ribs)); return m, report }, "encloses", false},
		{"a hole in the surface", func() (*mesh.Mesh, union.Report) {
			m := mt.Clone(whole)
			m.Triangles = m.Triangles[:len(m.Triangles)-1]
			return m, report
		}, "not closed", false},
		{"a triangle twice", func() (*mesh.Mesh, union.Report) {
			m := mt.Clone(whole)
			m.Triangles = append(m.Triangles, m.Triangles[0])
			return m, report
		}, "fault", false},
		{"volumes that do not add up", func() (*mesh.Mesh, union.Report) {
			bad := report
			bad.Overlap += 0.01 * bad.ToolVolume
			return whole, bad
		}, "add up", false},
	} {
		m, report := x.make()
		before, err := part.Audit(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		after, err := m.Audit(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		second, err := span.Run(t.Context(), m, plan.Survey.Settings, span.Options{Zones: plan.Zones(), OnRib: plan.OnRib})
		if err != nil {
			t.Fatal(err)
		}
		v := rib.Verify(plan, rib.Evidence{Second: second, Union: report, Before: before, After: after})
		if v.Verified != (x.reason == "") {
			t.Errorf("%s: verified is %v: %v", x.name, v.Verified, v.Reasons)
		}
		if all := strings.Join(v.Reasons, "\n"); !strings.Contains(all, x.reason) {
			t.Errorf("%s: no reason with %q in %s", x.name, x.reason, all)
		}
		if (len(v.Blamed) > 0) != x.blamed || x.blamed && v.Blamed[0] != plan.Ceilings[0].ID {
			t.Errorf("%s: blames %v", x.name, v.Blamed)
		}
		if want := map[bool]int{true: 0, false: 1}[x.reason == ""]; v.Status() != want {
			t.Errorf("%s: status %d, want %d", x.name, v.Status(), want)
		}
	}
}
