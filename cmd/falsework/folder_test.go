package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"falsework/cmd/falsework/report"
	"falsework/mesh"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/stl"
)

// A broken file, and what the summary must say of it.
type brokenFile struct {
	name   string
	data   func(good []byte) []byte
	reason string // of the failure; empty: it is taken, with a note
	note   string
}

// coordinate puts a float32 of these bits into the first corner of a binary
// file.
func coordinate(bits ...byte) func(good []byte) []byte {
	return func(good []byte) []byte { b := bytes.Clone(good); copy(b[84+12:], bits); return b }
}

func text(s string) func([]byte) []byte { return func([]byte) []byte { return []byte(s) } }

func facet(v ...string) string {
	s := "facet normal 0 0 1\nouter loop\n"
	for _, p := range v {
		s += "vertex " + p + "\n"
	}
	return s + "endloop\nendfacet\n"
}

func binaryOf(m *mesh.Mesh) func([]byte) []byte {
	return func([]byte) []byte {
		var b bytes.Buffer
		if err := stl.Write(ctx, &b, m, stl.Source{}); err != nil {
			panic(err)
		}
		return b.Bytes()
	}
}

// brokenFiles are twenty files that cannot be used, each for a reason of its
// own, and some that can after mending.
func brokenFiles() []brokenFile {
	cube := meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 20, 20))
	lidless := meshtest.Clone(cube)
	lidless.Triangles = lidless.Triangles[2:]
	twice := meshtest.Clone(cube)
	twice.Triangles = append(twice.Triangles, twice.Triangles[0])
	flat := &mesh.Mesh{Vertices: cube.Vertices, Triangles: [][3]int32{cube.Triangles[0], {cube.Triangles[0][0], cube.Triangles[0][2], cube.Triangles[0][1]}}}
	good := func(n int) func([]byte) []byte { return func(b []byte) []byte { return b[:n] } }
	return []brokenFile{
		{"empty", text(""), "is empty", ""},
		{"blanks", text(" \n\t\n"), "is empty", ""},
		{"letter", text("Dear shop, the housing is attached.\n"), "is no STL file", ""},
		{"web page", text("<!doctype html><html><body>404 Not Found</body></html>"), "is no STL file", ""},
		{"archive", text("PK\x03\x04" + strings.Repeat("\x00\x01", 90)), "", ""},
		{"cut short", func(b []byte) []byte { return b[:len(b)-70] }, "declares 12 triangles", ""},
		{"cut in its head", good(60), "cut short", ""},
		{"bytes to spare", func(b []byte) []byte { return append(bytes.Clone(b), 1, 2, 3) }, "bytes to spare", ""},
		{"huge count", func(b []byte) []byte { c := bytes.Clone(b); copy(c[80:], "\xff\xff\xff\xff"); return c }, "declares 4294967295 triangles", ""},
		{"no triangles", func(b []byte) []byte { return append(bytes.Clone(b[:80]), 0, 0, 0, 0) }, "holds no triangles", ""},
		{"not a number", coordinate(0, 0, 0xc0, 0x7f), "is not a finite number", ""},
		{"infinite", coordinate(0, 0, 0x80, 0x7f), "is not a finite number", ""},
		{"huge", coordinate(0xf2, 0x04, 0xb5, 0x70), "is not a finite number", ""}, // 4.5e29
		{"far", func(b []byte) []byte { return binaryOf(meshtest.Scale(cube, 2000, 2000, 2000))(b) }, "larger than anything printed", ""},
		{"tiny", func(b []byte) []byte { return binaryOf(meshtest.Scale(cube, 0.001, 0.001, 0.001))(b) }, "too small to print", ""},
		{"text cut short", text("solid x\n" + facet("0 0 0", "1 0 0", "0 1 0")), "without the endsolid", ""},
		{"text with a comma", text("solid x\n" + facet("0,5 0 0", "1 0 0", "0 1 0") + "endsolid x\n"), "a decimal point, not a comma", ""},
		{"text with four corners", text("solid x\n" + facet("0 0 0", "1 0 0", "0 1 0", "1 1 0") + "endsolid x\n"), "a fourth vertex", ""},
		{"text without facets", text("solid x\nendsolid x\n"), "holds no triangles", ""},
		{"flat", binaryOf(flat), "the part is flat", ""},
		{"lidless", binaryOf(lidless), "", ""}, // refused or not by its survey
		{"twice", binaryOf(twice), "", "1 triangles that were there twice dropped"},
		{"inside out", binaryOf(meshtest.Flip(cube)), "", "turned from inside out"},
	}
}

// A folder of a hundred parts, twenty of them broken (by default a third as
// many good ones): the summary is right for each, and every good part is
// there.
func TestFolderOfHundred(t *testing.T) {
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in"), filepath.Join(dir, "out")
	if err := os.Mkdir(in, 0o777); err != nil {
		t.Fatal(err)
	}
	put := func(name string, data []byte) {
		if err := os.WriteFile(filepath.Join(in, name), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	sound := map[string]bool{} // whether it needs ribs
	n := 10
	if property.Long() {
		n = 80
	}
	for i := range n {
		name := fmt.Sprintf("part %02d.stl", i)
		m := meshtest.Blocks(meshtest.Add(0, 0, 0, 10+float64(i), 20, 20))
		if sound[name] = i%10 == 0; sound[name] {
			m = doorway(90+float64(i), 30)
		}
		put(name, binaryOf(m)(nil))
	}
	cube := binaryOf(meshtest.Blocks(meshtest.Add(0, 0, 0, 20, 20, 20)))(nil)
	bad := brokenFiles()
	failures := 0
	for _, b := range bad {
		put(b.name+".stl", b.data(cube))
		if b.reason != "" {
			failures++
		}
	}
	if failures < 18 {
		t.Fatalf("%d broken files", failures)
	}
	cmd := falsework(t, dir, "batch", "in", "-o", "out", "--json")
	data, err := cmd.Output()
	if code := status(t, err); code != exitSomeFailed {
		t.Fatalf("status %d", code)
	}
	var sum report.Batch
	if err := json.Unmarshal(data, &sum); err != nil {
		t.Fatal(err)
	}
	if want := n + len(bad); sum.Counts.Parts != want || len(sum.Parts) != want {
		t.Errorf("%d parts, want %d", sum.Counts.Parts, want)
	}
	rows := map[string]report.BatchPart{}
	for _, p := range sum.Parts {
		rows[strings.TrimSuffix(p.Part, ".stl")] = p
	}
	for name, needs := range sound {
		p := rows[strings.TrimSuffix(name, ".stl")]
		want := report.Copied
		if needs {
			want = report.Ribbed
		}
		if p.State != want || len(p.Files) != 1 || (p.Totals.Ribs > 0) != needs || !p.Closed {
			t.Errorf("%s: %+v, want %s", name, p, want)
			continue
		}
		if f, err := stl.ReadFile(ctx, filepath.Join(out, p.Files[0])); err != nil || len(meshtest.Faults(f.Mesh)) > 0 {
			t.Errorf("%s: the result is not sound: %v", name, err)
		}
	}
	for _, b := range bad {
		p := rows[b.name]
		switch {
		case b.reason != "":
			if p.State != report.Failed || p.Exit != exitUnusable || !strings.Contains(p.Reason, b.reason) || len(p.Files) > 0 {
				t.Errorf("%s: %s, status %d, %q, want %q", b.name, p.State, p.Exit, p.Reason, b.reason)
			}
			if _, err := os.Stat(filepath.Join(out, b.name+".stl")); err == nil {
				t.Errorf("%s: written all the same", b.name)
			}
		case b.note != "":
			if p.State != report.Copied || !strings.Contains(strings.Join(p.Notes, "\n"), b.note) {
				t.Errorf("%s: %s, notes %q", b.name, p.State, p.Notes)
			}
		case p.State == report.Failed && p.Reason == "":
			t.Errorf("%s: failed without a reason", b.name)
		}
	}
	sameTable(t, filepath.Join(out, "summary.csv"), sum)
	written, err := os.ReadFile(filepath.Join(out, "summary.json"))
	var again report.Batch
	if err != nil || json.Unmarshal(written, &again) != nil || fmt.Sprint(again) != fmt.Sprint(sum) {
		t.Errorf("summary.json is not what was printed: %v", err)
	}
}

// sameTable holds summary.csv against the summary.
func sameTable(t *testing.T, path string, sum report.Batch) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) != len(sum.Parts)+1 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for i, p := range sum.Parts {
		row := map[string]string{}
		for k, h := range rows[0] {
			row[h] = rows[i+1][k]
		}
		if row["part"] != p.Part || row["state"] != p.State || row["reason"] != p.Reason || row["ribs"] != strconv.Itoa(p.Totals.Ribs) {
			t.Errorf("row %v of %+v", row, p)
		}
	}
}

// The same folder gives the same bytes on one processor and on two, whatever
// the order in which parts end.
func TestBatchOnOneAndTwoProcessors(t *testing.T) {
	dir := t.TempDir()
	if err := makeParts(dir); err != nil {
		t.Fatal(err)
	}
	outputs := map[string]map[string][]byte{}
	for _, n := range []string{"1", "2"} {
		cmd := falsework(t, dir, "batch", ".", "-o", "out"+n, "--plans", "--match", "doorway.stl,narrow.stl,inside-out.stl,cut-short.stl")
		cmd.Env = append(os.Environ(), "GOMAXPROCS="+n)
		if code := status(t, cmd.Run()); code != exitSomeFailed {
			t.Fatalf("status %d", code)
		}
		outputs[n] = visible(t, filepath.Join(dir, "out"+n), true)
	}
	if len(outputs["1"]) != len(outputs["2"]) || len(outputs["1"]) < 11 {
		t.Fatalf("%d and %d files", len(outputs["1"]), len(outputs["2"]))
	}
	for name, data := range outputs["1"] {
		if !bytes.Equal(outputs["2"][name], data) {
			t.Errorf("%s differs", name)
		}
	}
}

// Shares of a folder, done one after another into the same results, are the
// whole folder; a last run sums up without doing any again.
func TestShares(t *testing.T) {
	dir := t.TempDir()
	in := filepath.Join(dir, "in")
	if err := os.Mkdir(in, 0o777); err != nil {
		t.Fatal(err)
	}
	for i := range 8 {
		data := binaryOf(meshtest.Blocks(meshtest.Add(0, 0, 0, 10+float64(i), 20, 20)))(nil)
		if err := os.WriteFile(filepath.Join(in, fmt.Sprintf("%d.stl", i)), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	done := 0
	for i := 1; i <= 3; i++ {
		share := fmt.Sprintf("%d/3", i)
		data, err := falsework(t, dir, "batch", "in", "-o", "out", "--shard", share, "--json").Output()
		var sum report.Batch
		if err != nil || json.Unmarshal(data, &sum) != nil || sum.Shard != share || sum.Counts.Kept != 0 {
			t.Fatalf("share %s: %v, %+v", share, err, sum.Counts)
		}
		done += sum.Counts.Copied
		if _, err := os.Stat(filepath.Join(dir, "out", fmt.Sprintf("summary-%d-of-3.csv", i))); err != nil {
			t.Error(err)
		}
	}
	data, err := falsework(t, dir, "batch", "in", "-o", "out", "--json").Output()
	var sum report.Batch
	if err != nil || json.Unmarshal(data, &sum) != nil || done != 8 || sum.Counts.Kept != 8 || sum.Counts.Copied != 8 {
		t.Errorf("%d done in shares; %v, %+v", done, err, sum.Counts)
	}
}
