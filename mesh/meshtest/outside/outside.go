// Package outside lets tests ask a general-purpose solid library, the npm
// package manifold-3d, about operands that this module united itself.
//
// A test gathers cases and calls [Ask]. With the environment variable
// FALSEWORK_OUTSIDE naming the folder where the library and the script
// compare.mjs are installed (.ci/run does both), the library is asked at
// once. Without it the answers stored in a file under testdata are used, and
// the test says that the live comparison was skipped. A stored answer counts
// only for the very operands it was given for, told by their hash. The mesh
// that this module made of them is not among those: it is always measured
// anew, without the library by the measures of package meshtest; with
// FALSEWORK_UPDATE=1 a live run writes the file anew. The gate runs, with the
// library at hand, every test whose name holds "Library".
package outside

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest"
)

// A Case is a part, what was added to it, and what this module made of them.
type Case struct {
	Name   string // a folder name
	Part   *mesh.Mesh
	Tools  []*mesh.Mesh // as they were united, shift included
	Ribbed *mesh.Mesh
}

// A Measure is what the library says of one solid; millimetres.
type Measure struct {
	Status string  `json:"status"`
	Volume float64 `json:"volume"`
	Area   float64 `json:"area"`
	Genus  int     `json:"genus"`
}

// An Answer is what the library says of a case.
type Answer struct {
	Name     string  `json:"name"`
	Operands string  `json:"operands"` // hash of part and tools
	Error    string  `json:"error,omitempty"`
	Part     Measure `json:"part"`
	Ribs     Measure `json:"ribs"`  // the library's union of the tools
	Union    Measure `json:"union"` // the library's union of part and tools

	Ribbed Measure `json:"ribbed,omitzero"` // the mesh this module made
	Read   float64 `json:"read,omitempty"`  // volume of ribbed as the library holds it after reading
	Kept   bool    `json:"-"`               // on reading, the library left volume and genus as they are
	Unit   float64 `json:"-"`               // the last place of the part's coordinates
	Lost   float64 `json:"lost,omitempty"`  // volume of part minus ribbed, 0 without the library
	Extra  float64 `json:"extra,omitempty"` // volume of ribbed minus the library's union, likewise
}

// store is the form of the file of answers.
type store struct {
	Source  string   `json:"source"`
	Answers []Answer `json:"answers"`
}

const source = "manifold-3d 3.5.4 (npm), asked by .ci/outside/compare.mjs; written by FALSEWORK_UPDATE=1"

// Ask returns the library's answers, in the order of the cases. It skips the
// rest of the test when there is neither a live library nor a stored answer
// for these operands.
func Ask(t *testing.T, file string, cases []Case) []Answer {
	t.Helper()
	if len(cases) == 0 {
		t.Fatal("outside: no case to compare")
	}
	stored, err := load(file)
	if err != nil {
		t.Fatal(err)
	}
	home := os.Getenv("FALSEWORK_OUTSIDE")
	if home == "" {
		t.Logf("live comparison skipped (FALSEWORK_OUTSIDE is not set): using the answers stored in %s", file)
		answers, missing := match(stored, cases)
		if missing != "" {
			t.Skipf("no answer stored in %s for case %s as it is now; run .ci/run, or renew the file with FALSEWORK_OUTSIDE and FALSEWORK_UPDATE=1", file, missing)
		}
		return answers
	}
	answers, err := live(t, home, cases)
	if err != nil {
		t.Fatal(err)
	}
	switch {
	case os.Getenv("FALSEWORK_UPDATE") == "1":
		if err := save(file, answers); err != nil {
			t.Fatal(err)
		}
	default:
		old, missing := match(stored, cases)
		if missing != "" {
			// The live answer counts; what is stored is only for runs without it.
			t.Logf("%s has no answer for case %s as it is now; renew it with .ci/renew", file, missing)
		}
		for i := range old {
			if why := differ(old[i], answers[i]); why != "" {
				t.Errorf("case %s: stored and live answer differ in %s", cases[i].Name, why)
			}
		}
	}
	return answers
}

// differ names the first measure in which two answers differ by more than
// the last digits.
func differ(a, b Answer) string {
	pairs := []struct {
		name string
		a, b Measure
	}{{"part", a.Part, b.Part}, {"ribs", a.Ribs, b.Ribs}, {"union", a.Union, b.Union}}
	for _, p := range pairs {
		if p.a.Status != p.b.Status || p.a.Genus != p.b.Genus ||
			math.Abs(p.a.Volume-p.b.Volume) > 1e-9*math.Abs(p.a.Volume) {
			return fmt.Sprintf("%s: %+v and %+v", p.name, p.a, p.b)
		}
	}
	if a.Error != b.Error {
		return fmt.Sprintf("error: %q and %q", a.Error, b.Error)
	}
	return ""
}

func load(file string) (store, error) {
	var s store
	b, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return s, nil
	}
	if err == nil {
		err = json.Unmarshal(b, &s)
	}
	if err != nil {
		return s, fmt.Errorf("outside: %s: %w", file, err)
	}
	return s, nil
}

func save(file string, answers []Answer) error {
	answers = slices.Clone(answers)
	for i := range answers { // only what is the library's own
		answers[i].Ribbed, answers[i].Read, answers[i].Lost, answers[i].Extra = Measure{}, 0, 0, 0
	}
	b, err := json.MarshalIndent(store{source, answers}, "", " ")
	if err != nil {
		return err
	}
	return os.WriteFile(file, append(b, '\n'), 0o644)
}

// match finds the stored answer of each case by the hash of its operands and
// names the first case without one.
func match(s store, cases []Case) ([]Answer, string) {
	var out []Answer
	for _, c := range cases {
		h := c.hash()
		i := slices.IndexFunc(s.Answers, func(a Answer) bool { return a.Name == c.Name && a.Operands == h })
		if i < 0 {
			return nil, c.Name
		}
		a := s.Answers[i]
		a.Ribbed, a.Unit = measure(c.Ribbed), c.unit()
		out = append(out, a)
	}
	return out, ""
}

// measure is what a mesh measures without the library.
func measure(m *mesh.Mesh) Measure {
	status := "NoError"
	if f := meshtest.Faults(m); len(f) > 0 {
		status = fmt.Sprint(f[0])
	}
	return Measure{status, meshtest.Volume(m), meshtest.Area(m), 1 - meshtest.Euler(m)/2}
}

// live writes the cases to a folder and asks the library.
func live(t *testing.T, home string, cases []Case) ([]Answer, error) {
	dir := t.TempDir()
	for _, c := range cases {
		if err := c.write(filepath.Join(dir, c.Name)); err != nil {
			return nil, err
		}
	}
	text, err := run(home, "compare.mjs", dir)
	if err != nil {
		return nil, err
	}
	byName := map[string]Answer{}
	if err := json.Unmarshal(text, &byName); err != nil {
		return nil, fmt.Errorf("outside: answer of compare.mjs: %w", err)
	}
	var out []Answer
	for _, c := range cases {
		a, ok := byName[c.Name]
		if !ok {
			return nil, fmt.Errorf("outside: no answer for case %s", c.Name)
		}
		a.Name, a.Operands, a.Unit = c.Name, c.hash(), c.unit()
		// The mesh in the file is judged, not what the library makes of it when
		// it collapses short edges on reading: its word on the latter is status.
		m := measure(c.Ribbed)
		a.Kept = m.Genus == a.Ribbed.Genus && math.Abs(a.Read-m.Volume) <= a.bound()
		if m.Status == "NoError" {
			m.Status = a.Ribbed.Status
		}
		a.Ribbed = m
		if !a.Kept {
			a.Lost, a.Extra = c.alongLines()
		}
		out = append(out, a)
	}
	return out, nil
}

// unit is the last place of the part's coordinates.
func (c Case) unit() float64 {
	b := c.Part.Bounds()
	far := float32(0)
	for k := range 3 {
		far = max(far, float32(math.Abs(b.Min[k])), float32(math.Abs(b.Max[k])))
	}
	return float64(math.Nextafter32(far, float32(math.Inf(1))) - far)
}

// alongLines measures what is lost of part and tools, and what is extra, on
// lines through the part: a second way where the library cannot tell.
func (c Case) alongLines() (lost, extra float64) {
	const lines = 2000
	b := c.Part.Bounds()
	for _, m := range c.Tools {
		t := m.Bounds()
		for k := range 3 {
			b.Min[k], b.Max[k] = min(b.Min[k], t.Min[k]), max(b.Max[k], t.Max[k])
		}
	}
	r := rand.New(rand.NewPCG(1, 1))
	for range lines {
		p := [3]float64{b.Min[0] + r.Float64()*(b.Max[0]-b.Min[0]), b.Min[1] + r.Float64()*(b.Max[1]-b.Min[1]), b.Min[2] - 1}
		up := [3]float64{0, 0, 1}
		want := meshtest.Chords(c.Part, p, up)
		for _, m := range c.Tools {
			want = append(want, meshtest.Chords(m, p, up)...)
		}
		want, got := joined(want), joined(meshtest.Chords(c.Ribbed, p, up))
		both := shared(want, got)
		lost += total(want) - both
		extra += total(got) - both
	}
	cell := (b.Max[0] - b.Min[0]) * (b.Max[1] - b.Min[1]) / lines
	return lost * cell, extra * cell
}

// joined sorts stretches and joins those that overlap.
func joined(s [][2]float64) (out [][2]float64) {
	slices.SortFunc(s, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	for _, x := range s {
		if n := len(out) - 1; n >= 0 && x[0] <= out[n][1] {
			out[n][1] = max(out[n][1], x[1])
			continue
		}
		out = append(out, x)
	}
	return out
}

func total(s [][2]float64) (l float64) {
	for _, x := range s {
		l += x[1] - x[0]
	}
	return l
}

func shared(a, b [][2]float64) (l float64) {
	for _, x := range a {
		for _, y := range b {
			l += max(0, min(x[1], y[1])-max(x[0], y[0]))
		}
	}
	return l
}

// Run runs a script of the folder where the library is installed over a folder
// and returns what it prints; it fails the test when the script does.
func Run(t *testing.T, home, script, dir string) []byte {
	t.Helper()
	text, err := run(home, script, dir)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func run(home, script, dir string) ([]byte, error) {
	cmd := exec.Command("node", script, dir)
	cmd.Dir = home
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("outside: node %s in %s: %w\n%s", script, home, err, stderr.Bytes())
	}
	return stdout.Bytes(), nil
}

func (c Case) hash() string {
	h := sha256.New()
	for _, m := range append([]*mesh.Mesh{c.Part}, c.Tools...) {
		h.Write(encode(m))
	}
	return hex.EncodeToString(h.Sum(nil)[:12])
}

func (c Case) write(dir string) error {
	err := os.MkdirAll(dir, 0o755)
	put := func(name string, m *mesh.Mesh) {
		err = cmp.Or(err, os.WriteFile(filepath.Join(dir, name), encode(m), 0o644))
	}
	put("part.stl", c.Part)
	put("ribbed.stl", c.Ribbed)
	for i, m := range c.Tools {
		put(fmt.Sprintf("tool-%03d.stl", i), m)
	}
	return err
}

// encode writes the bare records of binary STL. The module's own writer is
// not used here: what is compared should not pass through it.
func encode(m *mesh.Mesh) []byte {
	b := make([]byte, 84, 84+50*len(m.Triangles))
	binary.LittleEndian.PutUint32(b[80:], uint32(len(m.Triangles)))
	for t := range m.Triangles {
		b = append(b, make([]byte, 12)...)
		for c := range 3 {
			for _, x := range m.Corner(t, c) {
				b = binary.LittleEndian.AppendUint32(b, math.Float32bits(x))
			}
		}
		b = append(b, 0, 0)
	}
	return b
}
