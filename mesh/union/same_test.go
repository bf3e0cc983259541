package union

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/gob"
	"encoding/hex"
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest/property"
)

// operands are those of a random trial, in a form to be stored.
type operands struct {
	Part  *mesh.Mesh
	Tools []*mesh.Mesh
}

func drawn(n int) (all []operands) {
	for seed := range uint64(n) {
		tr := randomTrial(seed)
		all = append(all, operands{tr.part, tr.tools})
	}
	return all
}

// digest is a hash of what unions, cuts and shares come to: every bit of
// every coordinate, every index, and the volumes measured.
func digest(t *testing.T, all []operands) string {
	t.Helper()
	h := sha256.New()
	word := make([]byte, 8)
	put := func(x uint64) {
		binary.LittleEndian.PutUint64(word, x)
		h.Write(word)
	}
	for i, c := range all {
		for _, f := range []func() (*Result, error){
			func() (*Result, error) { return Unite(c.Part, c.Tools) },
			func() (*Result, error) { return Subtract(c.Part, c.Tools[0]) },
			func() (*Result, error) { return Intersect(c.Part, c.Tools[0]) },
		} {
			r, err := f()
			if err != nil {
				t.Errorf("case %d: %v", i, err)
				continue
			}
			for _, p := range r.Mesh.Vertices {
				for _, x := range p {
					put(uint64(math.Float32bits(x)))
				}
			}
			for i, k := range r.Mesh.Triangles {
				for _, v := range k {
					put(uint64(v))
				}
				put(uint64(r.Source[i]))
			}
			for _, x := range []float64{r.Report.PartVolume, r.Report.ToolVolume, r.Report.Overlap, r.Report.Volume, r.Report.Move} {
				put(math.Float64bits(x))
			}
		}
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}

// TestDigest prints the digest of stored operands for TestSameOnArm64 to read.
// Operands are drawn by floating point too, so both must be given the same.
func TestDigest(t *testing.T) {
	file := os.Getenv("FALSEWORK_DIGEST")
	if file == "" {
		t.Skip("only for TestSameOnArm64")
	}
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var all []operands
	if err := gob.NewDecoder(f).Decode(&all); err != nil {
		t.Fatal(err)
	}
	t.Logf("digest %s on %s", digest(t, all), runtime.GOARCH)
}

// The result is the same to the bit from run to run and on one processor or
// several.
func TestSameOnOneProcessorAndSeveral(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var first string
	all := drawn(3)
	for _, n := range []int{1, 2, 3} {
		runtime.GOMAXPROCS(n)
		d := digest(t, all)
		if first == "" {
			first = d
		}
		if d != first {
			t.Errorf("%d processors: %s, 1: %s", n, d, first)
		}
	}
	// Large enough that every stage is shared out.
	tr := benchHouse(3)
	var meshes []*mesh.Mesh
	for _, n := range []int{1, 2, 5} {
		runtime.GOMAXPROCS(n)
		r, err := Unite(tr.part, tr.tools)
		if err != nil {
			t.Fatal(err)
		}
		meshes = append(meshes, r.Mesh)
	}
	for _, m := range meshes[1:] {
		if !equal(m, meshes[0]) {
			t.Error("another number of processors gives another mesh")
		}
	}
}

func equal(a, b *mesh.Mesh) bool {
	if len(a.Vertices) != len(b.Vertices) || len(a.Triangles) != len(b.Triangles) {
		return false
	}
	for i := range a.Vertices {
		if a.Vertices[i] != b.Vertices[i] {
			return false
		}
	}
	for i := range a.Triangles {
		if a.Triangles[i] != b.Triangles[i] {
			return false
		}
	}
	return true
}

// The compiler fuses nothing here on arm64: what it makes of this package and
// of the predicates holds no such instruction, but where the predicates ask
// for one, which is exact everywhere.
func TestNothingIsFused(t *testing.T) {
	needsArm64(t)
	for dir, asked := range map[string]string{".": "", "../exact": "planar.go"} {
		build := exec.Command("go", "build", "-gcflags=-S", dir)
		build.Env = append(os.Environ(), "GOOS=linux", "GOARCH=arm64", "CGO_ENABLED=0")
		out, err := build.CombinedOutput()
		if err != nil {
			t.Fatalf("go build for arm64: %v\n%s", err, out)
		}
		fused := regexp.MustCompile(`([a-z_0-9]+\.go):(\d+)\)\s+FN?M(ADD|SUB)`).FindAllSubmatch(out, -1)
		for _, f := range fused {
			if string(f[1]) != asked {
				t.Errorf("%s:%s fuses a product with a sum: write float64(x*y)", f[1], f[2])
			}
		}
		if asked != "" && len(fused) == 0 {
			t.Errorf("%s: the one in %s is not seen", dir, asked)
		}
	}
}

// needsArm64 skips a test that builds for another processor, unless asked.
func needsArm64(t *testing.T) {
	if os.Getenv("FALSEWORK_EMULATE") == "" && !property.Long() {
		t.Skip("builds for arm64; set FALSEWORK_EMULATE=1 or FALSEWORK_LONG=1 (.ci/run same does)")
	}
}

// The result is the same to the bit on arm64, where a compiler may fuse a
// product and a sum into one rounding. The test of this package is built for
// it and run in emulation.
func TestSameOnArm64(t *testing.T) {
	needsArm64(t)
	if runtime.GOARCH == "arm64" {
		t.Skip("this is arm64")
	}
	qemu, err := exec.LookPath("qemu-aarch64")
	if errors.Is(err, exec.ErrNotFound) {
		qemu, err = exec.LookPath("qemu-aarch64-static")
	}
	if err != nil {
		t.Skipf("no emulator: %v (Debian: qemu-user)", err)
	}
	binary := filepath.Join(t.TempDir(), "union.test")
	build := exec.Command("go", "test", "-c", "-o", binary, ".")
	build.Env = append(os.Environ(), "GOOS=linux", "GOARCH=arm64", "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("go test -c for arm64: %v\n%s", err, out)
	}
	all := drawn(12) // emulation is slow
	file, err := os.Create(filepath.Join(t.TempDir(), "operands"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if err := gob.NewEncoder(file).Encode(all); err != nil {
		t.Fatal(err)
	}
	run := exec.Command(qemu, binary, "-test.run", "^TestDigest$", "-test.v")
	run.Env = append(os.Environ(), "FALSEWORK_DIGEST="+file.Name())
	out, err := run.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	there := regexp.MustCompile(`digest (\w+) on arm64`).FindSubmatch(out)
	if there == nil {
		t.Fatalf("no digest from arm64:\n%s", out)
	}
	if here := digest(t, all); string(there[1]) != here {
		t.Errorf("arm64 gives %s, %s gives %s", there[1], runtime.GOARCH, here)
	}
}
